"""The one count behind coverage: done in SQL, from the coverage index alone."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Case, Count, F, IntegerField, QuerySet, When

from samples.models import Fish, Progress, Sex
from samples.models.party import Method
from samples.targets.queries.choice import CoverageSelection
from samples.targets.rules import NO_FISH, FishByPart

# From which progress on a fish counts as ...
FROM = {
    "logged": Progress.LOGGED,
    "received": Progress.RECEIVED,
    "aged": Progress.AGE_AS_GIVEN,
}
# The office's own gear; all other fish are of the donors' share.
NETS = frozenset({Method.TRAP_NET, Method.ELECTROFISHING})
CountRow = tuple[int, int, int, int | None, int]
# Arm, bin, day of catch, fish.
DayRow = tuple[int, int, date | None, int]
# Season, species, arm, group, bin, day of catch, fish.
GroupRow = tuple[int, int, int, int | str | None, int, date | None, int]


@dataclass(frozen=True, slots=True)
class Tally:
    """The fish of one arm and bin: by how far their samples have come, and by donor.

    ``by_donor`` holds those alone that came as far as the page counts.
    """

    by_progress: list[int]
    by_donor: dict[int | None, int]

    def at_least(self, progress: int) -> int:
        return sum(self.by_progress[progress:])

    @property
    def measured(self) -> int:
        return sum(self.by_progress)

    @property
    def one_reader(self) -> int:
        return self.by_progress[Progress.ONE_READER]

    @property
    def as_given(self) -> int:
        return self.by_progress[Progress.AGE_AS_GIVEN]

    def waiting(self, level: int) -> int:
        """Return how many are logged, and not yet as far as is counted."""
        return sum(self.by_progress[Progress.LOGGED : level])


def largest_donor(by_donor: Mapping[int | None, int]) -> tuple[int | None, int]:
    """Return who gave most, and how many; fish of nobody named are nobody's share."""
    top, most = None, 0
    for donor, n in by_donor.items():
        if n > most and donor is not None:
            top, most = donor, n
    return top, most


def count_rows(fish: QuerySet[Fish], selection: CoverageSelection) -> "QuerySet[Fish, CountRow]":
    """Count those of a person's fish that the choice is about by arm, bin, progress and donor.

    Every column named here is in the index `fish_coverage`, and rows are counted with
    ``COUNT(*)``: the database reads the index and no row. The bin is a division of
    integers, so it is exact.
    """
    return (
        fish.filter(**selection.where())
        .order_by()
        .annotate(bin=F("length_hundredths_mm") / selection.bin_width)
        .values_list("arm_id", "bin", "progress", "donor_id")
        .annotate(n=Count("*"))
    )


def count_rows_by_species(
    fish: QuerySet[Fish], selections: Iterable[CoverageSelection]
) -> dict[int, list[CountRow]]:
    """Count the same for several species of one season at once; the bins of each are its own."""
    widths = {one.species.pk: one.bin_width for one in selections}
    rows = (
        _of_season(fish, selections)
        .annotate(bin=_bin_of(widths))
        .values_list("species_id", "arm_id", "bin", "progress", "donor_id")
        .annotate(n=Count("*"))
    )
    found: dict[int, list[CountRow]] = {species: [] for species in widths}
    for species, *row in rows:
        found[species].append(tuple(row))
    return found


@dataclass(frozen=True, slots=True)
class PartTally:
    """Fish of one arm and bin by source and sex: those that count, and those in hand."""

    counted: FishByPart = NO_FISH
    waiting: FishByPart = NO_FISH


PartTallies = dict[tuple[int, int], PartTally]


def count_parts(
    fish: QuerySet[Fish], selections: Iterable[CoverageSelection]
) -> dict[int, PartTallies]:
    """Count logged fish of several species of one season by arm, bin, source and sex."""
    levels = {one.species.pk: FROM[one.count] for one in selections}
    widths = {one.species.pk: one.bin_width for one in selections}
    rows = (
        _of_season(fish, selections)
        .filter(progress__gte=Progress.LOGGED)
        .annotate(bin=_bin_of(widths))
        .values_list("species_id", "arm_id", "bin", "progress", "sex", "method")
        .annotate(n=Count("*"))
    )
    found: dict[int, PartTallies] = {species: {} for species in widths}
    for species, arm, place, progress, sex, method, n in rows:
        part = FishByPart(
            from_nets=n if method in NETS else 0,
            females=n if sex == Sex.FEMALE else 0,
            males=n if sex == Sex.MALE else 0,
            no_sex=n if sex == Sex.NOT_KNOWN else 0,
        )
        was = found[species].get((arm, place), PartTally())
        if progress >= levels[species]:
            now = PartTally(was.counted + part, was.waiting)
        else:
            now = PartTally(was.counted, was.waiting + part)
        found[species][arm, place] = now
    return found


def collected_by_day(
    fish: QuerySet[Fish], selections: Iterable[CoverageSelection]
) -> dict[int, list[DayRow]]:
    """Count the logged fish of several species of one season by arm, bin and day of catch."""
    widths = {one.species.pk: one.bin_width for one in selections}
    if not widths:
        return {}
    rows = (
        _of_season(fish, selections)
        .filter(progress__gte=Progress.LOGGED)
        .annotate(bin=_bin_of(widths))
        .values_list("species_id", "arm_id", "bin", "caught_on")
        .annotate(n=Count("*"))
    )
    found: dict[int, list[DayRow]] = {species: [] for species in widths}
    for species, *row in rows:
        found[species].append(tuple(row))
    return found


def collected_by_group(
    fish: QuerySet[Fish], selections: Iterable[CoverageSelection], *, group: str
) -> list[GroupRow]:
    """Count the logged fish of several species and seasons by arm, group, bin and day of catch.

    :param group: a column of fish: "arm_id", "reach_id", "sex", "method"
    """
    chosen = list(selections)
    widths = {one.species.pk: one.bin_width for one in chosen}
    if not widths:
        return []
    return list(
        _of_season(fish, chosen)
        .filter(progress__gte=Progress.LOGGED)
        .annotate(bin=_bin_of(widths), of=F(group))
        .values_list("season_id", "species_id", "arm_id", "of", "bin", "caught_on")
        .annotate(n=Count("*"))
    )


def _of_season(fish: QuerySet[Fish], selections: Iterable[CoverageSelection]) -> QuerySet[Fish]:
    return fish.filter(
        season__in={one.season.pk for one in selections},
        species__in=[one.species.pk for one in selections],
    ).order_by()


def _bin_of(widths: Mapping[int, int]) -> Case:
    whens = [
        When(species=species, then=F("length_hundredths_mm") / width)
        for species, width in widths.items()
    ]
    return Case(*whens, output_field=IntegerField())


def tallies(rows: Iterable[CountRow], level: int) -> dict[tuple[int, int], Tally]:
    """Shape the counted rows into one tally for each arm and bin; bins by number."""
    found: dict[tuple[int, int], Tally] = {}
    for arm, place, progress, donor, n in rows:
        tally = found.get((arm, place))
        if tally is None:
            tally = found[arm, place] = Tally([0] * len(Progress), {})
        tally.by_progress[progress] += n
        if progress >= level:
            tally.by_donor[donor] = tally.by_donor.get(donor, 0) + n
    return found
