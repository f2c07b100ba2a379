"""Signing in by password or personal link, and out again."""

from datetime import date

from django.conf import settings
from django.contrib.auth import login, logout
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from samples.accounts import demo, forms, links, security_log, sessions
from samples.accounts.client_address import Caller, caller_of
from samples.accounts.link_pages import check_csrf_token_alone, without_referrer
from samples.accounts.middleware import LINK_IN_SESSION
from samples.models import SecurityEvent, User

BACKEND = "django.contrib.auth.backends.ModelBackend"
# A password is typed once a working day; only a personal link lasts the season.
STAFF_SESSION_S = 60 * 60 * 12
Kind = SecurityEvent.Kind


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def sign_in(request: HttpRequest) -> HttpResponse:
    """Sign a member of the staff in by name and password."""
    if request.method != "POST":
        return _door(request, forms.SignIn(request))
    caller, now = caller_of(request), timezone.now()
    if security_log.is_locked_out(caller, now=now):
        name = request.POST.get("username", "")
        security_log.note(Kind.ADDRESS_LOCKED, caller=caller, now=now, name=name)
        return address_locked(request)
    form = forms.SignIn(request, data=request.POST)
    if not form.is_valid():
        _note_failure(request, form, caller)
        return _door(request, form, status=422)
    _begin_session(request, form.get_user())
    return _onward(request)


def _door(request: HttpRequest, form: forms.SignIn, status: int = 200) -> HttpResponse:
    roles = demo.demo_roles() if demo.is_open_to(caller_of(request).address) else []
    if roles:
        # Else a phone would scroll past the buttons to the field.
        form.fields["username"].widget.attrs.pop("autofocus", None)
    context = {"form": form, "demo_roles": roles}
    return render(request, "accounts/sign_in.html", context, status=status)


@require_POST
def sign_in_as(request: HttpRequest) -> HttpResponse:
    """Sign a role of the demo in without typing; there is no such page anywhere else."""
    here = demo.is_open_to(caller_of(request).address)
    person = demo.person_with(request.POST.get("role", "")) if here else None
    if person is None:
        raise Http404("The demo has no such role.")
    _begin_session(request, person)
    return _onward(request)


def _begin_session(request: HttpRequest, person: User) -> None:
    caller, now = caller_of(request), timezone.now()
    login(request, person, backend=BACKEND)
    request.session.set_expiry(STAFF_SESSION_S)
    sessions.note_session(request.session, person, caller=caller, now=now)
    security_log.note(Kind.SIGNED_IN, caller=caller, now=now, person=person)


def _onward(request: HttpRequest) -> HttpResponse:
    """Go on to the page that was asked for, if it is one of this site."""
    onward = request.GET.get("next", "")
    safe = url_has_allowed_host_and_scheme(
        onward, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return redirect(onward if safe else "home")


def _note_failure(request: HttpRequest, form: forms.SignIn, caller: Caller) -> None:
    """Keep who was tried; a form with an empty field tried nobody."""
    if not form.non_field_errors():
        return
    locked = getattr(request, "axes_locked_out", False)
    kind = Kind.NAME_LOCKED if locked else Kind.WRONG_PASSWORD
    name = form.cleaned_data.get("username", "")
    security_log.note(kind, caller=caller, now=timezone.now(), name=name)


def address_locked(request: HttpRequest) -> HttpResponse:
    """Show that this address must wait, whatever name it tries."""
    response = render(request, "accounts/address_locked.html", status=429)
    response["Retry-After"] = str(int(security_log.FAILURES_WITHIN.total_seconds()))
    return response


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session."""
    sessions.forget_session(request.session)
    logout(request)
    return redirect("accounts:sign_in")


@check_csrf_token_alone
@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@without_referrer
def this_is_me(request: HttpRequest, token: str) -> HttpResponse:
    """Show whose link this is; sign that person in when they say it is them."""
    now = timezone.now()
    day = links.day_of_links(now)
    try:
        link = links.open_link(token, today=day)
    except links.LinkRefused as problem:
        return render(request, "accounts/link_refused.html", {"problem": problem}, status=410)
    if request.method != "POST":
        return render(request, "accounts/this_is_me.html", {"link": link})
    links.use_link(token, now=now, today=day)
    login(request, link.person, backend=BACKEND)
    request.session[LINK_IN_SESSION] = link.pk
    request.session.set_expiry(_seconds_left(link.last_day, day))
    caller = caller_of(request)
    sessions.note_session(request.session, link.person, caller=caller, now=now, link=link)
    security_log.note(Kind.SIGNED_IN_BY_LINK, caller=caller, now=now, person=link.person)
    return redirect("ramp:shell" if request.POST.get("onward") == "app" else "home")


def _seconds_left(last_day: date, today: date) -> int:
    left = ((last_day - today).days + 1) * 24 * 60 * 60
    return min(max(left, 1), settings.SESSION_COOKIE_AGE)
