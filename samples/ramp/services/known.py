"""What an ingest knows before it decides: plain values, read once, under the lock.

Nothing here is a row of the database, and nothing is changed: deciding on an entry gives another
`Known`, with which the next entry is decided.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from types import MappingProxyType
from typing import Any, TypeVar
from uuid import UUID

Key = TypeVar("Key")
Value = TypeVar("Value")


def nothing() -> Mapping[Any, Any]:
    return MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownSeason:
    pk: int
    name: str
    starts_on: date
    ends_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownArm:
    pk: int
    name: str
    reaches: Mapping[str, int] = field(default_factory=nothing)


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownSpecies:
    """A species as its lake has it."""

    pk: int
    name: str
    plausible_min_hundredths_mm: int
    plausible_max_hundredths_mm: int
    spines_min: int | None
    spines_max: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownLake:
    """A lake where the author may log, with what a trip or a fish there may name."""

    pk: int
    name: str
    slug: str
    time_zone: str
    seasons: tuple[KnownSeason, ...] = ()
    arms: Mapping[str, KnownArm] = field(default_factory=nothing)
    species: Mapping[str, KnownSpecies] = field(default_factory=nothing)
    # Whether the author may log fish of other people here, and fish without a vial.
    for_others: bool = False
    # The author's own row among the donors.
    own_donor: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownTrip:
    """A trip of the author's: the columns that its fish repeat."""

    party_id: UUID
    lake: int
    season: int
    arm: int
    reach: int | None
    leg: int
    donor: int | None
    # The donor who is made of this name when the trip is written.
    new_donor: str = ""
    method: str
    caught_on: date | None
    has_aged_fish: bool = False
    # Fish were logged on a trip that the author started after it.
    is_followed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownVial:
    number: str
    lake: int
    is_out_of_use: bool = False
    is_received: bool = False
    # The office noted it as empty, or as no otolith of one fish.
    is_without_otolith: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownFish:
    """A fish on record, or logged by an entry that was decided on before."""

    entry_id: UUID
    fingerprint: str
    party_id: UUID
    lake: int
    # Whether the author logged it, at a lake where they still may.
    is_own: bool = True
    is_withdrawn: bool = False
    vial: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownCount:
    """A count of unmeasured fish, of the author's own."""

    entry_id: UUID
    party_id: UUID


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """All that is known to the entries of one author.

    ``trips`` are the author's own; ``party_ids`` are those of anybody's that an entry names.
    ``entries`` has the fingerprint of every entry that came before and was no fish; ``held`` has
    the reason why one waits, and ``held_vials`` the vials of fish that wait, by their trip.
    ``holders`` says which fish is in a vial. ``is_pasted``: an office typed or pasted the entries
    in. ``is_resolved``: an office applies what was held, and has looked.
    """

    now: datetime
    lakes: Mapping[int, KnownLake] = field(default_factory=nothing)
    trips: Mapping[UUID, KnownTrip] = field(default_factory=nothing)
    party_ids: frozenset[UUID] = frozenset()
    vials: Mapping[str, KnownVial] = field(default_factory=nothing)
    holders: Mapping[str, UUID] = field(default_factory=nothing)
    fish: Mapping[UUID, KnownFish] = field(default_factory=nothing)
    counts: Mapping[UUID, KnownCount] = field(default_factory=nothing)
    entries: Mapping[UUID, str] = field(default_factory=nothing)
    held: Mapping[tuple[UUID, str], str] = field(default_factory=nothing)
    held_vials: frozenset[tuple[UUID, str]] = frozenset()
    is_pasted: bool = False
    is_resolved: bool = False

    @property
    def office(self) -> int | None:
        """Return the lake whose office gets an entry of an unknown trip."""
        return min(self.lakes, default=None)

    def lake_named(self, slug: str) -> KnownLake | None:
        return next((lake for lake in self.lakes.values() if lake.slug == slug), None)

    def with_entry(self, entry_id: UUID, fingerprint: str) -> "Known":
        return replace(self, entries=_with(self.entries, entry_id, fingerprint))

    def with_held(self, entry_id: UUID, fingerprint: str, reason: str) -> "Known":
        return replace(self, held=_with(self.held, (entry_id, fingerprint), reason))

    def with_trip(self, trip: KnownTrip) -> "Known":
        return replace(
            self,
            trips=_with(self.trips, trip.party_id, trip),
            party_ids=self.party_ids | {trip.party_id},
        )

    def with_count(self, count: KnownCount) -> "Known":
        return replace(self, counts=_with(self.counts, count.entry_id, count))

    def with_fish(self, *fish: KnownFish) -> "Known":
        """Return what is known once these fish are as given, each in its vial or in none."""
        changed = {one.entry_id: one for one in fish}
        left = {old.vial for old in map(self.fish.get, changed) if old is not None}
        filled = {one.vial: one.entry_id for one in fish if one.vial is not None}
        holders = {**self.holders, **filled}
        for number in left - filled.keys():
            holders.pop(number or "", None)
        return replace(self, fish={**self.fish, **changed}, holders=holders)


def _with(mapping: Mapping[Key, Value], key: Key, value: Value) -> Mapping[Key, Value]:
    return {**mapping, key: value}
