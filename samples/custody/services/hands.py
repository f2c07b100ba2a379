"""Unused vials in somebody's hands that are passed on to another person, or lost."""

from datetime import datetime

from django.db import transaction

from samples.accounts.permissions import Permission, has_permission
from samples.custody.services.errors import CannotChangeHands
from samples.models import Lake, User, Vial
from samples.vials.services import LeftHands, unused_in_hands
from samples.vials.services.locked import change


@transaction.atomic
def pass_on(
    *, lake: Lake, holder: User, to: User, first: str, last: str, actor: User, now: datetime
) -> LeftHands:
    """Note that one person passed unused vials on to another.

    :raises CannotChangeHands: if the person holds none of the range, or the other can't log fish
    """
    _check_receiver(lake, holder, to)
    theirs, left_out = _unused_of(lake, holder, first, last)
    for vial in theirs:
        vial.issued_to, vial.issued_at = to, now
    change(theirs, ["issued_to", "issued_at"], actor=actor, now=now)
    return LeftHands(len(theirs), left_out)


@transaction.atomic
def lose(
    *, lake: Lake, holder: User, first: str, last: str, note: str, actor: User, now: datetime
) -> LeftHands:
    """Mark unused vials of one person lost. One that turns up is returned to use, or received.

    :raises CannotChangeHands: if the person holds none of the range
    """
    theirs, left_out = _unused_of(lake, holder, first, last)
    for vial in theirs:
        vial.state, vial.note = Vial.State.LOST, note
    change(theirs, ["state", "note"], actor=actor, now=now)
    return LeftHands(len(theirs), left_out)


@transaction.atomic
def check_leaving(
    *, lake: Lake, holder: User, first: str, last: str, to: User | None = None
) -> list[str]:
    """Return the numbers that would leave somebody's hands; nothing is changed.

    :raises CannotChangeHands: as the change itself would
    """
    if to is not None:
        _check_receiver(lake, holder, to)
    theirs, _ = _unused_of(lake, holder, first, last)
    return [vial.number for vial in theirs]


def _check_receiver(lake: Lake, holder: User, to: User) -> None:
    if to.pk == holder.pk:
        raise CannotChangeHands("same_person", f"{to} has them already. Choose another.", "to")
    if not has_permission(to, Permission.LOG_FISH, lake):
        raise CannotChangeHands("not_logging", f"{to} is not set up to log fish at {lake}.", "to")


def _unused_of(lake: Lake, holder: User, first: str, last: str) -> tuple[list[Vial], int]:
    vials, theirs = unused_in_hands(lake, first, last, CannotChangeHands, holder)
    return theirs, len(vials) - len(theirs)
