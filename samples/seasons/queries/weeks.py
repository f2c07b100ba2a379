"""How a season fills: fish by week, of this season and of the one before it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import QuerySet

from samples.models import Fish, LakeSpecies, Reach, Season, Sex
from samples.models.party import Method
from samples.seasons.rules import season_before
from samples.targets.queries.choice import REACH_NOT_NOTED, CoverageOptions, CoverageSelection
from samples.targets.queries.counts import GroupRow, collected_by_group
from samples.targets.queries.set_targets import SetTarget, TargetRow, targets_of_season

GroupKey = int | str | None
# The columns of fish that a season is split by, and what each is called.
SPLITS = {"arm": "arm_id", "reach": "reach_id", "sex": "sex", "method": "method"}


@dataclass(frozen=True, slots=True)
class SeasonChoice:
    """A season, one species or all, and by what its fish are split."""

    season: Season
    species: list[LakeSpecies]
    split: str
    is_every_species: bool


@dataclass(frozen=True, slots=True)
class SeasonRows:
    """Fish of a season and of the one before it, by species; and the targets of this one."""

    rows: dict[int, list[GroupRow]]
    set_targets: dict[int, list[SetTarget]]
    last: Season | None

    def targets(self, species_id: int) -> list[TargetRow]:
        return [one.row for one in self.set_targets.get(species_id, [])]

    @property
    def has_sexes(self) -> bool:
        """Return whether any target in force asks for so many of a sex."""
        of_all = (one.parts for rows in self.set_targets.values() for one in rows)
        return any(parts.females or parts.males for parts in of_all)


def season_rows(
    fish: QuerySet[Fish],
    options: CoverageOptions,
    season: Season,
    species: Iterable[LakeSpecies],
    *,
    group: str,
) -> SeasonRows:
    """Count a person's fish of two seasons, and read the targets, in a statement each."""
    chosen = list(species)
    last = season_before(season, options.seasons)
    selections = [
        CoverageSelection(options.lake, of, one.species, one.bin_width_hundredths_mm)
        for of in (season, last)
        if of is not None
        for one in chosen
    ]
    rows: dict[int, list[GroupRow]] = {one.species_id: [] for one in chosen}
    for row in collected_by_group(fish, selections, group=group):
        rows[row[1]].append(row)
    of_season = targets_of_season(season)
    return SeasonRows(rows, {key: of_season[key] for key in rows if key in of_season}, last)


def group_names(options: CoverageOptions, split: str) -> Mapping[GroupKey, str]:
    """Return what the groups of a split are called, in their order."""
    if split == "reach":
        names = Reach.objects.filter(arm__lake=options.lake).order_by("position", "pk")
        found: dict[GroupKey, str] = dict(names.values_list("pk", "name"))
        return {**found, None: REACH_NOT_NOTED.capitalize()}
    if split == "sex":
        return {str(key): str(label) for key, label in Sex.choices}
    if split == "method":
        return {str(key): str(label) for key, label in Method.choices}
    return {arm.pk: arm.name for arm in options.arms}
