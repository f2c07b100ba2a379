"""The table of targets as the page edits it: one row a bin, the lake first, then each arm."""

from dataclasses import dataclass

from django.db.models import Count, F, Max, Min

from samples.models import Fish, Lake, LakeSpecies, Progress, Season, Species, Target
from samples.targets.rules import Key, LengthBin, Part
from samples.units import LengthUnit

# Past this many bins a page is no longer read; a narrower range can be chosen.
MOST_BINS = 60


@dataclass(frozen=True, slots=True)
class SavedTargets:
    """What is set now, by arm and lower edge, for bins of the species' own width.

    ``wanted`` is of all fish; ``parts`` of what nets or each sex are to bring.
    """

    wanted: dict[Key, int]
    for_other_bins: int
    parts: dict[Part, dict[Key, int]]

    def of(self, part: Part) -> dict[Key, int]:
        return self.parts[part]


def saved_targets(season: Season, species: Species, width: int) -> SavedTargets:
    """Read the targets that fit the bins; count those that were set for other bins."""
    parts: dict[Part, dict[Key, int]] = {part: {} for part in Part}
    other = 0
    for target in Target.objects.filter(season=season, species=species):
        lower = target.from_hundredths_mm
        if lower % width or target.below_hundredths_mm != lower + width:
            other += 1
        else:
            for part, numbers in parts.items():
                numbers[target.arm_id, lower] = getattr(target, part)
    return SavedTargets(parts[Part.ALL], other, parts)


def bins_between(lower: int, below: int, width: int, unit: LengthUnit) -> list[LengthBin]:
    """List the bins that hold the lengths from `lower` to just under `below`."""
    places = range(lower // width, max(lower // width + 1, -(-below // width)))
    return [LengthBin(place, width, unit) for place in places]


def usual_range(lake: Lake, lake_species: LakeSpecies, saved: SavedTargets) -> tuple[int, int]:
    """Return the lengths that the page opens with: those with targets or fish,
    else the plausible.
    """
    width = lake_species.bin_width_hundredths_mm
    seen = Fish.objects.filter(lake=lake, species=lake_species.species, withdrawn=False).aggregate(
        least=Min("length_hundredths_mm"), most=Max("length_hundredths_mm")
    )
    edges = [lower for _, lower in saved.wanted]
    if seen["least"] is not None:
        edges += [seen["least"], seen["most"]]
    if not edges:
        species = lake_species.species_here
        return species.plausible_min_hundredths_mm, species.plausible_max_hundredths_mm
    return min(edges) // width * width, (max(edges) // width + 1) * width


def most_logged(lake: Lake, lake_species: LakeSpecies) -> dict[Key, int]:
    """Return the most fish with a vial that any season had of a bin, by arm and lake-wide."""
    width = lake_species.bin_width_hundredths_mm
    rows = (
        Fish.objects.filter(
            lake=lake,
            species=lake_species.species,
            withdrawn=False,
            progress__gte=Progress.LOGGED,
        )
        .order_by()
        .annotate(bin=F("length_hundredths_mm") / width)
        .values_list("season_id", "arm_id", "bin")
        .annotate(n=Count("*"))
    )
    by_season: dict[tuple[int, int | None, int], int] = {}
    for season, arm, place, n in rows:
        for key in ((season, arm, place * width), (season, None, place * width)):
            by_season[key] = by_season.get(key, 0) + n
    found: dict[Key, int] = {}
    for (_, arm, lower), n in by_season.items():
        found[arm, lower] = max(n, found.get((arm, lower), 0))
    return found
