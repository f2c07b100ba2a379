"""The life of one vial, step by step, from its history."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from samples.models import Fish, Vial
from samples.rules.lake_time import local_day

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


@dataclass(frozen=True, slots=True)
class LifeStep:
    """One step: done and dated, where the vial stands now, or still to come."""

    when: Literal["done", "now", "later"]
    label: str
    day: date | None = None
    actor: str = ""


def life_of(vial: Vial) -> list[LifeStep]:
    """Return a vial's life: what happened, by whom and when, and what is to come."""
    rows = list(
        vial.history.select_related("history_user", "issued_to").order_by(
            "history_date", "history_id"
        )
    )
    zone = vial.lake.time_zone
    fish = getattr(vial, "fish", None)
    done, now = _until_now(_steps(rows, fish, zone), vial)
    if fish is not None and all(row.state != State.USED for row in rows):
        done.append(_late_log(fish, zone))
    return [*done, now, *_to_come(State(vial.state))]


def _until_now(
    steps_made: list[tuple[LifeStep, bool]], vial: Vial
) -> tuple[list[LifeStep], LifeStep]:
    """Split what is over from where the vial stands: the last step that moved it."""
    steps = [step for step, _ in steps_made]
    if steps_made and steps_made[-1][1]:
        last = steps[-1]
        return steps[:-1], LifeStep("now", last.label, last.day, last.actor)
    # A note came last, or the vial came with old data and has no history of its own.
    return steps, LifeStep("now", str(State(vial.state).label))


def _late_log(fish: Fish, zone: str) -> LifeStep:
    """Return the step of a log that came in after its vial; the vial stands where it stood."""
    day = local_day(fish.received_at, zone)
    return LifeStep("done", f"Fish logged: {fish.arm}", day, str(fish.logged_by))


def _steps(rows: list[Any], fish: Fish | None, zone: str) -> list[tuple[LifeStep, bool]]:
    """Return each step, and whether it moved the vial on."""
    steps = []
    before = None
    for row in rows:
        words = _label(row, before, fish)
        if words:
            by = row.history_user
            day = local_day(row.history_date, zone)
            moved = before is None or row.state != before.state
            steps.append((LifeStep("done", words, day, str(by) if by else ""), moved))
        before = row
    return steps


def _label(row: Any, before: Any, fish: Fish | None) -> str:
    """Return what one row of history changed; nothing if it is none of the vial's steps."""
    if before is None or row.state != before.state:
        return _new_state(row, before, fish)
    if row.state == State.ISSUED and row.issued_to_id != before.issued_to_id:
        return f"Issued to {row.issued_to}"
    if row.content != before.content:
        return f"Inside: {Vial.Content(row.content).label.lower()}"
    if row.archive_box != before.archive_box or row.archive_slot != before.archive_slot:
        return _archived(row)
    return ""


def _new_state(row: Any, before: Any, fish: Fish | None) -> str:
    was = before.state if before else ""
    state = State(row.state)
    if was in _ASIDE:
        return f"Returned to use: {state.label.lower()}{_inside(row)}"
    if was == State.USED and state in {State.PRINTED, State.ISSUED}:
        return f"Fish deleted, vial free again; {state.label.lower()}"
    if was == State.ISSUED and state == State.PRINTED:
        return "Returned to the office"
    if was == State.ARCHIVED:
        return "Taken out of its box"
    if was == State.CLEARING and state == State.RECEIVED:
        return "Taken out of the tray, not cleared"
    return _first_time(row, state, fish)


def _first_time(row: Any, state: State, fish: Fish | None) -> str:
    if state == State.ISSUED:
        return f"Issued to {row.issued_to}"
    if state == State.USED and fish is not None:
        return f"Used at the ramp: {fish.arm}"
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
    place = [
        f"{name} {value}"
        for name, value in (("box", row.archive_box), ("slot", row.archive_slot))
        if value
    ]
    return f"Archived in {', '.join(place)}" if place else "Archived"


def _to_come(state: State) -> list[LifeStep]:
    if state in _ASIDE:
        return []
    return [LifeStep("later", str(later.label)) for later in _WAY[_WAY.index(state) + 1 :]]
