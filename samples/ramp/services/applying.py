"""How the office applies what was said of a fish, a count or a trip that is on record."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from samples.models import Fish, HeldEntry
from samples.ramp.entry import (
    Correction,
    Entry,
    PartyChanged,
    PartyClosed,
    PartyOpened,
    Shift,
    UnmeasuredCounted,
    Withdrawal,
)
from samples.ramp.services.answers import Held, Refused
from samples.ramp.services.batch import Batch, gather, number_said
from samples.ramp.services.confirming import confirm_date, confirm_fish
from samples.ramp.services.corrections import apply_correction, apply_withdrawal, shift_vials
from samples.ramp.services.parties import (
    change_party,
    close_party,
    count_unmeasured,
    open_party,
    withdraw_count,
)

TO_PARTY: dict[type[Entry], Callable[[Any, Batch], Any]] = {
    PartyOpened: open_party,
    PartyChanged: change_party,
    PartyClosed: close_party,
    Shift: shift_vials,
    UnmeasuredCounted: count_unmeasured,
}


class CannotSettle(Exception):
    """A way to settle that does not work here; the message says why, beside ``field``."""

    def __init__(self, code: str, sentence: str, field: str = "number") -> None:
        super().__init__(sentence)
        self.code = code
        self.field = field


def apply_correction_of(
    held: HeldEntry, entry: Correction, *, now: datetime, confirmed: bool
) -> Fish:
    """Correct a fish of the sender's.

    ``confirmed`` says that somebody looked at what is unlikely of it, and that it is right.

    :raises CannotSettle: if the fish is not there or not theirs, or it cannot be as written
    """
    # Vials before fish, as a phone's batch does.
    batch = gather([entry], by=held.said_by, phone=held.phone, now=now, settled_at=held.lake_id)
    fish = _fish_on_record(held, entry)
    _refuse_to_part_from_reading(fish, number_said(entry.fish.vial))
    if confirmed:
        entry = confirm_fish(entry, batch.party_of(fish.party.party_id), batch)
    try:
        return apply_correction(fish, entry, batch)
    except (Held, Refused) as problem:
        raise CannotSettle(problem.code, str(problem)) from problem


def apply_withdrawal_of(held: HeldEntry, entry: Withdrawal, *, now: datetime) -> Fish | None:
    """Delete a fish of the sender's, or a count of theirs, which is no fish.

    :raises CannotSettle: if the fish is not there or not theirs, or its vial was read
    """
    batch = gather([entry], by=held.said_by, phone=held.phone, now=now, settled_at=held.lake_id)
    if withdraw_count(entry, batch) is not None:
        return None
    fish = _fish_on_record(held, entry)
    _refuse_to_part_from_reading(fish, None)
    return apply_withdrawal(fish, batch)


def _fish_on_record(held: HeldEntry, entry: Correction | Withdrawal) -> Fish:
    fish = Fish.objects.select_for_update().filter(entry_id=entry.about_entry_id).first()
    if fish is None or fish.withdrawn or fish.lake_id != held.lake_id:
        raise CannotSettle("unknown_fish", "The fish is not on record here. Void this entry.")
    if fish.logged_by_id != held.said_by_id:
        raise CannotSettle(
            "not_theirs",
            f"{held.said_by} did not log this fish, so this entry can't change it. Void it.",
        )
    return fish


def _refuse_to_part_from_reading(fish: Fish, number: str | None) -> None:
    """Refuse another vial, or none, once it was read: the reading would go astray."""
    if fish.vial is None or fish.vial.number == number:
        return
    if fish.vial.readings.exists():
        raise CannotSettle(
            "read", "The vial was read already for this fish. Take the reading back first."
        )


def apply_to_party(
    held: HeldEntry,
    entry: PartyOpened | PartyChanged | PartyClosed | Shift | UnmeasuredCounted,
    *,
    now: datetime,
) -> None:
    """Apply what was said of a trip; its sender stays the one who said it.

    A date outside every season counts as confirmed: whoever applies it looked at it.

    :raises CannotSettle: if the trip is not here, or it cannot be as written
    """
    batch = gather([entry], by=held.said_by, phone=held.phone, now=now, settled_at=held.lake_id)
    if isinstance(entry, PartyOpened | PartyChanged):
        entry = confirm_date(entry, held.lake, now=now)
    try:
        TO_PARTY[type(entry)](entry, batch)
    except (Held, Refused) as problem:
        raise CannotSettle(problem.code, str(problem)) from problem
