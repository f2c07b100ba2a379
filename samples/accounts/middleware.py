"""Sessions: ended with their personal link, named safely, and kept out of every cache."""

from collections.abc import Callable
from datetime import date

from django.conf import settings
from django.contrib.auth import logout
from django.contrib.sessions.middleware import SessionMiddleware
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.cache import add_never_cache_headers

from samples.accounts.links import day_of_links, still_good

LINK_IN_SESSION = "personal_link"

# What the cookies were called before; a phone that is signed in for the season still sends it.
OLD_SESSION_COOKIE = "sessionid"
OLD_CSRF_COOKIE = "csrftoken"
OLD_NAMES_END_ON = date(2027, 12, 31)


class SessionUnderItsNewName(SessionMiddleware):
    """Take a session that comes under the cookie's old name, and send it back under the new one.

    A name that begins with __Host- is set by this host alone, over TLS alone. The old one is
    read for one more season, for phones that were signed in before.
    """

    def process_request(self, request: HttpRequest) -> None:
        old = self._old_key(request)
        if old and settings.CSRF_COOKIE_NAME not in request.COOKIES:
            request.COOKIES[settings.CSRF_COOKIE_NAME] = request.COOKIES.get(OLD_CSRF_COOKIE, "")
        super().process_request(request)
        if old:
            request.session = self.SessionStore(old)
            # Saved once more, so that its cookie goes out under the new name.
            request.session.modified = not request.session.is_empty()

    def process_response(self, request: HttpRequest, response: HttpResponse) -> HttpResponse:
        answered = super().process_response(request, response)
        if self._old_key(request) and settings.SESSION_COOKIE_NAME in answered.cookies:
            answered.delete_cookie(OLD_SESSION_COOKIE, samesite="Lax")
        return answered

    def _old_key(self, request: HttpRequest) -> str | None:
        new = settings.SESSION_COOKIE_NAME
        over = timezone.now().date() > OLD_NAMES_END_ON
        if new == OLD_SESSION_COOKIE or new in request.COOKIES or over:
            return None
        return request.COOKIES.get(OLD_SESSION_COOKIE)


class LinkStillGood:
    """Ask on every request whether the link a guide signed in by still holds."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        link_id = request.session.get(LINK_IN_SESSION)
        if link_id is not None and not still_good(link_id, today=day_of_links(timezone.now())):
            logout(request)
        return self.get_response(request)


class NothingOfAPersonIsStored:
    """Keep what is made for somebody signed in out of every store, also the Back button's.

    Phones at a ramp and desks in an office are shared. A page that says itself how long it may
    be kept has nothing of a person in it.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        user = getattr(request, "user", None)
        if user is not None and user.is_authenticated and "Cache-Control" not in response:
            add_never_cache_headers(response)
        return response
