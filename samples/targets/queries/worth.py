"""Fish behind the worth of one more: aged, measured and in hand, this season and before."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Case, Count, F, IntegerField, Q, QuerySet, Value, When
from django.db.models.expressions import CombinedExpression
from django.db.models.functions import Coalesce

from samples.models import Fish, Progress, Season
from samples.models.party import HowChosen
from samples.targets.queries.choice import CoverageOptions, CoverageSelection
from samples.targets.rules import FEWEST_FOR_A_LENGTH_SAMPLE

# Fish that somebody picked by their size are no sample of lengths.
PICKED_BY_SIZE = (HowChosen.SIZE_ASKED, HowChosen.BIGGEST)
# Seasons further back are of other year classes.
EARLIER_SEASONS = 3
AGE = Coalesce("age__age_years", "age_as_given__age_years")
Place = tuple[int, int]


@dataclass(frozen=True, slots=True)
class AgedFish:
    """Aged fish of one arm, bin, trip and age."""

    arm: int
    bin: int
    trip: int
    age: int
    fish: int


@dataclass(frozen=True, slots=True)
class LengthsOfArm:
    """The length sample of one arm: bin, trip and number of fish.

    ``season`` is the earliest season that its fish are of; empty where they are of this one.
    """

    rows: list[tuple[int, int, int]]
    season: str

    @property
    def by_bin(self) -> dict[int, int]:
        found: dict[int, int] = {}
        for length_bin, _, n in self.rows:
            found[length_bin] = found.get(length_bin, 0) + n
        return found

    @property
    def by_trip(self) -> dict[int, int]:
        found: dict[int, int] = {}
        for _, trip, n in self.rows:
            found[trip] = found.get(trip, 0) + n
        return found

    @property
    def measured(self) -> int:
        return sum(n for _, _, n in self.rows)


@dataclass(frozen=True, slots=True)
class FishBehind:
    """What worth is worked out from: by arm and bin.

    ``aged_before`` holds arm, bin, age and number of fish of earlier seasons.
    """

    aged: list[AgedFish]
    aged_before: list[tuple[int, int, int, int]]
    lengths: dict[int, LengthsOfArm]
    in_hand: dict[Place, int]
    earlier: list[Season]


def fish_behind(
    fish: QuerySet[Fish], options: CoverageOptions, selection: CoverageSelection
) -> FishBehind:
    """Count a person's fish of one species for the worth of one more in this season."""
    season = selection.season
    earlier = [one for one in options.seasons if one.starts_on < season.starts_on]
    earlier = earlier[:EARLIER_SEASONS]
    of_species = fish.filter(species=selection.species, withdrawn=False).order_by()
    length_bin = F("length_hundredths_mm") / selection.bin_width
    here = of_species.filter(season=season)
    return FishBehind(
        aged=[
            AgedFish(*row)
            for row in _aged(here)
            .annotate(bin=length_bin, age_years=AGE)
            .values_list("arm_id", "bin", "party_id", "age_years")
            .annotate(n=Count("*"))
        ],
        aged_before=list(
            _aged(of_species.filter(season__in=earlier))
            .annotate(bin=length_bin, age_years=AGE)
            .values_list("arm_id", "bin", "age_years")
            .annotate(n=Count("*"))
        ),
        lengths=_lengths(of_species, length_bin, season, earlier),
        in_hand={
            (arm, place): n
            for arm, place, n in here.filter(
                progress__gte=Progress.LOGGED, progress__lt=Progress.AGE_AS_GIVEN
            )
            .annotate(bin=length_bin)
            .values_list("arm_id", "bin")
            .annotate(n=Count("*"))
        },
        earlier=earlier,
    )


def _aged(fish: QuerySet[Fish]) -> QuerySet[Fish]:
    has_age = Q(age__age_years__isnull=False) | Q(age_as_given__isnull=False)
    return fish.filter(has_age, progress__gte=Progress.AGE_AS_GIVEN)


def _lengths(
    fish: QuerySet[Fish], length_bin: CombinedExpression, season: Season, earlier: Iterable[Season]
) -> dict[int, LengthsOfArm]:
    """Return each arm's length sample; where it is small, earlier seasons are added, last first."""
    seasons = [season, *earlier]
    back = {one.pk: place for place, one in enumerate(seasons)}
    rows = (
        fish.filter(season__in=seasons)
        .exclude(party__how_chosen__in=PICKED_BY_SIZE)
        .annotate(bin=length_bin, back=_season_place(back))
        .values_list("arm_id", "back", "bin", "party_id")
        .annotate(n=Count("*"))
    )
    found: dict[int, dict[int, list[tuple[int, int, int]]]] = {}
    for arm, place, of_length, trip, n in rows:
        found.setdefault(arm, {}).setdefault(place, []).append((of_length, trip, n))
    return {arm: _enough(by_season, seasons) for arm, by_season in found.items()}


def _season_place(back: dict[int, int]) -> Case:
    whens = [When(season=pk, then=Value(place)) for pk, place in back.items()]
    return Case(*whens, output_field=IntegerField())


def _enough(
    by_season: dict[int, list[tuple[int, int, int]]], seasons: list[Season]
) -> LengthsOfArm:
    found: list[tuple[int, int, int]] = []
    oldest = 0
    for place in sorted(by_season):
        if sum(n for _, _, n in found) >= FEWEST_FOR_A_LENGTH_SAMPLE:
            break
        oldest = place
        found += by_season[place]
    return LengthsOfArm(found, seasons[oldest].name if oldest else "")
