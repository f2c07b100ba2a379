"""Taking a reading back that was typed for the wrong vial.

The vial's row is locked first, as where one is saved.
"""

from datetime import datetime

from samples.accounts.permissions import Permission, has_permission
from samples.lab import rules
from samples.lab.services.ages import DECISIONS, species_of, work_out_age
from samples.lab.services.errors import CannotWithdrawReading, WithdrawalNeedsConfirmation
from samples.lab.services.sections import drop, open_requests
from samples.models import (
    Age,
    Fish,
    OtolithOutcome,
    Reading,
    SessionOtolith,
    User,
    Vial,
    atomic_with_revision,
    out_of_dried_trays,
    without_reference,
)
from samples.models.signing import delete_signed, save_signed

# As much as the history keeps of a reason.
_LONGEST_REASON = 100


@atomic_with_revision()
def withdraw_reading(
    *, reading: Reading, actor: User, now: datetime, note: str = "", confirmed: bool = False
) -> Vial:
    """Take a reading back that was typed for the wrong vial; its history keeps what it said.

    A vial that nobody else has read stands where it stood before it was read.

    :raises CannotWithdrawReading: if it is somebody else's, or a decided age rests on it alone
    :raises WithdrawalNeedsConfirmation: if a consensus age would be lost; not where ``confirmed``
    """
    vial = Vial.objects.select_for_update().get(pk=reading.vial_id)
    reading = _reading_that_stands(reading)
    may_decide = has_permission(actor, Permission.DECIDE_AGES, vial.lake)
    if reading.reader_id != actor.pk and not may_decide:
        raise CannotWithdrawReading(
            "not_yours", "Only its reader or the biologist can delete a reading."
        )
    otolith = reading.session_otolith
    if otolith is not None and otolith.session.closed_at is not None and not may_decide:
        raise CannotWithdrawReading(
            "session_closed",
            "This session is closed, so its readings stay. Ask the biologist to delete the reading "
            "if it is of another vial.",
        )
    fish = Fish.objects.filter(vial=vial).select_related("species").first()
    others = without_reference(Reading.objects.filter(vial=vial))
    is_last = not others.exclude(pk=reading.pk).exists()
    if is_last and Age.objects.filter(fish=fish, standing__in=DECISIONS).exists():
        raise CannotWithdrawReading(
            "decided", "The biologist decided the age from this reading. Undo the decision first."
        )
    if fish is not None and not confirmed:
        _ask_before_consensus_is_lost(fish, reading)
    for request in open_requests(vial).filter(reading=reading):
        drop(request, actor=actor, now=now)
    reading._change_reason = note.strip()[:_LONGEST_REASON] or None  # type: ignore[attr-defined]
    delete_signed(reading, actor=actor, now=now)
    if otolith is not None:
        _put_back_into_session(otolith, actor=actor, now=now)
    if is_last and vial.state == Vial.State.READ:
        _put_back(vial, actor=actor, now=now)
    if fish is not None:
        work_out_age(fish, now=now)
    return vial


def _put_back_into_session(otolith: SessionOtolith, *, actor: User, now: datetime) -> None:
    otolith.outcome, otolith.done_at = OtolithOutcome.WAITING, None
    otolith.needs_section = False
    save_signed(otolith, actor=actor, now=now)


_LEFT = {
    Age.Standing.ONE_READER: "one reader's age is left.",
    Age.Standing.SECOND_NEEDED: "the fish has no age until a second reader reads it.",
    Age.Standing.TO_SETTLE: "the fish has no age until somebody decides it.",
}


def _ask_before_consensus_is_lost(fish: Fish, reading: Reading) -> None:
    """Ask if the readers' consensus is another one, or none, without a reading."""
    age = Age.objects.filter(fish=fish, standing=Age.Standing.AGREED).first()
    if age is None:
        return
    others = without_reference(Reading.objects.filter(vial=reading.vial_id))
    readings = rules.aged(others.exclude(pk=reading.pk), fish, species_of(fish))
    if not readings:
        return
    left = rules.consensus_of(readings, fish, rules.consensus_rule_of(fish.lake))
    if (left.standing, left.age_years) == (age.standing, age.age_years):
        return
    what = _LEFT.get(left.standing, "the readers agree on another age.")
    raise WithdrawalNeedsConfirmation(
        "consensus_lost",
        f"This fish has a consensus age, and this reading is part of it. Without it, {what}",
    )


def _reading_that_stands(reading: Reading) -> Reading:
    found = Reading.objects.filter(pk=reading.pk).first()
    if found is None:
        raise CannotWithdrawReading("gone", "This reading is already deleted.")
    return found


def _put_back(vial: Vial, *, actor: User, now: datetime) -> None:
    """Let a vial stand where it stood before its only reading.

    One that was taken out of its box stays out, and one whose tray was rinsed is cleared.
    """
    later = [Vial.State.READ, Vial.State.ARCHIVED, Vial.State.LOST, Vial.State.VOID]
    before = vial.history.exclude(state__in=later).order_by("-history_date", "-history_id").first()
    if before is None:
        vial.state = Vial.State.RECEIVED
    else:
        vial.state = before.state
        vial.received_at, vial.received_by_id = before.received_at, before.received_by_id
    vial.state = out_of_dried_trays(vial, Vial.State(vial.state))
    save_signed(vial, actor=actor, now=now)
