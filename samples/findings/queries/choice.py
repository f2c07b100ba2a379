"""Which fish a page of findings is about, and what there is to choose from."""

from copy import copy
from dataclasses import dataclass, field
from datetime import date

from samples.findings.limits import LimitSelection
from samples.models import Arm, Lake, LakeSpecies, ReleaseDeath, Season, Species
from samples.rules.and_text import and_text
from samples.units import LengthUnit

ARMS, TOGETHER, SEXES, GROUP = "arm", "together", "sex", "group"
AGREED, SINGLE, ALL = "agreed", "single", "all"


@dataclass(frozen=True, slots=True)
class FindingsOptions:
    """What a lake has to choose from, the likeliest season named; release deaths, lowest first."""

    lake: Lake
    seasons: list[Season]
    lake_species: list[LakeSpecies]
    arms: list[Arm]
    first_season: Season | None
    release: list[ReleaseDeath] = field(default_factory=list)

    @property
    def unit(self) -> LengthUnit:
        return LengthUnit(self.lake.length_unit)


@dataclass(frozen=True, slots=True)
class FindingsSelection:
    """What was chosen. Empty tuples mean all.

    ``compare`` says what is set side by side: arms, sexes, the species and hybrids of one group, or
    nothing; ``ages`` how sure an age must be: agreed or decided, of one reader too, or as given
    in a spreadsheet as well. ``relatives`` are the other species of the group, where they are
    set beside this one. ``intercept_mm`` is the length at no radius for back-calculation, where
    one is given. With ``true_ages``, ages are drawn back from what was read.
    """

    species: LakeSpecies
    seasons: tuple[Season, ...]
    arms: tuple[Arm, ...] = ()
    compare: str = ARMS
    sexes: tuple[str, ...] = ()
    methods: tuple[str, ...] = ()
    how_chosen: tuple[str, ...] = ()
    ages: str = SINGLE
    relatives: tuple[LakeSpecies, ...] = ()
    intercept_mm: float | None = None
    true_ages: bool = False
    limit: LimitSelection = field(default_factory=LimitSelection)

    @property
    def all_species(self) -> tuple[LakeSpecies, ...]:
        return (self.species, *self.relatives)

    @property
    def season_words(self) -> str:
        names = [one.name for one in sorted(self.seasons, key=lambda one: one.starts_on)]
        return and_text(names)


def _without_slip_key(lake: Lake) -> Lake:
    """Return a lake to be kept with results: what its slips are signed with is read when needed."""
    kept = copy(lake)
    # As a field that was deferred.
    kept.__dict__.pop("slip_key", None)
    return kept


def options_of(lake: Lake, today: date) -> FindingsOptions:
    """List seasons, species and arms; the season of today, or the last one, comes first."""
    seasons = list(Season.objects.filter(lake=lake).order_by("-starts_on", "-pk"))
    begun = [season for season in seasons if season.starts_on <= today]
    # "Not sure" is no species to tell anything of.
    species = LakeSpecies.objects.filter(lake=lake).exclude(species__kind=Species.Kind.NOT_SURE)
    species = species.select_related("species")
    return FindingsOptions(
        lake=_without_slip_key(lake),
        seasons=seasons,
        lake_species=list(species.order_by("position", "pk")),
        arms=list(Arm.objects.filter(lake=lake).order_by("whole_lake", "position", "pk")),
        first_season=next(iter(begun or seasons), None),
        release=list(ReleaseDeath.objects.filter(lake=lake).order_by("middle", "pk")),
    )
