"""Which fish a page of coverage is about, and what there is to choose from."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from samples.models import Arm, Lake, LakeSpecies, Reach, Season, Sex, Species
from samples.models.party import Method
from samples.targets.rules import Count
from samples.units import HUNDREDTHS_PER_INCH, HUNDREDTHS_PER_MILLIMETRE, LengthUnit, to_text

REACH_NOT_NOTED = "not noted"
# What the page calls the widths of its bins.
OWN_BINS, HALF_BINS, DOUBLE_BINS = BIN_NAMES = ("own", "half", "double")
HALVES = {HUNDREDTHS_PER_INCH // 2: "1/2 in"}


@dataclass(frozen=True, slots=True)
class CoverageOptions:
    """What a lake has to choose from, each in the order in which it is offered."""

    lake: Lake
    seasons: list[Season]
    lake_species: list[LakeSpecies]
    arms: list[Arm]
    reach_ids: dict[str, list[int]]
    first_season: Season | None
    today: date

    @property
    def unit(self) -> LengthUnit:
        return LengthUnit(self.lake.length_unit)

    def season_named(self, name: str) -> Season | None:
        return next((one for one in self.seasons if one.name == name), self.first_season)

    def species_coded(self, code: str) -> LakeSpecies | None:
        first = self.lake_species[0] if self.lake_species else None
        return next((one for one in self.lake_species if one.species.code == code), first)


@dataclass(frozen=True, slots=True)
class CoverageSelection:
    """The fish that are counted: one species and season, perhaps narrowed down."""

    lake: Lake
    season: Season
    species: Species
    bin_width: int
    # By its name among those on offer.
    bins: str = OWN_BINS
    count: Count = Count.AGED
    sex: str = ""
    method: str = ""
    reach: str = ""
    reach_ids: tuple[int, ...] = ()
    closed: bool = False

    @property
    def unit(self) -> LengthUnit:
        return LengthUnit(self.lake.length_unit)

    @property
    def narrowed(self) -> bool:
        return bool(self.sex or self.method or self.reach)

    @property
    def narrowed_text(self) -> str:
        """Return by what the fish are narrowed down, for example "female, trap net"."""
        words = [Sex(self.sex).label.lower()] if self.sex else []
        words += [Method(self.method).label.lower()] if self.method else []
        words += [f"reach: {self.reach}"] if self.reach else []
        return ", ".join(words)

    @property
    def summary(self) -> str:
        """Return the whole selection in a line, to stand where the filters are folded away."""
        sex = Sex(self.sex).label.lower() if self.sex else "all sexes"
        method = Method(self.method).label.lower() if self.method else "all methods"
        reach = f"reach {self.reach}" if self.reach else "all reaches"
        return (
            f"{width_text(self.bin_width, self.unit)} bins, {self.count}, {sex}, {method}, {reach}"
        )

    def where(self) -> dict[str, Any]:
        """Return the conditions on fish; each names a column of the coverage index."""
        found: dict[str, Any] = {"season_id": self.season.pk, "species_id": self.species.pk}
        if self.sex:
            found["sex"] = self.sex
        if self.method:
            found["method"] = self.method
        if self.reach == REACH_NOT_NOTED:
            found["reach__isnull"] = True
        elif self.reach:
            found["reach__in"] = self.reach_ids
        return found


def options_of(lake: Lake, today: date) -> CoverageOptions:
    """List what a lake has to choose from; the season of today, or the last one, comes first."""
    seasons = list(Season.objects.filter(lake=lake).order_by("-starts_on", "-pk"))
    begun = [season for season in seasons if season.starts_on <= today]
    species = LakeSpecies.objects.filter(lake=lake).select_related("species")
    reach_ids: dict[str, list[int]] = {}
    for pk, name in (
        Reach.objects.filter(arm__lake=lake).order_by("position", "pk").values_list("pk", "name")
    ):
        reach_ids.setdefault(name, []).append(pk)
    return CoverageOptions(
        lake=lake,
        seasons=seasons,
        lake_species=list(species.order_by("position", "pk")),
        arms=list(Arm.objects.filter(lake=lake).order_by("whole_lake", "position", "pk")),
        reach_ids=reach_ids,
        first_season=next(iter(begun or seasons), None),
        today=today,
    )


def options_of_season(lake: Lake, season: Season, today: date) -> CoverageOptions:
    """List what coverage of one season as a whole needs, without what narrows it down."""
    species = LakeSpecies.objects.filter(lake=lake).select_related("species")
    return CoverageOptions(
        lake=lake,
        seasons=[season],
        lake_species=list(species.order_by("position", "pk")),
        arms=list(Arm.objects.filter(lake=lake).order_by("whole_lake", "position", "pk")),
        reach_ids={},
        first_season=season,
        today=today,
    )


def widths_of(lake_species: LakeSpecies, unit: LengthUnit) -> dict[str, int]:
    """Offer the species' own bins, half of them where they have a name, and double."""
    own = lake_species.bin_width_hundredths_mm
    widths = {OWN_BINS: own}
    if own % (2 * step_of(unit)) == 0:
        widths[HALF_BINS] = own // 2
    widths[DOUBLE_BINS] = 2 * own
    return widths


def step_of(unit: LengthUnit) -> int:
    """Return what a measuring board shows: tenths of an inch, or millimetres."""
    return HUNDREDTHS_PER_INCH // 10 if unit is LengthUnit.INCH else HUNDREDTHS_PER_MILLIMETRE


def width_text(width: int, unit: LengthUnit) -> str:
    if unit is LengthUnit.INCH and width in HALVES:
        return HALVES[width]
    return f"{to_text(width, unit).removesuffix('.0')} {unit}"
