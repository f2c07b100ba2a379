"""A fish beside the others of its lake: its length at its age, and the records of its season."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.core.cache import cache
from django.db.models import Avg, Count, Max

from samples.models import Age, Fish, Lake, Progress, read_revision
from samples.units import LengthUnit, to_text

# A mean of fewer says little, and could tell of somebody else's fish.
FEWEST = 10
KEPT_S = 60 * 60


@dataclass(frozen=True, slots=True)
class LakeFacts:
    """Mean length at age by species, and the longest and oldest of each season by species."""

    unit: LengthUnit
    mean_at_age: dict[tuple[int, int], tuple[float, int]] = field(default_factory=dict)
    longest: dict[tuple[int, int], int] = field(default_factory=dict)
    oldest: dict[tuple[int, int], int] = field(default_factory=dict)


def facts_of(lakes: Iterable[Lake]) -> dict[int, LakeFacts]:
    """Return the facts of each lake, worked out once for each state of its data."""
    found: dict[int, LakeFacts] = {}
    for lake in lakes:
        key = f"lake-facts-{lake.pk}-{lake.length_unit}-{read_revision(lake.pk)}"
        facts = cache.get(key)
        if facts is None:
            facts = _facts(lake)
            cache.set(key, facts, KEPT_S)
        found[lake.pk] = facts
    return found


def _facts(lake: Lake) -> LakeFacts:
    aged = Age.objects.filter(fish__lake=lake, fish__withdrawn=False, age_years__isnull=False)
    logged = Fish.objects.filter(lake=lake, withdrawn=False, progress__gte=Progress.LOGGED)
    at_age = (
        aged.order_by()
        .values_list("fish__species", "age_years")
        .annotate(mean=Avg("fish__length_hundredths_mm"), n=Count("pk"))
    )
    by_season = aged.order_by().values_list("fish__season", "fish__species")
    of_season = logged.order_by().values_list("season", "species")
    return LakeFacts(
        LengthUnit(lake.length_unit),
        {(species, age): (mean, n) for species, age, mean, n in at_age if n >= FEWEST},
        {
            (season, species): most
            for season, species, most, n in of_season.annotate(
                most=Max("length_hundredths_mm"), n=Count("pk")
            )
            if n >= FEWEST
        },
        {
            (season, species): most
            for season, species, most, n in by_season.annotate(most=Max("age_years"), n=Count("pk"))
            if n >= FEWEST
        },
    )


def compared(fish: Fish, age: int | None, facts: LakeFacts | None) -> list[str]:
    """Say how a fish stands beside the others, in a sentence each."""
    if facts is None:
        return []
    against = beside_average(fish, age, facts)
    return [*([against] if against else []), *(f"{one}." for one in records_of(fish, age, facts))]


def beside_average(fish: Fish, age: int | None, facts: LakeFacts) -> str:
    """Say how much longer or shorter a fish is than the average at its age, or nothing."""
    mean = facts.mean_at_age.get((fish.species_id, age)) if age is not None else None
    return _against(fish.length_hundredths_mm, *mean, facts.unit) if mean is not None else ""


def records_of(fish: Fish, age: int | None, facts: LakeFacts) -> list[str]:
    """Name what makes it a fish of note: the longest or the oldest of its season."""
    name = fish.species.name.lower()
    key = (fish.season_id, fish.species_id)
    found = []
    if facts.longest.get(key) == fish.length_hundredths_mm:
        found.append(f"Longest {name} of season {fish.season}")
    if age is not None and facts.oldest.get(key) == age:
        found.append(f"Oldest {name} of season {fish.season}")
    return found


def _against(length: int, mean: float, n: int, unit: LengthUnit) -> str:
    average = f"the lake's average at this age ({to_text(round(mean), unit)} {unit}, n = {n})"
    difference = to_text(round(abs(length - mean)), unit)
    if not float(difference):
        return f"As long as {average}."
    return f"{difference} {unit} {'longer' if length > mean else 'shorter'} than {average}."
