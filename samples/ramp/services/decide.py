"""What becomes of entries: decided on plain values alone, without a database or a clock.

Each kind of entry has a function in `DECIDERS`, which returns what to write and what is known to
the entries that follow, or raises `Refused` or `Held`.
"""

from collections.abc import Callable, Sequence
from typing import Any

from samples.ramp.entry import (
    Correction,
    Entry,
    FishLogged,
    PartyChanged,
    PartyClosed,
    PartyOpened,
    Shift,
    UnmeasuredCounted,
    Withdrawal,
)
from samples.ramp.services.answers import Answer, Held, Outcome, Refused
from samples.ramp.services.changes import Change, Decision, HoldEntry
from samples.ramp.services.decide_fish import correct_fish, log_fish, move_fish, withdraw
from samples.ramp.services.decide_trip import (
    change_trip,
    close_trip,
    count_fish,
    open_trip,
)
from samples.ramp.services.known import Known

Changed = tuple[tuple[Change, ...], Known]

DECIDERS: dict[type[Entry], Callable[[Any, Known], Changed]] = {
    FishLogged: log_fish,
    Correction: correct_fish,
    Withdrawal: withdraw,
    Shift: move_fish,
    PartyOpened: open_trip,
    PartyChanged: change_trip,
    PartyClosed: close_trip,
    UnmeasuredCounted: count_fish,
}

# What the office can answer beside the paper, the vial and the fish's length.
HELD_IF_PASTED = {
    "needs_answer": "needs_answer",
    "no_vial": "no_vial_number",
    **dict.fromkeys(("empty", "not_digits", "too_short", "too_long"), "no_vial_number"),
}


def decide_all(entries: Sequence[Entry], known: Known) -> list[Decision]:
    """Return what becomes of each entry, in their order; each knows what came before it."""
    decisions = []
    for entry in entries:
        decision, known = decide(entry, known)
        decisions.append(decision)
    return decisions


def decide(entry: Entry, known: Known) -> tuple[Decision, Known]:
    """Return what becomes of one entry, and what the next one may rely on."""
    if (before := _sent_before(entry, known)) is not None:
        return before
    try:
        changes, after = decide_changes(entry, known)
    except Refused as problem:
        if known.is_pasted and (reason := held_if_pasted(problem)) is not None:
            return hold(entry, reason, known)
        answer = Answer(entry.entry_id, Outcome.REFUSED, problem.code, problem.errors)
        return Decision(answer), known
    except Held as problem:
        return hold(entry, problem.code, known)
    return Decision(Answer(entry.entry_id, Outcome.LOGGED), changes), after


def decide_changes(entry: Entry, known: Known) -> Changed:
    """Return what an entry that is new here would change.

    :raises Refused: if its sender can put it right
    :raises Held: if only the office can say
    """
    return DECIDERS[type(entry)](entry, known)


def _sent_before(entry: Entry, known: Known) -> tuple[Decision, Known] | None:
    """Return the answer to an entry whose id was here before: the same, or with other facts."""
    fish = known.fish.get(entry.entry_id)
    if isinstance(entry, FishLogged):
        earlier = fish.fingerprint if fish is not None else None
    else:
        earlier = known.entries.get(entry.entry_id)
    if earlier is not None and earlier == entry.fingerprint():
        return Decision(Answer(entry.entry_id, Outcome.ALREADY_LOGGED)), known
    if earlier is not None or fish is not None:
        return hold(entry, "entry_changed", known)
    if known.held and (entry.entry_id, entry.fingerprint()) in known.held:
        return hold(entry, "", known)
    return None


def held_if_pasted(problem: Refused) -> str | None:
    """Return why an entry is held that its phone would have been asked about.

    Nobody is there to be asked while a text is pasted in, so the office answers later. What
    else is refused stays in the text: only another person's or lake's setup can change that.
    """
    if problem.code == "needs_answer" and "vial" in problem.errors:
        return "wrong_check_digit"
    return HELD_IF_PASTED.get(problem.code)


def hold(entry: Entry, reason: str, known: Known) -> tuple[Decision, Known]:
    """Return the decision to hold an entry; held before, it keeps its first reason."""
    key = (entry.entry_id, entry.fingerprint())
    if key in known.held:
        return Decision(Answer(entry.entry_id, Outcome.HELD, known.held[key])), known
    trip = known.trips.get(entry.party_id)
    named = (known.vials.get(vial.number) for vial in entry.vials() if vial.number)
    vial = next((vial for vial in named if vial is not None), None)
    # Another lake's vial is not this office's to see.
    is_ours = vial is not None and trip is not None and vial.lake == trip.lake
    change = HoldEntry(
        entry,
        reason,
        # An entry of an unknown party still goes to an office: that of the sender's lake.
        lake=trip.lake if trip is not None else known.office,
        party_id=entry.party_id if trip is not None else None,
        vial=vial.number if vial is not None and is_ours else None,
    )
    answer = Answer(entry.entry_id, Outcome.HELD, reason)
    return Decision(answer, (change,)), known.with_held(*key, reason)
