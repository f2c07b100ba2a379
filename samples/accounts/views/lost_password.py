"""A lost password: a one-time link by mail, where a mail server is set."""

import logging
from datetime import datetime, timedelta
from smtplib import SMTPException
from typing import Any

from django.conf import settings
from django.core.mail import send_mail
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from samples.accounts import forms, security_log
from samples.accounts.client_address import Caller, caller_of
from samples.accounts.views.account import password_link
from samples.accounts.views.signing_in import address_locked
from samples.models import SecurityEvent, User

log = logging.getLogger(__name__)

Kind = SecurityEvent.Kind
# Nobody needs more mails than these, and nobody is to be flooded with them.
MOST_MAILS = 3
MAILS_WITHIN = timedelta(hours=1)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def lost_password(request: HttpRequest) -> HttpResponse:
    """Mail a one-time link to whoever lost a password, or say who makes one.

    The answer is the same whether or not the name is known: nobody learns names here.
    """
    context: dict[str, Any] = {"mails": bool(settings.EMAIL_HOST)}
    if request.method != "POST" or not settings.EMAIL_HOST:
        context["form"] = forms.LostPassword()
        return render(request, "accounts/lost_password.html", context)
    caller, now = caller_of(request), timezone.now()
    if security_log.is_locked_out(caller, now=now):
        return address_locked(request)
    form = forms.LostPassword(request.POST)
    if not form.is_valid():
        return render(request, "accounts/lost_password.html", context | {"form": form}, status=422)
    _mail_link(request, form.cleaned_data["username"], caller, now)
    return render(request, "accounts/lost_password_sent.html")


def _mail_link(request: HttpRequest, username: str, caller: Caller, now: datetime) -> None:
    person = User.objects.filter(username=username, is_active=True).exclude(email="").first()
    if person is None or not person.has_usable_password():
        # Counted as a try, so that an address that asks for many names is locked.
        security_log.note(Kind.WRONG_PASSWORD, caller=caller, now=now, name=username)
        return
    recent = SecurityEvent.objects.filter(
        person=person, kind=Kind.PASSWORD_LINK_MADE, at__gt=now - MAILS_WITHIN
    )
    if recent.count() >= MOST_MAILS:
        return
    words = {"person": person, "address": password_link(request, person)}
    try:
        send_mail(
            "Choose a new Earstone password",
            render_to_string("accounts/lost_password_mail.txt", words),
            from_email=None,
            recipient_list=[person.email],
        )
    except (OSError, SMTPException):
        log.exception("A password link could not be mailed")
        return
    security_log.note(Kind.PASSWORD_LINK_MADE, caller=caller, now=now, person=person)
