"""Targets as they are set: how many of each bin, and what of it nets and each sex are to bring."""

from collections.abc import Iterable
from dataclasses import dataclass

from samples.models import LakeSpecies, Season, Species, Target
from samples.targets.rules import FishByPart

WantedByBin = dict[tuple[int | None, int], int]
PartsByBin = dict[tuple[int | None, int], FishByPart]
# Arm (none: lake-wide), from, below, fish wanted.
TargetRow = tuple[int | None, int, int, int]


@dataclass(frozen=True, slots=True)
class SetTarget:
    """One target, with the parts of it that are in force."""

    row: TargetRow
    parts: FishByPart

    @property
    def has_parts(self) -> bool:
        return self.parts != FishByPart()


def targets_of_season(season: Season, species: Species | None = None) -> dict[int, list[SetTarget]]:
    """Return the targets of a season by species; those by sex only where the lake sets them so."""
    rows = Target.objects.filter(season=season)
    rows = rows if species is None else rows.filter(species=species)
    found: dict[int, list[SetTarget]] = {}
    by_sex: set[int] | None = None
    for one in rows:
        if (one.females or one.males) and by_sex is None:
            by_sex = _species_by_sex(season)
        sexes = (one.females, one.males) if one.species_id in (by_sex or ()) else (0, 0)
        row = (one.arm_id, one.from_hundredths_mm, one.below_hundredths_mm, one.wanted)
        parts = FishByPart(one.from_nets, *sexes)
        found.setdefault(one.species_id, []).append(SetTarget(row, parts))
    return found


def _species_by_sex(season: Season) -> set[int]:
    rows = LakeSpecies.objects.filter(lake=season.lake_id, targets_by_sex=True)
    return set(rows.values_list("species_id", flat=True))


def sum_in_bins(targets: Iterable[TargetRow], width: int) -> tuple[WantedByBin, bool]:
    """Sum targets that lie within each bin; none of them if one lies across two bins.

    The second value says that there are targets, for other bins than these.
    """
    wanted: WantedByBin = {}
    for arm, lower, upper, n in targets:
        place = lower // width
        if (upper - 1) // width != place:
            return {}, True
        wanted[arm, place] = wanted.get((arm, place), 0) + n
    return {key: n for key, n in wanted.items() if n}, False


def parts_in_bins(targets: Iterable[SetTarget], width: int) -> PartsByBin:
    """Sum what nets and each sex are to bring in the same way; only where something is set."""
    found: PartsByBin = {}
    for one in targets:
        arm, lower, upper, _ = one.row
        place = lower // width
        if (upper - 1) // width != place:
            return {}
        if one.has_parts:
            found[arm, place] = found.get((arm, place), FishByPart()) + one.parts
    return found
