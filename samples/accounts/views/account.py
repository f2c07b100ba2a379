"""A person's own account: password, sessions and phones."""

from django.contrib import messages
from django.contrib.auth import login, logout
from django.contrib.auth.tokens import default_token_generator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlsafe_base64_decode, urlsafe_base64_encode
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from samples.accounts import forms, links, security_log, sessions
from samples.accounts.client_address import caller_of
from samples.accounts.decorators import SignedInRequest, login_required
from samples.accounts.link_pages import check_csrf_token_alone, without_referrer
from samples.accounts.views.people import site_address
from samples.accounts.views.signing_in import BACKEND, STAFF_SESSION_S, address_locked
from samples.models import SecurityEvent, User

Kind = SecurityEvent.Kind


@require_safe
@login_required
def account(request: SignedInRequest) -> HttpResponse:
    """Show a person where they are signed in, and what they may change."""
    context = {
        "sessions": sessions.open_sessions_of(request.user, now=timezone.now()),
        "this_session": request.session.session_key,
        "phones": sessions.phones_of(request.user),
    }
    return render(request, "accounts/account.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def change_password(request: SignedInRequest) -> HttpResponse:
    """Let a member of the staff choose a new password."""
    if not request.user.has_usable_password():
        return redirect("accounts:account")
    caller, now = caller_of(request), timezone.now()
    if request.method == "POST" and security_log.is_locked_out(caller, now=now):
        return address_locked(request)
    form = forms.ChangePassword(request.POST or None, person=request.user)
    if request.method == "POST" and form.is_valid():
        person = request.user
        _set_password(request, person, form.cleaned_data["new_password"], Kind.PASSWORD_CHANGED)
        messages.success(request, "Password changed. Other sessions and phones are signed out.")
        return redirect("accounts:account")
    if form.has_error("password", "wrong"):
        name = request.user.username
        security_log.note(Kind.WRONG_PASSWORD, caller=caller, now=now, name=name)
    status = 422 if request.method == "POST" else 200
    return render(request, "accounts/change_password.html", {"form": form}, status=status)


@check_csrf_token_alone
@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@without_referrer
def password_by_link(request: HttpRequest, key: str, token: str) -> HttpResponse:
    """Let somebody choose a password by the link that the administrator made; it works once."""
    person = _person_of_link(key, token)
    if person is None:
        return render(request, "accounts/password_link_refused.html", status=410)
    form = forms.NewPassword(request.POST or None, person=person)
    if request.method == "POST" and form.is_valid():
        _set_password(request, person, form.cleaned_data["new_password"], Kind.PASSWORD_SET)
        messages.success(request, "Password saved. You are signed in.")
        return redirect("home")
    status = 422 if request.method == "POST" else 200
    context = {"form": form, "person": person}
    return render(request, "accounts/password_by_link.html", context, status=status)


def password_link(request: HttpRequest, person: User) -> str:
    """Return the address by which a person chooses a password, once."""
    key = urlsafe_base64_encode(str(person.pk).encode())
    args = [key, default_token_generator.make_token(person)]
    return site_address(request, reverse("accounts:password_by_link", args=args))


def _person_of_link(key: str, token: str) -> User | None:
    try:
        pk = int(urlsafe_base64_decode(key).decode())
    except ValueError:
        return None
    person = User.objects.filter(pk=pk, is_active=True).first() if 0 < pk < 2**31 else None
    good = person is not None and default_token_generator.check_token(person, token)
    return person if good else None


def _set_password(request: HttpRequest, person: User, password: str, kind: str) -> None:
    """Save a password and begin a new session; all others of the person end."""
    caller, now = caller_of(request), timezone.now()
    sessions.set_password(person, password, now=now)
    request.session.flush()
    login(request, person, backend=BACKEND)
    request.session.set_expiry(STAFF_SESSION_S)
    sessions.note_session(request.session, person, caller=caller, now=now)
    security_log.note(kind, caller=caller, now=now, person=person)


@require_POST
@login_required
def end_session(request: SignedInRequest, pk: int) -> HttpResponse:
    """Sign out one session, on another computer or phone."""
    running = sessions.open_sessions_of(request.user, now=timezone.now())
    sessions.end_session(get_object_or_404(running, pk=pk))
    _note(request, Kind.SESSION_ENDED)
    messages.success(request, "Signed out there.")
    return redirect("accounts:account")


@require_POST
@login_required
def end_phone(request: SignedInRequest, pk: int) -> HttpResponse:
    """Stop one of the person's own phones from sending."""
    phone = get_object_or_404(sessions.phones_of(request.user), pk=pk)
    links.revoke_phone(phone, now=timezone.now())
    _note(request, Kind.PHONE_REVOKED)
    messages.success(request, "This phone can no longer send. Fish on it stay there.")
    return redirect("accounts:account")


@require_POST
@login_required
def sign_out_everywhere(request: SignedInRequest) -> HttpResponse:
    """End every session and phone of the person, this one too."""
    sessions.sign_out_everywhere(request.user, now=timezone.now())
    _note(request, Kind.SIGNED_OUT_EVERYWHERE)
    logout(request)
    return redirect("accounts:signed_out_everywhere")


@require_safe
def signed_out_everywhere(request: HttpRequest) -> HttpResponse:
    """Show that it is done, and how to come back."""
    return render(request, "accounts/signed_out_everywhere.html")


def _note(request: SignedInRequest, kind: str) -> None:
    person = request.user
    security_log.note(kind, caller=caller_of(request), now=timezone.now(), person=person)
