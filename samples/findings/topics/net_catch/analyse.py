"""Catch per net night of each arm, season, part of the year and gear."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from samples.findings.sample import Mask, NetSets
from samples.findings.topics.study import SEED
from samples.science.net_catch import CatchPerEffort, catch_per_effort

LAST_MONTH_OF_SPRING = 6


class Half(StrEnum):
    """Nets of spring and of fall meet other fish: they are never counted together."""

    SPRING = "spring"
    FALL = "fall"
    UNKNOWN = ""


@dataclass(frozen=True, slots=True)
class Gear:
    """Nets that catch alike; ``mesh_mm`` is 0 where it is not known."""

    method: str
    mesh_mm: int


@dataclass(frozen=True, slots=True)
class NetCatch:
    """Catch per net night of one gear in one arm (None: of all), season and part of the year."""

    arm: int | None
    season: int
    half: Half
    gear: Gear
    catch: CatchPerEffort

    @property
    def kind(self) -> tuple[Half, Gear]:
        """Return what may be compared between arms and seasons."""
        return self.half, self.gear


def analyse(sets: NetSets, arms: Sequence[int | None], seasons: Sequence[int]) -> list[NetCatch]:
    """Return the catch of each arm in order, seasons in order; what has no set is left out."""
    found = []
    for arm in arms:
        of_arm = np.ones(sets.n, dtype=bool) if arm is None else sets.arm == arm
        for season in seasons:
            of_season = of_arm & (sets.season == season)
            for half, gear in _kinds(sets, of_season):
                mask = of_season & is_of(sets, half, gear)
                catch = catch_per_effort(
                    sets.catch[mask], sets.nights[mask], rng=np.random.default_rng(SEED)
                )
                found.append(NetCatch(arm, season, half, gear, catch))
    return found


def analyse_lengths(
    sets: NetSets, one: NetCatch, edges_hundredths_mm: list[int], width_hundredths_mm: int
) -> list[CatchPerEffort]:
    """Return the catch of each length bin in the sets of one result."""
    mask = (sets.season == one.season) & is_of(sets, one.half, one.gear)
    if one.arm is not None:
        mask &= sets.arm == one.arm
    by_bin = sets.by_bin(edges_hundredths_mm, width_hundredths_mm)[mask]
    return [
        catch_per_effort(fish, sets.nights[mask], rng=np.random.default_rng(SEED))
        for fish in by_bin.T
    ]


def usual_kind(found: Sequence[NetCatch]) -> tuple[Half, Gear]:
    """Return the part of the year and the gear of the most sets."""
    sets: dict[tuple[Half, Gear], int] = {}
    for one in found:
        sets[one.kind] = sets.get(one.kind, 0) + one.catch.sets
    return max(sets, key=lambda kind: sets[kind])


def halves_of(sets: NetSets) -> np.ndarray:
    """Return the part of the year of each set."""
    spring = sets.month <= LAST_MONTH_OF_SPRING
    names = np.where(spring, Half.SPRING.value, Half.FALL.value)
    return np.where(sets.month == 0, Half.UNKNOWN.value, names)


def is_of(sets: NetSets, half: Half, gear: Gear) -> Mask:
    """Return which sets are of a part of the year and a gear."""
    mask: Mask = (
        (halves_of(sets) == half.value)
        & (sets.method == gear.method)
        & (sets.mesh_mm == gear.mesh_mm)
    )
    return mask


def _kinds(sets: NetSets, mask: Mask) -> list[tuple[Half, Gear]]:
    rows = zip(halves_of(sets)[mask], sets.method[mask], sets.mesh_mm[mask], strict=True)
    order = list(Half)
    kinds = {(Half(half), Gear(str(method), int(mesh))) for half, method, mesh in rows}
    return sorted(kinds, key=lambda one: (order.index(one[0]), one[1].method, one[1].mesh_mm))
