"""The way of the vials: printed, handed out in kits, filled, and what came back of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final
from uuid import UUID

import numpy as np

from samples.management.scenario.programme import (
    NET_CREW,
    OFFICE,
    SEASONS,
    first_number_of_run,
)
from samples.management.scenario.records import (
    ClashRecord,
    FishRecord,
    KitRecord,
    LabelRunRecord,
    PartyRecord,
)
from samples.management.scenario.trips import Trips
from samples.management.scenario.truth import SeasonTruth

VialKey = tuple[int, int]

_KIT: Final = 30
_NET_KIT: Final = 60
_SKIPPED: Final = 0.006
_NOT_LOGGED: Final = 0.006
# Which parties, as shares of all with enough vials, write one number twice.
_DOUBLED_AT: Final = (0.17, 0.41, 0.66, 0.975, 0.99)
_VIALS_TO_DOUBLE: Final = 4
_SETTLED_AFTER: Final = timedelta(days=24)


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A vial with otoliths in it; ``fish`` is None where nobody ever logged it.

    Until ``known_from`` the log of the fish stands under another vial's number.
    """

    key: VialKey
    party: PartyRecord
    fish: FishRecord | None
    known_from: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbered:
    """Parties with their vial numbers, and where every number went."""

    parties: tuple[PartyRecord, ...]
    kits: tuple[KitRecord, ...]
    filled: tuple[Filled, ...]
    clashes: tuple[ClashRecord, ...]


def label_runs(today: date) -> tuple[LabelRunRecord, ...]:
    """List the runs of labels that were printed by a day."""
    return tuple(
        LabelRunRecord(
            season_year=season.year,
            printed_on=plan.printed_on,
            printed_by=OFFICE,
            first_sequence=first_number_of_run(season, run),
            last_sequence=first_number_of_run(season, run + 1) - 1,
        )
        for season in SEASONS
        for run, plan in enumerate(season.label_runs)
        if plan.printed_on <= today
    )


class _Store:
    """The office's vials of one season, handed out in kits in the order of their numbers."""

    def __init__(self, season: SeasonTruth) -> None:
        self._season = season
        self._next = 1
        self._last_day = season.label_runs[0].printed_on
        self._in_hand: dict[str, list[int]] = {}
        self.kits: list[KitRecord] = []

    def next_vial(self, person: str, day: date) -> int:
        """Take a person's next vial, after a new kit where the last is used up."""
        hand = self._in_hand.setdefault(person, [])
        if not hand:
            hand.extend(self._issue(person, day))
        return hand.pop(0)

    def _issue(self, person: str, day: date) -> range:
        size = _NET_KIT if person == NET_CREW else _KIT
        first, self._next = self._next, self._next + size
        # A few days before it is needed, but never before the kit ahead of it.
        self._last_day = max(self._last_day, day - timedelta(days=4))
        self.kits.append(
            KitRecord(
                season_year=self._season.year,
                first_sequence=first,
                last_sequence=self._next - 1,
                issued_to=person,
                issued_on=self._last_day,
                issued_by=OFFICE,
            )
        )
        return range(first, self._next)


def number_vials(rng: np.random.Generator, trips: Trips) -> Numbered:
    """Assign a vial to every fish whose otoliths were taken, in the order of logging.

    Now and then a number is skipped, a vial is filled and not logged, or a number is
    written twice: then the second fish really lies in the next vial.
    """
    stores = {season.year: _Store(season) for season in SEASONS}
    doubling = _parties_that_double(trips)
    parties: list[PartyRecord] = []
    filled: list[Filled] = []
    clashes: list[ClashRecord] = []
    for party in trips.parties:
        doubled = None
        fish: list[FishRecord] = []
        vials: list[tuple[int, FishRecord | None]] = []
        for one in party.fish:
            if one.entry_id not in trips.with_otoliths:
                fish.append(one)
                continue
            number, unlogged = _next_number(rng, stores[party.season_year], party)
            vials.extend((lost, None) for lost in unlogged)
            if party.party_id in doubling and doubled is None and len(fish) > 1:
                one = replace(one, vial_sequence=fish[-1].vial_sequence)
                doubled = _clash(party, fish[-1], one, number)
                clashes.append(doubled)
            else:
                one = replace(one, vial_sequence=number)
            fish.append(one)
            vials.append((number, one))
        parties.append(_closed(party, tuple(fish), [number for number, _ in vials]))
        filled.extend(
            Filled(
                key=(party.season_year, number),
                party=parties[-1],
                fish=one,
                known_from=_known_from(doubled, number) or party.cleaned_on,
            )
            for number, one in vials
        )
    return Numbered(
        parties=tuple(parties),
        kits=tuple(kit for store in stores.values() for kit in store.kits),
        filled=tuple(filled),
        clashes=tuple(clashes),
    )


def _next_number(
    rng: np.random.Generator, store: _Store, party: PartyRecord
) -> tuple[int, list[int]]:
    """Take the next number, and before it those that were filled and not logged."""
    chance = rng.random()
    number = store.next_vial(party.logged_by, party.caught_on)
    if chance < _SKIPPED:
        return store.next_vial(party.logged_by, party.caught_on), []
    if chance < _SKIPPED + _NOT_LOGGED:
        return store.next_vial(party.logged_by, party.caught_on), [number]
    return number, []


def _parties_that_double(trips: Trips) -> frozenset[UUID]:
    able = [
        party.party_id
        for party in trips.parties
        if party.donor
        and sum(one.entry_id in trips.with_otoliths for one in party.fish) >= _VIALS_TO_DOUBLE
    ]
    return frozenset(able[int(share * len(able))] for share in _DOUBLED_AT)


def _clash(party: PartyRecord, first: FishRecord, second: FishRecord, right: int) -> ClashRecord:
    if first.vial_sequence is None:
        raise ValueError("only a number that was written once can be written twice")
    return ClashRecord(
        season_year=party.season_year,
        sequence=first.vial_sequence,
        first_entry_id=first.entry_id,
        second_entry_id=second.entry_id,
        right_sequence=right,
        settled_on=party.cleaned_on + _SETTLED_AFTER,
    )


def still_open(clash: ClashRecord) -> ClashRecord:
    """Return a clash as it stood before it was settled."""
    return replace(clash, settled_on=None)


def _known_from(clash: ClashRecord | None, number: int) -> date | None:
    """Return the day on which a doubled number was settled, for the vial it was taken from."""
    return clash.settled_on if clash and clash.right_sequence == number else None


def _closed(party: PartyRecord, fish: tuple[FishRecord, ...], numbers: list[int]) -> PartyRecord:
    if party.closed_at is None or not numbers:
        return replace(party, fish=fish)
    return replace(party, fish=fish, closed_count=len(numbers), last_sequence=numbers[-1])


def printed_numbers(today: date) -> Iterator[VialKey]:
    """Return every number that was printed by a day."""
    for run in label_runs(today):
        for sequence in range(run.first_sequence, run.last_sequence + 1):
            yield run.season_year, sequence
