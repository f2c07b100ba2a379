"""What became of one vial itself, step by step, from its history.

Its fish and its readings have histories of their own: what they tell is left out here.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from samples.models import TrayPlace, Vial

State = Vial.State

# What comes next in a life that goes as it should.
_WAY = [
    State.PRINTED,
    State.ISSUED,
    State.USED,
    State.RECEIVED,
    State.CLEARING,
    State.READY,
    State.READ,
    State.ARCHIVED,
]
_ASIDE = frozenset({State.LOST, State.VOID})
_BEFORE_A_FISH = frozenset({State.PRINTED, State.ISSUED})


@dataclass(frozen=True, slots=True)
class LifeStep:
    """One thing that was done with a vial, by whom and when."""

    at: datetime
    label: str
    actor: str = ""


def steps_of(vial: Vial) -> list[LifeStep]:
    """Return what was done with a vial, in the order in which it was written down."""
    rows = vial.history.select_related("history_user", "issued_to").order_by(
        "history_date", "history_id"
    )
    steps, laid = _tray_moves(vial)
    before = None
    for row in rows:
        label = _label(row, before)
        tray = laid.get(row.history_date, "")
        if label and tray:
            label = f"{label}, tray {tray}"
        if label:
            by = row.history_user
            steps.append(LifeStep(row.history_date, label, str(by) if by else ""))
        before = row
    return sorted(steps, key=lambda step: step.at)


def _tray_moves(vial: Vial) -> tuple[list[LifeStep], dict[datetime, str]]:
    """Return the moves from tray to tray, and the trays that a vial was laid into, by instant."""
    places = TrayPlace.objects.filter(vial=vial).select_related("tray", "moved_from", "scanned_by")
    moves = [
        LifeStep(
            one.scanned_at,
            f"Moved from tray {one.moved_from.name} to tray {one.tray.name}",
            str(one.scanned_by),
        )
        for one in places
        if one.moved_from is not None
    ]
    return moves, {one.scanned_at: one.tray.name for one in places if one.moved_from is None}


def states_to_come(vial: Vial) -> list[str]:
    """Return what is still to come for a vial in use, the next first."""
    state = State(vial.state)
    if state in _ASIDE:
        return []
    return [str(later.label) for later in _WAY[_WAY.index(state) + 1 :]]


def _label(row: Any, before: Any) -> str:
    """Return what one row of history changed; nothing if it is none of the vial's steps."""
    if before is None or row.state != before.state:
        return _new_state(row, before)
    if row.state == State.ISSUED and row.issued_to_id != before.issued_to_id:
        return f"Issued to {row.issued_to}"
    if row.content != before.content:
        return f"Inside: {Vial.Content(row.content).label.lower()}"
    if row.archive_box != before.archive_box or row.archive_slot != before.archive_slot:
        return _archived(row)
    return ""


def _new_state(row: Any, before: Any) -> str:
    was = State(before.state) if before else None
    state = State(row.state)
    if state in _ASIDE:
        return _first_time(row, state)
    if was in _ASIDE:
        return f"Returned to use: {state.label.lower()}{_inside(row)}"
    if was == State.ISSUED and state == State.PRINTED:
        return "Returned to the office"
    if was == State.ARCHIVED:
        return "Taken out of its box"
    if was == State.CLEARING and (state == State.RECEIVED or _is_new_clearing(row, before)):
        return "Taken out of the tray, not cleared"
    if was == State.READ and state == State.CLEARING and _is_new_clearing(row, before):
        return _first_time(row, state)
    if state == State.READ and before is not None and before.received_at is None:
        return "Received as it was read"
    if _is_told_elsewhere(state, was):
        return ""
    return _first_time(row, state)


def _is_new_clearing(row: Any, before: Any) -> bool:
    """Return whether another clearing began, or was undone: a reading leaves its day alone."""
    return bool(row.clearing_from != before.clearing_from)


def _is_told_elsewhere(state: State, was: State | None) -> bool:
    """Return whether the fish or a reading moved the vial, or took back what had moved it."""
    if state in {State.USED, State.READ}:
        return True
    if was == State.USED:
        return state in _BEFORE_A_FISH
    return was == State.READ and state not in {State.ARCHIVED, *_ASIDE}


def _first_time(row: Any, state: State) -> str:
    if state == State.ISSUED:
        return f"Issued to {row.issued_to}"
    if state == State.RECEIVED:
        return f"Received{_inside(row)}"
    if state == State.ARCHIVED:
        return _archived(row)
    if state in _ASIDE and row.note:
        return f"{state.label}: {row.note}"
    return str(state.label)


def _inside(row: Any) -> str:
    return f": {Vial.Content(row.content).label.lower()}" if row.content else ""


def _archived(row: Any) -> str:
    place = place_of(row)
    return f"Archived in {place}" if place else "Archived"


def place_of(vial: Any) -> str:
    """Return the box and slot of a vial, or of a row of its history; empty for none."""
    return ", ".join(
        f"{name} {value}"
        for name, value in (("box", vial.archive_box), ("slot", vial.archive_slot))
        if value
    )
