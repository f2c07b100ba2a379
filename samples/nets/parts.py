"""A net set as it is typed in, stations, and what a plan says of lengths and arms."""

from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from samples.targets.rules import LengthBin
from samples.units import Measured


@dataclass(frozen=True, slots=True)
class Station:
    """Where a net is set: an arm, or a reach of it."""

    arm_id: int
    reach_id: int | None
    arm: str
    reach: str = ""

    @property
    def name(self) -> str:
        return f"{self.arm}, {self.reach}" if self.reach else self.arm

    @property
    def code(self) -> str:
        """Return how a form names it."""
        return f"{self.arm_id}-{self.reach_id or 0}"


@dataclass(frozen=True, slots=True)
class StationPlan:
    """Sets planned at a station, and those that were set there this season."""

    station: Station
    planned: int
    made: int


@dataclass(frozen=True, slots=True)
class SpeciesCatch:
    """Fish of one species in a set: counted by length bin, and measured one by one."""

    species_id: int
    code: str
    by_bin: tuple[tuple[int, int, int], ...] = ()
    lengths: tuple[Measured, ...] = ()
    confirmed: tuple[str, ...] = ()

    @property
    def fish(self) -> int:
        return sum(count for _, _, count in self.by_bin) + len(self.lengths)


@dataclass(frozen=True, slots=True, kw_only=True)
class NetSetFacts:
    """One net set as it was typed in."""

    request_id: UUID
    station: Station
    lifted_on: date
    method: str
    net_nights: int
    net_mesh_mm: int | None
    catch: tuple[SpeciesCatch, ...] = ()

    @property
    def fish(self) -> int:
        return sum(one.fish for one in self.catch)


@dataclass(frozen=True, slots=True)
class PlannedBin:
    """A length bin that is short: who can supply it, and what nets are expected to bring.

    ``expected``, ``low`` and ``high`` are of all planned sets together; None without a plan.
    """

    column: LengthBin
    to_collect: int
    donated: int
    per_set: float | None
    is_netted: bool
    expected: int | None = None
    low: int | None = None
    high: int | None = None
    chance: float | None = None

    @property
    def percent(self) -> str:
        """Return the chance in percent; near its ends it is no certainty."""
        if self.chance is None:
            return ""
        return "> 99%" if self.chance > 0.99 else f"{100 * self.chance:.0f}%"


@dataclass(frozen=True, slots=True)
class PlannedPlace:
    """An arm (or any arm) and the sets that it takes; ``problem`` says why there is no number."""

    name: str
    arm_id: int | None
    to_collect: int
    sets: int | None
    sets_before: int
    from_all_arms: bool
    problem: str = ""


@dataclass(frozen=True, slots=True)
class TallySheet:
    """What one page of the crew's sheets is headed with."""

    station: str
    number: int
    of: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewSheet:
    """What the crew takes along: where to set, which fish are needed, and a page a set."""

    lake: str
    season: str
    permit: str
    stations: tuple[tuple[str, int], ...]
    net_nights: int
    net_mesh_mm: int | None
    needed: tuple[tuple[str, str], ...]
    species: tuple[str, ...]
    bins: tuple[str, ...]
    unit: str
    sheets: tuple[TallySheet, ...] = field(default_factory=tuple)
