"""Ends a session whose personal link was taken back or has run out."""

from collections.abc import Callable

from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from samples.accounts.links import day_of_links, still_good

LINK_IN_SESSION = "personal_link"


class LinkStillGood:
    """Ask on every request whether the link a guide signed in by still holds."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        link_id = request.session.get(LINK_IN_SESSION)
        if link_id is not None and not still_good(link_id, today=day_of_links(timezone.now())):
            logout(request)
        return self.get_response(request)
