"""A net plan in numbers: lengths that donors cannot supply, and the sets that they take."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from samples.findings.sample import NetSets
from samples.nets.parts import PlannedBin, PlannedPlace, Station
from samples.nets.rules import needs_nets, spread_sets
from samples.science.errors import CannotEstimate
from samples.science.net_catch import FEWEST_TO_RESAMPLE, SetsNeeded, sets_needed
from samples.targets.presenters.coverage import Coverage

SEED = 26_0147
CHANCE = 0.8
DRAWS = 800
MOST_SETS = 40
# An arm with fewer sets of its own is planned from those of the whole lake.
FEWEST_OWN_SETS = 5
ANY_ARM = "Any arm"
SPRING, FALL = "spring", "fall"
LAST_MONTH_OF_SPRING = 6
INTERVAL = (10, 50, 90)


@dataclass(frozen=True, slots=True)
class NetPlan:
    """What is short, what nets are expected to bring, and the sets that it takes."""

    bins: list[PlannedBin]
    places: list[PlannedPlace]
    sets: int | None
    planned: int
    sets_before: int
    is_resampled: bool
    proposed: dict[Station, int]
    problem: str = ""

    @property
    def wanted(self) -> int:
        return sum(one.to_collect for one in self.bins if one.is_netted)

    @property
    def total(self) -> int | None:
        """Return the sets that fill the lake's bins and every arm's minimums; None if unknown."""
        own = [one.sets for one in self.places if one.arm_id is not None]
        if self.sets is None or None in own:
            return None
        return max(self.sets, sum(n for n in own if n is not None))

    @property
    def is_more_for_arms(self) -> bool:
        return self.total is not None and self.sets is not None and self.total > self.sets

    @property
    def arms_without_number(self) -> list[str]:
        return [one.name for one in self.places if one.arm_id is not None and one.sets is None]

    @property
    def netted(self) -> list[PlannedBin]:
        return [one for one in self.bins if one.is_netted]


def sets_alike(sets: NetSets, *, mesh_mm: int | None, part: str) -> NetSets:
    """Return the sets of one mesh and part of the year; empty stands for all."""
    mask = np.ones(sets.n, dtype=bool)
    if mesh_mm:
        mask &= sets.mesh_mm == mesh_mm
    if part:
        is_spring = (sets.month > 0) & (sets.month <= LAST_MONTH_OF_SPRING)
        mask &= is_spring if part == SPRING else sets.month > LAST_MONTH_OF_SPRING
    return sets.where(mask)


def meshes_of(sets: NetSets) -> list[int]:
    """Return the meshes of the sets, the most used first."""
    values, counts = np.unique(sets.mesh_mm[sets.mesh_mm > 0], return_counts=True)
    return [int(values[place]) for place in np.argsort(-counts, kind="stable")]


def plan_nets(
    coverage: Coverage,
    sets: NetSets,
    *,
    donated: Mapping[int, int],
    chosen: set[int] | None,
    stations: Sequence[Station],
    planned: int,
) -> NetPlan:
    """Plan sets for the bins that are short; ``chosen`` are bins by their lower edge, if any.

    ``planned`` are the sets of a plan that is kept; without one, those that are proposed count.
    """
    width = coverage.selection.bin_width
    bins = []
    for column, need in zip(coverage.columns, coverage.bins, strict=True):
        if need.to_collect <= 0:
            continue
        given = donated.get(column.place, 0)
        by_rule = needs_nets(need.to_collect, given)
        is_netted = by_rule if chosen is None else column.from_hundredths in chosen
        bins.append(PlannedBin(column, need.to_collect, given, None, is_netted))
    netted = [one for one in bins if one.is_netted]
    edges = [one.column.from_hundredths for one in netted]
    places = _places(coverage, sets, netted, width)
    every, problem = _try(sets.by_bin(edges, width), [one.to_collect for one in netted])
    needed = every.sets if every else None
    proposed = _proposed(places, needed, stations)
    number = planned or sum(proposed.values())
    return NetPlan(
        bins=_with_catch(bins, sets, every, number, width),
        places=places,
        sets=needed,
        planned=number,
        sets_before=sets.n,
        is_resampled=sets.n >= FEWEST_TO_RESAMPLE,
        proposed=proposed,
        problem=problem,
    )


def _places(
    coverage: Coverage, sets: NetSets, netted: Sequence[PlannedBin], width: int
) -> list[PlannedPlace]:
    """Return each arm whose minimums are short, then what any arm may give."""
    at = {column.from_hundredths: i for i, column in enumerate(coverage.columns)}
    found = []
    for row in coverage.rows:
        wanted = {
            one.column.from_hundredths: cell.need.to_collect
            for one in netted
            if (cell := row.cells[at[one.column.from_hundredths]]).need is not None
        }
        found.append(_place(row.arm.name, row.arm.pk, wanted, sets, width))
    beyond = {
        one.column.from_hundredths: coverage.bins[
            at[one.column.from_hundredths]
        ].to_collect_in_any_arm
        for one in netted
    }
    found.append(_place(ANY_ARM, None, beyond, sets, width))
    return [one for one in found if one.to_collect]


def _place(
    name: str, arm: int | None, wanted: Mapping[int, int], sets: NetSets, width: int
) -> PlannedPlace:
    wanted = {edge: n for edge, n in wanted.items() if n > 0}
    if not wanted:
        return PlannedPlace(name, arm, 0, 0, 0, from_all_arms=False)
    own = sets if arm is None else sets.where(sets.arm == arm)
    borrowed = arm is not None and own.n < FEWEST_OWN_SETS
    used = sets if borrowed else own
    found, problem = _try(used.by_bin(list(wanted), width), list(wanted.values()))
    return PlannedPlace(
        name,
        arm,
        sum(wanted.values()),
        found.sets if found else None,
        used.n,
        from_all_arms=borrowed,
        problem=problem or ("" if found and found.sets else f"more than {MOST_SETS}"),
    )


def _try(catches: np.ndarray, wanted: list[int]) -> tuple[SetsNeeded | None, str]:
    if not wanted:
        return None, ""
    try:
        found = sets_needed(
            catches,
            wanted,
            rng=np.random.default_rng(SEED),
            chance=CHANCE,
            most=MOST_SETS,
            draws=DRAWS,
        )
    except CannotEstimate as problem:
        return None, problem.sentence
    return found, ""


def _proposed(
    places: Sequence[PlannedPlace], needed: int | None, stations: Sequence[Station]
) -> dict[Station, int]:
    """Spread the sets over the reaches of each arm; over the arm where it has none."""
    of_arm: dict[int, list[Station]] = {}
    for one in stations:
        of_arm.setdefault(one.arm_id, []).append(one)
    reaches = {
        arm: [one for one in there if one.reach_id] or there for arm, there in of_arm.items()
    }
    own = {one.arm_id: one.sets or 0 for one in places if one.arm_id is not None}
    return spread_sets(own, needed or 0, reaches)


def _with_catch(
    bins: Sequence[PlannedBin],
    sets: NetSets,
    every: SetsNeeded | None,
    number: int,
    width: int,
) -> list[PlannedBin]:
    """Add what a set brought on average, and what the planned sets are expected to bring."""
    edges = [one.column.from_hundredths for one in bins]
    mean = sets.by_bin(edges, width).mean(axis=0) if sets.n else None
    found, netted = [], 0
    for place, one in enumerate(bins):
        row = replace(one, per_set=None if mean is None else float(mean[place]))
        if one.is_netted and every is not None and number:
            drawn = every.catch[:, min(number, MOST_SETS) - 1, netted]
            low, middle, high = (round(float(end)) for end in np.percentile(drawn, INTERVAL))
            chance = float(np.mean(drawn >= one.to_collect))
            row = replace(row, expected=middle, low=low, high=high, chance=chance)
        netted += one.is_netted
        found.append(row)
    return found
