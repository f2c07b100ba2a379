"""Vials going out to people, and coming back unused."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from samples.accounts.permissions import Permission, has_permission
from samples.models import Lake, User, Vial
from samples.rules.vial_moves import ISSUE, LEAVE_HANDS
from samples.vials.services.errors import CannotIssue, CannotReturnVials, VialsRefused
from samples.vials.services.locked import change, locked_range, named


@dataclass(frozen=True, slots=True)
class Issued:
    """The vials of the range; `count` of them changed hands just now."""

    vials: list[Vial]
    count: int


@dataclass(frozen=True, slots=True)
class LeftHands:
    """How many vials left somebody's hands, and how many of the range were not unused in them."""

    count: int
    left_out: int


@transaction.atomic
def issue(*, lake: Lake, first: str, last: str, to: User, actor: User, now: datetime) -> Issued:
    """Hand a range of vials to somebody who logs fish; all of them or none.

    :raises CannotIssue: naming each vial that is not in the office
    """
    if not has_permission(to, Permission.LOG_FISH, lake):
        raise CannotIssue("not_logging", f"{to} is not set up to log fish at {lake}.", "to")
    vials = locked_range(lake, first, last, CannotIssue)
    fresh = [vial for vial in vials if vial.state in ISSUE.starts]
    wrong = [
        vial
        for vial in vials
        if vial.state not in ISSUE.starts
        and not (vial.state == Vial.State.ISSUED and vial.issued_to_id == to.pk)
    ]
    if wrong:
        raise CannotIssue(
            "not_in_office",
            f"Not in the office: {named(wrong)}. Nothing was issued. "
            "Return these first, or enter a range without them.",
            "first",
        )
    for vial in fresh:
        vial.state, vial.issued_to, vial.issued_at = Vial.State.ISSUED, to, now
    change(fresh, ["state", "issued_to", "issued_at"], actor=actor, now=now)
    return Issued(vials, len(fresh))


@transaction.atomic
def return_vials(
    *,
    lake: Lake,
    first: str,
    last: str,
    holder: User | None = None,
    actor: User,
    now: datetime,
) -> LeftHands:
    """Take back the vials of a range that are still unused in somebody's hands, or a holder's.

    Those that were used meanwhile stay as they are.

    :raises CannotReturnVials: if none of them is in anybody's hands
    """
    vials, out = unused_in_hands(lake, first, last, CannotReturnVials, holder)
    for vial in out:
        vial.state, vial.issued_to, vial.issued_at = Vial.State.PRINTED, None, None
    change(out, ["state", "issued_to", "issued_at"], actor=actor, now=now)
    return LeftHands(len(out), len(vials) - len(out))


def unused_in_hands(
    lake: Lake, first: str, last: str, refused: type[VialsRefused], holder: User | None = None
) -> tuple[list[Vial], list[Vial]]:
    """Lock a range, and return its vials and those of them unused in hands, or in a holder's."""
    vials = locked_range(lake, first, last, refused)
    theirs = [
        vial
        for vial in vials
        if vial.state in LEAVE_HANDS.starts and (holder is None or vial.issued_to_id == holder.pk)
    ]
    if not theirs:
        whose = f"{holder} holds none of these unused" if holder else "Not issued to anyone"
        raise refused("not_in_hands", f"{whose}: {named(vials)}. Nothing was changed.", "first")
    return vials, theirs
