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
    Shift,
    UnmeasuredCounted,
    Withdrawal,
)
from samples.ramp.services.answers import Held, Refused
from samples.ramp.services.batch import Batch, gather, number_said
from samples.ramp.services.corrections import apply_correction, apply_withdrawal, shift_vials
from samples.ramp.services.parties import (
    change_party,
    close_party,
    count_unmeasured,
    withdraw_count,
)

TO_PARTY: dict[type[Entry], Callable[[Any, Batch], Any]] = {
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


def apply_to_fish(held: HeldEntry, entry: Correction | Withdrawal, *, now: datetime) -> Fish | None:
    """Correct or delete a fish of the sender's, or delete a count of theirs, which is no fish.

    Once the vial was read, nothing may part it from its fish: the reading would go astray.

    :raises CannotSettle: if the fish is not there or not theirs, or it cannot be as written
    """
    # Vials before fish, as a phone's batch does.
    batch = gather([entry], by=held.said_by, phone=held.phone, now=now, settled_at=held.lake_id)
    if isinstance(entry, Withdrawal) and withdraw_count(entry, batch) is not None:
        return None
    fish = _fish_on_record(held, entry)
    _refuse_to_part_from_reading(fish, entry)
    try:
        if isinstance(entry, Withdrawal):
            return apply_withdrawal(fish, batch)
        return apply_correction(fish, entry, batch)
    except (Held, Refused) as problem:
        raise CannotSettle(problem.code, str(problem)) from problem


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


def _refuse_to_part_from_reading(fish: Fish, entry: Correction | Withdrawal) -> None:
    if fish.vial is None or not fish.vial.readings.exists():
        return
    said = number_said(entry.fish.vial) if isinstance(entry, Correction) else None
    if said != fish.vial.number:
        raise CannotSettle(
            "read", "The vial was read already for this fish. Take the reading back first."
        )


def apply_to_party(
    held: HeldEntry,
    entry: PartyChanged | PartyClosed | Shift | UnmeasuredCounted,
    *,
    now: datetime,
) -> None:
    """Apply what was said of a trip; its sender stays the one who said it.

    :raises CannotSettle: if the trip is not here, or it cannot be as written
    """
    batch = gather([entry], by=held.said_by, phone=held.phone, now=now, settled_at=held.lake_id)
    try:
        TO_PARTY[type(entry)](entry, batch)
    except (Held, Refused) as problem:
        raise CannotSettle(problem.code, str(problem)) from problem
