"""How the office applies an entry about a fish, a count or a trip that is on record.

The moves are those of an ingest: load as the author's at this lake, decide, write.
"""

from datetime import datetime

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
from samples.ramp.services.answers import Answer, Held, Outcome, Refused
from samples.ramp.services.changes import Decision, KeepEntry
from samples.ramp.services.confirming import confirm_date, confirm_fish
from samples.ramp.services.decide import decide_changes
from samples.ramp.services.known import Known
from samples.ramp.services.load import Rows, load
from samples.ramp.services.write import Sender, write


class CannotSettle(Exception):
    """A way to settle that does not work here; the message says why, beside ``field``."""

    def __init__(self, code: str, sentence: str, field: str = "number") -> None:
        super().__init__(sentence)
        self.code = code
        self.field = field


def load_for(held: HeldEntry, entry: Entry, *, now: datetime) -> tuple[Known, Rows]:
    """Load what an entry speaks of, as of its author: an office applies it at its own lake."""
    return load([entry], author=held.said_by, now=now, resolved_at=held.lake_id)


def apply(held: HeldEntry, entry: Entry, known: Known, rows: Rows, *, now: datetime) -> None:
    """Write what an entry changes. The entry itself is not kept again: it stays the held one.

    :raises CannotSettle: if it cannot be as written
    """
    try:
        changes, _ = decide_changes(entry, known)
    except (Held, Refused) as problem:
        raise CannotSettle(problem.code, str(problem)) from problem
    applied = tuple(change for change in changes if not isinstance(change, KeepEntry))
    decision = Decision(Answer(entry.entry_id, Outcome.LOGGED), applied)
    write([decision], rows, Sender(held.said_by, now, held.phone))


def apply_correction_of(
    held: HeldEntry, entry: Correction, *, now: datetime, confirmed: bool
) -> Fish:
    """Correct a fish of the author's.

    ``confirmed`` says that somebody looked at what is unlikely of it, and that it is right.

    :raises CannotSettle: if the fish is not there or not theirs, or it cannot be as written
    """
    # Vials before fish, as a phone's batch does.
    known, rows = load_for(held, entry, now=now)
    fish = _fish_on_record(held, entry)
    _refuse_to_part_from_reading(fish, entry.fish.vial.number)
    if confirmed:
        entry = confirm_fish(entry, fish.party.party_id, known)
    apply(held, entry, known, rows, now=now)
    fish.refresh_from_db()
    return fish


def apply_withdrawal_of(held: HeldEntry, entry: Withdrawal, *, now: datetime) -> Fish | None:
    """Delete a fish of the author's, or a count of theirs, which is no fish.

    :raises CannotSettle: if the fish is not there or not theirs, or its vial was read
    """
    known, rows = load_for(held, entry, now=now)
    fish = None
    if entry.about_entry_id not in known.counts:
        fish = _fish_on_record(held, entry)
        _refuse_to_part_from_reading(fish, None)
    apply(held, entry, known, rows, now=now)
    if fish is not None:
        fish.refresh_from_db()
    return fish


def _fish_on_record(held: HeldEntry, entry: Correction | Withdrawal) -> Fish:
    fish = Fish.objects.select_for_update().filter(entry_id=entry.about_entry_id).first()
    if fish is None or fish.withdrawn or fish.lake_id != held.lake_id:
        raise CannotSettle("unknown_fish", "This fish is not on record. Void this entry.")
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
            "read", "This vial has a reading for this fish. Delete the reading first."
        )


def apply_to_party(
    held: HeldEntry,
    entry: PartyOpened | PartyChanged | PartyClosed | Shift | UnmeasuredCounted,
    *,
    now: datetime,
) -> None:
    """Apply an entry about a trip; its author stays the one who wrote it.

    A date outside every season counts as confirmed: whoever applies it looked at it.

    :raises CannotSettle: if the trip is not here, or it cannot be as written
    """
    if isinstance(entry, PartyOpened | PartyChanged):
        entry = confirm_date(entry, held.lake, now=now)
    known, rows = load_for(held, entry, now=now)
    apply(held, entry, known, rows, now=now)
