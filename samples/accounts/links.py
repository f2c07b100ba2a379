"""Personal links and phones: how a guide is known without a password.

Only digests of tokens are kept. A link is never spent by being looked at: previews and
scanners open it too, so it signs in only when the person says "this is me".
"""

import hashlib
import secrets
from base64 import urlsafe_b64encode
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.utils.crypto import salted_hmac

from samples.models import Lake, Membership, PersonalLink, Phone, Season, User
from samples.models.user import AFTER_THE_SEASON, LONGEST_SEASON


class LinkRefused(Exception):
    """A link that does not sign anyone in; the message says what to do."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code


# Where the day ends last: a link is good to the end of its day at every lake.
LAST_ZONE = timedelta(hours=12)


def day_of_links(now: datetime) -> date:
    """Return the day by which links are judged: the one that is still going on somewhere."""
    return (now - LAST_ZONE).date()


def may_have_link(person: User) -> bool:
    """Return whether a person may sign in by a link: guides alone.

    A link stands for a password wherever it lies about, so it opens no office, and nobody
    who makes links becomes somebody with more rights by making one.
    """
    if person.is_staff or person.is_superuser or person.has_usable_password():
        return False
    roles = person.memberships.values_list("role", flat=True)
    return all(role == Membership.Role.GUIDE for role in roles)


def days_for_link(lake: Lake, *, today: date) -> tuple[date, date]:
    """Return until when a new link is usually good, and the last day that it may be.

    The usual day is the end of the season under way, or of the next one to come.
    """
    ahead = Season.objects.filter(lake=lake, ends_on__gte=today).order_by("starts_on").first()
    ends_on = ahead.ends_on if ahead else date(today.year, 12, 31)
    usual = min(ends_on, today + LONGEST_SEASON)
    return usual, usual + AFTER_THE_SEASON


@dataclass(frozen=True, slots=True)
class IssuedLink:
    """A link with its token; ``is_new`` is false for one that the same tap made before."""

    link: PersonalLink
    token: str
    is_new: bool = True


@dataclass(frozen=True, slots=True)
class RegisteredPhone:
    phone: Phone
    token: str


def digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


_TOKEN_BYTES = 24


def token_of_request(request_id: UUID | None, *, person: User, made_by: User) -> str:
    """Return the token that a page with this id asks for: a second tap gets the same link.

    It follows from the site's secret key, so that nothing but its digest is kept of it either. A
    page without an id gets another one each time.
    """
    if request_id is None:
        return secrets.token_urlsafe(_TOKEN_BYTES)
    asked = f"{request_id}/{person.pk}/{made_by.pk}"
    mac = salted_hmac("samples.accounts.links", asked, algorithm="sha256").digest()
    return urlsafe_b64encode(mac[:_TOKEN_BYTES]).decode()


def has_live_link(person: User, *, today: date) -> bool:
    """Return whether a link that was made for a person still signs them in."""
    links = person.personal_links.filter(revoked_at__isnull=True, good_until__gte=today)
    return any(_still_stands(link, today) for link in links)


def make_link(
    person: User, *, made_by: User, good_until: date, now: datetime, token: str = ""
) -> IssuedLink:
    """Make a link for a guide; the token in the answer is never to be had again.

    ``token`` is one of `token_of_request`, whose link is made once.

    :raises LinkRefused: if the person is more than a guide, or the link was revoked since
    """
    if not may_have_link(person):
        raise LinkRefused("staff", f"{person} signs in with a password. Links are for guides.")
    token = token or secrets.token_urlsafe(_TOKEN_BYTES)
    link, is_new = PersonalLink.objects.get_or_create(
        token_sha256=digest(token),
        defaults={
            "person": person,
            "made_by": made_by,
            "made_at": now,
            "good_until": good_until,
        },
    )
    if link.revoked_at is not None:
        raise LinkRefused("revoked", "This link was revoked. Open the page again for a new one.")
    return IssuedLink(link, token, is_new)


def open_link(token: str, *, today: date) -> PersonalLink:
    """Find the link that a token belongs to, without using it up.

    :raises LinkRefused: if the link is unknown, taken back, or past its day
    """
    link = PersonalLink.objects.select_related("person").filter(token_sha256=digest(token)).first()
    if link is None or not link.person.is_active or not may_have_link(link.person):
        raise LinkRefused("unknown", "This link is not valid. Ask the biologist for a new one.")
    if link.revoked_at is not None:
        raise LinkRefused("revoked", "This link was revoked. Ask the biologist for a new one.")
    if link.last_day < today:
        raise LinkRefused(
            "expired", "This link was for an earlier season. Ask the biologist for a new one."
        )
    return link


def use_link(token: str, *, now: datetime, today: date) -> PersonalLink:
    """Note that a person signed in by this link.

    :raises LinkRefused: as `open_link`
    """
    link = open_link(token, today=today)
    link.last_used_at = now
    link.save(update_fields=["last_used_at"])
    return link


def still_good(link_id: int, *, today: date) -> bool:
    """Return whether a session that began by this link may go on."""
    link = PersonalLink.objects.select_related("person").filter(pk=link_id).first()
    return link is not None and _still_stands(link, today)


def _still_stands(link: PersonalLink, today: date) -> bool:
    """Return whether a link still signs somebody in, or lets a phone that came by it send.

    A guide who has become more than one signs in anew, with a password.
    """
    return link.revoked_at is None and link.last_day >= today and may_have_link(link.person)


@transaction.atomic
def revoke_link(link: PersonalLink, *, now: datetime) -> None:
    """Take a link back, and with it every session and phone that came by it."""
    link.revoked_at = now
    link.save(update_fields=["revoked_at"])
    link.phones.filter(revoked_at__isnull=True).update(revoked_at=now)


def make_phone(
    person: User, *, now: datetime, link: PersonalLink | None = None, name: str = ""
) -> RegisteredPhone:
    """Register a phone with a token of its own, which is in the answer and never to be had
    again.
    """
    token = secrets.token_urlsafe(32)
    phone = Phone.objects.create(
        person=person, link=link, token_sha256=digest(token), name=name, made_at=now
    )
    return RegisteredPhone(phone, token)


# How often it is noted that a phone was heard: not a write for every batch.
HEARD_AGAIN_AFTER = timedelta(minutes=10)


def note_heard(phone: Phone, *, now: datetime) -> None:
    """Note when a phone was heard last."""
    if phone.last_heard_at is None or now - phone.last_heard_at > HEARD_AGAIN_AFTER:
        Phone.objects.filter(pk=phone.pk).update(last_heard_at=now)


def revoke_phone(phone: Phone, *, now: datetime) -> None:
    """Take one phone's token back. What is still on it comes in as text."""
    Phone.objects.filter(pk=phone.pk, revoked_at__isnull=True).update(revoked_at=now)


