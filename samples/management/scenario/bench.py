"""The bench: vials come in, are looked into, put to clear and are at last archived."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final
from uuid import UUID

import numpy as np

from samples.management.scenario.programme import SEASONS, season_of
from samples.management.scenario.records import KitRecord, VialFate
from samples.management.scenario.vials import Filled, Numbered, VialKey, printed_numbers

_CONTENTS: Final = ("two", "one", "broken", "none", "more_fish", "wrong")
_CONTENT_SHARE: Final = (0.885, 0.080, 0.020, 0.008, 0.004, 0.003)
_CAN_BE_READ: Final = frozenset({"one", "two"})
_NEVER_CAME: Final = 0.012
# A bag of vials of one trip that was lost: the share of the way through 2025's parties.
_LOST_BAG_AT: Final = 0.5
_LOST_BAG_SIZE: Final = range(5, 10)
_GIVEN_UP_AFTER: Final = timedelta(days=120)
_ARCHIVED_AFTER: Final = timedelta(days=40)
_MISPRINTS: Final = 3
_SLOTS_IN_BOX: Final = 81
_OFFICE_DAYS: Final = (0, 3)  # Monday and Thursday


@dataclass(frozen=True, slots=True, kw_only=True)
class OnBench:
    """A filled vial and its days; those that will never come stay None."""

    filled: Filled
    received_on: date | None = None
    content: str | None = None
    clearing_from: date | None = None
    ready_on: date | None = None
    gone_on: date | None = None
    gone_why: str = ""


def next_day(day: date, weekdays: tuple[int, ...]) -> date:
    """Return the first of the weekdays from a day on."""
    while day.weekday() not in weekdays:
        day += timedelta(days=1)
    return day


def bring_in(rng: np.random.Generator, numbered: Numbered) -> tuple[OnBench, ...]:
    """Receive every filled vial, whenever that will be; whoever asks cuts at a day."""
    lost_bag = _lost_bag(numbered.filled)
    came_on: dict[UUID, date] = {}
    bench = []
    for filled in numbered.filled:
        party = filled.party
        if party.party_id not in came_on:
            waited = 1 if party.net else 1 + int(rng.gamma(2.0, 1.5))
            came_on[party.party_id] = next_day(
                party.cleaned_on + timedelta(days=waited), _OFFICE_DAYS
            )
        bench.append(
            _received(
                rng,
                filled,
                received_on=came_on[party.party_id],
                lost_in_bag=party.party_id == lost_bag,
            )
        )
    return tuple(bench)


def _lost_bag(filled: tuple[Filled, ...]) -> UUID:
    sizes: dict[UUID, int] = {}
    for one in filled:
        if one.key[0] == SEASONS[1].year and one.party.donor:
            sizes[one.party.party_id] = sizes.get(one.party.party_id, 0) + 1
    able = [party for party, size in sizes.items() if size in _LOST_BAG_SIZE]
    return able[int(_LOST_BAG_AT * len(able))]


def _received(
    rng: np.random.Generator, filled: Filled, *, received_on: date, lost_in_bag: bool
) -> OnBench:
    never_came = rng.random() < _NEVER_CAME
    content = _CONTENTS[int(rng.choice(len(_CONTENTS), p=_CONTENT_SHARE))]
    # Nothing is put to clear before it is known which fish it is of.
    clearing_from = max(received_on, filled.known_from) + timedelta(days=int(rng.integers(2)))
    days_to_clear = int(rng.integers(8, 13))
    if lost_in_bag:
        return OnBench(
            filled=filled,
            gone_on=received_on + timedelta(days=21),
            gone_why="The bag of this trip was not found.",
        )
    if never_came and filled.fish is not None:
        return OnBench(
            filled=filled,
            gone_on=received_on + _GIVEN_UP_AFTER,
            gone_why="Logged at the ramp; the vial never came in.",
        )
    if content not in _CAN_BE_READ or filled.fish is None:
        return OnBench(filled=filled, received_on=received_on, content=content)
    return OnBench(
        filled=filled,
        received_on=received_on,
        content=content,
        clearing_from=clearing_from,
        ready_on=clearing_from + timedelta(days=days_to_clear),
    )


def fates_by_day(
    numbered: Numbered,
    bench: Iterable[OnBench],
    read_on: Mapping[VialKey, tuple[date, date]],
    *,
    today: date,
) -> tuple[VialFate, ...]:
    """Return what had become of every printed number by a day.

    ``read_on`` holds the days of the first and of the last reading of each vial.
    """
    kits = {
        (kit.season_year, sequence): kit
        for kit in numbered.kits
        for sequence in range(kit.first_sequence, kit.last_sequence + 1)
        if kit.issued_on <= today
    }
    on_bench = {one.filled.key: one for one in bench if one.filled.party.cleaned_on <= today}
    archive = _archive(read_on, today)
    misprinted = _misprinted(numbered)
    return tuple(
        _fate(key, kits.get(key), on_bench.get(key), read_on.get(key), archive, misprinted, today)
        for key in printed_numbers(today)
    )


def _archive(
    read_on: Mapping[VialKey, tuple[date, date]], today: date
) -> dict[VialKey, tuple[date, str, int]]:
    """Assign a box and a slot to each vial that was read long enough ago, in order of its day."""
    ready = sorted(
        (next_day(last + _ARCHIVED_AFTER, (4,)), key) for key, (_, last) in read_on.items()
    )
    boxed: dict[VialKey, tuple[date, str, int]] = {}
    in_season: dict[int, int] = {}
    for day, key in ready:
        if day > today:
            continue
        place = in_season.get(key[0], 0)
        in_season[key[0]] = place + 1
        box = f"{key[0] % 100}-{place // _SLOTS_IN_BOX + 1:02d}"
        boxed[key] = (day, box, place % _SLOTS_IN_BOX + 1)
    return boxed


def _misprinted(numbered: Numbered) -> frozenset[VialKey]:
    """Take the numbers that follow the last kit of each season."""
    last: dict[int, int] = {}
    for kit in numbered.kits:
        last[kit.season_year] = max(last.get(kit.season_year, 0), kit.last_sequence)
    return frozenset(
        (year, sequence + step)
        for year, sequence in last.items()
        for step in range(1, _MISPRINTS + 1)
    )


def _until(day: date | None, today: date) -> date | None:
    return day if day is not None and day <= today else None


def _fate(
    key: VialKey,
    kit: KitRecord | None,
    bench: OnBench | None,
    read_on: tuple[date, date] | None,
    archive: Mapping[VialKey, tuple[date, str, int]],
    misprinted: frozenset[VialKey],
    today: date,
) -> VialFate:
    received = _until(bench.received_on, today) if bench else None
    clearing = _until(bench.clearing_from, today) if bench else None
    ready = bench.ready_on if bench and clearing else None
    gone_on = _until(bench.gone_on, today) if bench else None
    void_on = season_of(key[0]).label_runs[-1].printed_on if key in misprinted else None
    fish = bench.filled.fish if bench and bench.filled.known_from <= today else None
    archived_on, box, slot = archive.get(key, (None, None, None))
    reached = (
        ("void", void_on),
        ("lost", gone_on),
        ("archived", archived_on),
        ("read", read_on),
        ("ready", _until(ready, today)),
        ("clearing", clearing),
        ("received", received),
        ("used", fish),
        ("issued", kit),
    )
    return VialFate(
        season_year=key[0],
        sequence=key[1],
        state=next((state for state, so in reached if so), "printed"),
        logged_fish=fish.entry_id if fish else None,
        issued_to=kit.issued_to if kit else None,
        issued_on=kit.issued_on if kit else None,
        received_on=received,
        content=bench.content if bench and received else None,
        clearing_from=clearing,
        ready_on=ready,
        read_on=read_on[0] if read_on else None,
        archived_on=archived_on,
        box=box,
        slot=slot,
        gone_on=void_on or gone_on,
        gone_why="Label misprinted." if void_on else bench.gone_why if bench and gone_on else "",
    )
