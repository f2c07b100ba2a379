"""Sessions and phones as a person sees their own: known, listed, ended."""

from datetime import datetime

from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.models import Session
from django.db import transaction
from django.db.models import F, QuerySet

from samples.accounts.client_address import Caller
from samples.models import OpenSession, PersonalLink, Phone, User


def note_session(
    session: SessionBase,
    person: User,
    *,
    caller: Caller,
    now: datetime,
    link: PersonalLink | None = None,
) -> OpenSession:
    """Keep a session that just began on its person's list, and drop what has ended."""
    session.save()  # only now it has the key that it keeps
    running = Session.objects.filter(expire_date__gt=now).values("session_key")
    OpenSession.objects.filter(person=person).exclude(session_key__in=running).delete()
    # Whoever signs in twice in one browser keeps the session that they had.
    row, _ = OpenSession.objects.update_or_create(
        session_key=session.session_key or "",
        defaults={
            "person": person,
            "link": link,
            "began_at": now,
            "address": caller.address,
            "browser": caller.browser,
        },
    )
    return row


def forget_session(session: SessionBase) -> None:
    """Take a session that its person ends off their list."""
    OpenSession.objects.filter(session_key=session.session_key or "").delete()


def open_sessions_of(person: User, *, now: datetime) -> QuerySet[OpenSession]:
    """List the sessions of a person that still run, the newest first."""
    running = Session.objects.filter(expire_date__gt=now).values("session_key")
    return OpenSession.objects.filter(person=person, session_key__in=running).order_by(
        "-began_at", "-pk"
    )


def phones_of(person: User) -> QuerySet[Phone]:
    """List the phones of a person that may send, the newest first."""
    return person.phones.filter(revoked_at__isnull=True).select_related("link").order_by("-made_at")


@transaction.atomic
def end_session(session: OpenSession) -> None:
    """Sign one session out."""
    Session.objects.filter(session_key=session.session_key).delete()
    session.delete()


@transaction.atomic
def sign_out_everywhere(person: User, *, now: datetime) -> None:
    """End every session and every phone of a person. Personal links still sign in."""
    User.objects.filter(pk=person.pk).update(
        times_signed_out_everywhere=F("times_signed_out_everywhere") + 1
    )
    end_all(person, now=now)


def end_all(person: User, *, now: datetime, but: str = "") -> None:
    """End the sessions and phones of a person, all but the session with this key."""
    ended = OpenSession.objects.filter(person=person).exclude(session_key=but)
    Session.objects.filter(session_key__in=ended.values("session_key")).delete()
    ended.delete()
    person.phones.filter(revoked_at__isnull=True).update(revoked_at=now)


@transaction.atomic
def set_password(person: User, password: str, *, now: datetime) -> None:
    """Set a new password; sessions and phones that came by the old one end."""
    person.set_password(password)
    person.save(update_fields=["password"])
    end_all(person, now=now)