def phone_of(token: str, *, today: date) -> Phone | None:
    """Find the phone that a token belongs to, if it may still send.

    One that came by a link sends for as long as the link stands; one that came by a password
    sends until it is taken back.
    """
    phone = _phone_by(token)
    if phone is None or (phone.link is not None and not _still_stands(phone.link, today)):
        return None
    return phone


# A phone in a drawer still holds fish of the season: it sends them for so long after its link.
SENDS_LATE_FOR = timedelta(days=60)


def phone_that_may_send(token: str, *, today: date) -> Phone | None:
    """Find the phone that a token belongs to, also when its link ended not long ago."""
    phone = _phone_by(token)
    if phone is None or phone.link is None:
        return phone
    stands = _still_stands(phone.link, min(today, phone.link.last_day))
    return phone if stands and today <= phone.link.last_day + SENDS_LATE_FOR else None


def was_written_in_time(phone: Phone, written_at: datetime) -> bool:
    """Return whether a phone's link was still good when an entry was written."""
    if phone.link is None:
        return True
    return day_of_links(written_at) <= phone.link.last_day


def _phone_by(token: str) -> Phone | None:
    return (
        Phone.objects.select_related("person", "link__person")
        .filter(token_sha256=digest(token), revoked_at__isnull=True, person__is_active=True)
        .first()
    )
