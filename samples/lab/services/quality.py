"""The reference set, and otoliths sent for another reading by hand."""

from datetime import datetime

from samples.lab.queries import NOT_TO_BE_READ
from samples.lab.services.errors import CannotRead
from samples.models import (
    OUT_OF_USE,
    Fish,
    ReferenceOtolith,
    SecondReadingRequest,
    User,
    Vial,
    atomic_with_revision,
)
from samples.models.signing import save_signed


@atomic_with_revision()
def add_reference(
    *, vial: Vial, age_years: int, kind: str, source: str, actor: User, now: datetime
) -> ReferenceOtolith:
    """Put a vial into the reference set, or back into it with the age that is known now.

    :raises CannotRead: if there is no otolith in it to read, or no dated fish
    """
    vial = Vial.objects.select_for_update().get(pk=vial.pk)
    fish = Fish.objects.filter(vial=vial).first()
    if fish is None or fish.caught_on is None:
        raise CannotRead(
            "no_dated_fish",
            "Log this vial's fish with its catch date first: the age follows.",
        )
    if vial.state in OUT_OF_USE or vial.content in NOT_TO_BE_READ:
        raise CannotRead("no_otolith", "This vial is out of use or holds no otolith to read.")
    row = ReferenceOtolith.objects.filter(vial=vial).first()
    if row is not None and row.retired_at is None:
        raise CannotRead("in_the_set", "This vial is in the reference set already.")
    row = row or ReferenceOtolith(vial=vial)
    row.age_years, row.kind, row.source = age_years, kind, source.strip()
    row.added_by, row.added_at, row.retired_at = actor, now, None
    save_signed(row, actor=actor, now=now)
    return row


@atomic_with_revision()
def retire_reference(*, row: ReferenceOtolith, actor: User, now: datetime) -> None:
    """Take a vial out of the reference set; what was read of it stays scored."""
    row = ReferenceOtolith.objects.select_for_update().get(pk=row.pk)
    if row.retired_at is None:
        row.retired_at = now
        save_signed(row, actor=actor, now=now)


@atomic_with_revision()
def ask_for_reading(*, vial: Vial, note: str, actor: User, now: datetime) -> SecondReadingRequest:
    """Send a vial for another reading because it is hard; asked twice it is asked once.

    :raises CannotRead: if nobody has read it yet
    """
    vial = Vial.objects.select_for_update().get(pk=vial.pk)
    if not vial.readings.exists():
        raise CannotRead("not_read_yet", "Nobody has read this vial yet. It is in the queue.")
    open_one = SecondReadingRequest.objects.filter(vial=vial, closed_at__isnull=True).first()
    if open_one is not None:
        return open_one
    request = SecondReadingRequest(vial=vial, note=note.strip(), asked_by=actor, asked_at=now)
    save_signed(request, actor=actor, now=now)
    return request


@atomic_with_revision()
def withdraw_request(*, request: SecondReadingRequest, actor: User, now: datetime) -> None:
    """Take back that another reading was asked for."""
    request = SecondReadingRequest.objects.select_for_update().get(pk=request.pk)
    if request.closed_at is None:
        request.closed_at = now
        save_signed(request, actor=actor, now=now)
