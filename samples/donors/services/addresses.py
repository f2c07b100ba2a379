"""Where donors asked to get mail, and how they stop it."""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.core import signing
from django.db import transaction

from samples.models import Donor, DonorAddress, User

SALT = "samples.donors.stop"


def is_mail_set_up() -> bool:
    """Return whether the site has a mail server."""
    return bool(settings.EMAIL_HOST)


@transaction.atomic
def note_address(donor: Donor, *, email: str, actor: User, now: datetime) -> DonorAddress | None:
    """Note where a donor wants mail; nothing for one who was forgotten meanwhile.

    Another address is another row: what was mailed to the old one is no matter of the new one.
    """
    kept = Donor.objects.select_for_update().get(pk=donor.pk)
    if kept.forgotten_at is not None:
        return None
    known = DonorAddress.objects.filter(donor=kept).first()
    if known is not None and known.email.lower() == email.lower():
        known.noted_by, known.noted_at, known.stopped_at = actor, now, None
        known.save()
        return known
    if known is not None:
        known.delete()
    return DonorAddress.objects.create(donor=kept, email=email, noted_by=actor, noted_at=now)


def address_as_typed(known: DonorAddress | None) -> dict[str, Any]:
    """Return what the form of an address begins with: agreed, until its donor stopped the mails."""
    return {
        "email": known.email if known else "",
        "agreed": known is not None and known.stopped_at is None,
    }


def take_out_address(donor: Donor) -> bool:
    """Delete the address of a donor; return whether there was one."""
    return bool(DonorAddress.objects.filter(donor=donor).delete()[0])


def token_of(address: DonorAddress) -> str:
    """Return what stands in the link of a mail by which its reader stops them."""
    return signing.dumps(address.pk, salt=SALT)


def address_of_token(token: str) -> DonorAddress | None:
    """Return the address that a link stops; nothing for one that is not ours or gone."""
    try:
        pk = signing.loads(token, salt=SALT)
    except signing.BadSignature:
        return None
    return DonorAddress.objects.select_related("donor__lake").filter(pk=pk).first()


def stop_address(address: DonorAddress, *, now: datetime) -> None:
    """Send no more mail to an address; asked twice, the first time counts."""
    DonorAddress.objects.filter(pk=address.pk, stopped_at__isnull=True).update(stopped_at=now)
