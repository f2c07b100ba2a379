"""Everything that happened to a vial, its fish and its readings, in one line of time."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby, pairwise
from typing import Any

from django.urls import reverse
from django.utils.formats import date_format

from samples.accounts.permissions import Permission
from samples.lab.queries import history_of_ages, history_of_preparations, history_of_readings
from samples.models import Fish, HeldEntry, Lake, Reading, Vial
from samples.rules.lake_time import local_day
from samples.rules.vial_number import grouped
from samples.units import LengthUnit, to_text
from samples.vials.presenters.life import steps_of


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened: when, what, by whom, and where more of it is shown."""

    at: datetime
    what: str
    who: str
    address: str = ""


def timeline_of(
    vial: Vial, granted: frozenset[Permission], *, length_shown: bool = True
) -> list[Event]:
    """Return all that happened, the latest first; without lengths for who will read it blind.

    What is told of readings follows the rights: who decides no ages learns that an otolith was
    read, and not what was counted, since they may be the next to read it. Donors are never named.
    """
    events = [Event(step.at, step.label, step.actor) for step in steps_of(vial)]
    holders, fish_events = _fish_events(vial, length_shown=length_shown)
    events += fish_events
    if Permission.SETTLE_HELD in granted:
        events += _held_events(vial)
    if Permission.DECIDE_AGES in granted:
        events += _lab_events(vial, holders)
    else:
        events += _readings_without_counts(vial)
    events += [Event(line.at, line.what, line.who) for line in history_of_preparations(vial.pk)]
    # Of one instant, what was written down last stands on top, as everywhere in the list.
    return sorted(events, key=lambda event: event.at)[::-1]


def _fish_events(vial: Vial, *, length_shown: bool) -> tuple[list[int], list[Event]]:
    """Return the fish that ever were under the vial's number, and what became of each."""
    ids = Fish.history.filter(vial_id=vial.pk).order_by().values_list("id", flat=True).distinct()
    rows = Fish.history.filter(id__in=list(ids)).select_related(
        "history_user", "logged_by", "species", "arm", "vial"
    )
    ordered = rows.order_by("id", "history_date", "history_id")
    holders, events = [], []
    for fish_id, group in groupby(ordered, lambda row: row.id):
        holders.append(fish_id)
        events += list(_events_of_fish(vial, list(group), length_shown=length_shown))
    return holders, events


def _events_of_fish(vial: Vial, rows: list[Any], *, length_shown: bool) -> Iterator[Event]:
    if rows[0].vial_id == vial.pk:
        yield _logged(vial.lake, rows[0], length_shown=length_shown)
    for before, row in pairwise(rows):
        what = _what_changed(vial, before, row, length_shown=length_shown)
        if what:
            yield Event(row.history_date, what, str(row.history_user or row.logged_by))


def _logged(lake: Lake, row: Any, *, length_shown: bool) -> Event:
    what = f"Logged at the ramp: {_fish_in_words(lake, row, length_shown=length_shown)}"
    day = local_day(row.logged_at, lake.time_zone)
    if day != local_day(row.received_at, lake.time_zone):
        what = f"{what}. Written on the phone {date_format(day)}"
    return Event(row.received_at, what, str(row.logged_by))


def _fish_in_words(lake: Lake, row: Any, *, length_shown: bool) -> str:
    if not length_shown:
        return f"{row.species}, {row.arm}"
    return f"{row.species}, {_length(lake, row)}, {row.arm}"


def _length(lake: Lake, row: Any) -> str:
    return f"{to_text(row.length_hundredths_mm, LengthUnit(lake.length_unit))} {lake.length_unit}"


def _what_changed(vial: Vial, before: Any, row: Any, *, length_shown: bool) -> str:
    """Return what a later row of a fish's history says of this vial; nothing if nothing."""
    was, now = before.vial_id == vial.pk, row.vial_id == vial.pk
    if now and not was:
        return f"Fish moved here: {_fish_in_words(vial.lake, row, length_shown=length_shown)}"
    if was and not now:
        return _left(row)
    return _corrected(vial.lake, before, row, length_shown=length_shown) if was else ""


def _left(row: Any) -> str:
    if row.withdrawn:
        return "Fish deleted; the vial can be used again"
    if row.vial_id:
        return f"Fish moved to {grouped(row.vial.number)}"
    return "Fish left without a vial"


def _corrected(lake: Lake, before: Any, row: Any, *, length_shown: bool) -> str:
    pairs = [
        ("length", _length(lake, before), _length(lake, row)),
        ("species", str(before.species), str(row.species)),
        ("arm", str(before.arm), str(row.arm)),
        ("sex", before.get_sex_display().lower(), row.get_sex_display().lower()),
        ("catch date", _day(before), _day(row)),
        ("tag", before.tag_number or "none", row.tag_number or "none"),
    ]
    changed = [
        f"{name} {was} to {now}" if length_shown or name != "length" else name
        for name, was, now in pairs
        if was != now
    ]
    return f"Fish corrected: {', '.join(changed)}" if changed else ""


def _day(row: Any) -> str:
    return date_format(row.caught_on) if row.caught_on else "unknown"


def _held_events(vial: Vial) -> Iterator[Event]:
    """Return the entries about this vial that could not be logged as they stood."""
    held = HeldEntry.objects.filter(vial=vial, lake=vial.lake)
    for one in held.select_related("said_by", "settled_by"):
        address = reverse("ramp:held_entry", args=[vial.lake.slug, one.pk])
        waits = one.state == HeldEntry.State.OPEN
        what = "Another entry names this vial: to resolve" if waits else "Another entry named it"
        yield Event(one.received_at, what, str(one.said_by), address if waits else "")
        if one.settled_at is not None:
            how = f"Entry resolved: {one.get_settled_how_display().lower()}"
            note = f" ({one.note})" if one.note else ""
            yield Event(one.settled_at, how + note, str(one.settled_by))


def _lab_events(vial: Vial, holders: list[int]) -> list[Event]:
    """Return the readings, each with the age that the rule made of it, and what was decided."""
    ages = [line for fish_id in holders for line in history_of_ages(fish_id)]
    by_rule = {line.at: line.what for line in ages if not line.is_decision}
    readings = history_of_readings(vial.pk)
    events = [
        Event(line.at, ". ".join(filter(None, [line.what, by_rule.get(line.at, "")])), line.who)
        for line in readings
    ]
    told = {line.at for line in readings}
    return events + [
        Event(line.at, line.what, line.who)
        for line in ages
        if line.is_decision or line.at not in told
    ]


def _readings_without_counts(vial: Vial) -> list[Event]:
    readings = Reading.objects.filter(vial=vial).select_related("reader").order_by("read_at", "pk")
    return [Event(one.read_at, "Read", str(one.reader)) for one in readings]
