"""Lengths at age, read and shaped for the page."""

import csv
import io
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, QuerySet
from django.db.models.functions import Coalesce

from samples.findings.geometry import Figure, Point, figure_of
from samples.models import Arm, Fish, Lake, LakeSpecies, Progress, Season, Sex, Species
from samples.models.party import Method
from samples.rules.csv_text import plain_cell
from samples.science.length_at_age import LengthAtAge, length_at_age
from samples.units import HUNDREDTHS_PER_INCH, HUNDREDTHS_PER_MILLIMETRE, LengthUnit

# Fish that anglers took home are above the size they keep.
KEPT_BY_ANGLERS = {Method.ANGLER_KEPT, Method.TOURNAMENT, Method.CREEL}
HUNDREDTHS = {
    LengthUnit.INCH: HUNDREDTHS_PER_INCH,
    LengthUnit.MILLIMETRE: HUNDREDTHS_PER_MILLIMETRE,
}
RULED_EVERY = {LengthUnit.INCH: 5, LengthUnit.MILLIMETRE: 100}
# Of two fish the interval is so wide that it reaches below zero.
FEWEST_FOR_AN_INTERVAL = 3
HEADS = (
    "lake",
    "season",
    "species",
    "only",
    "arm",
    "age_years",
    "n",
    "mean",
    "sd",
    "mean_95_lower",
    "mean_95_upper",
    "unit",
    "one_reader",
    "age_as_given",
)


@dataclass(frozen=True, slots=True)
class Options:
    """What a lake has to choose from."""

    lake: Lake
    seasons: list[Season]
    lake_species: list[LakeSpecies]
    arms: list[Arm]
    first_season: Season | None

    @property
    def unit(self) -> LengthUnit:
        return LengthUnit(self.lake.length_unit)


@dataclass(frozen=True, slots=True)
class Choice:
    """Which aged fish are described."""

    season: Season
    species: Species
    sex: str = ""
    method: str = ""

    @property
    def words(self) -> str:
        parts = [Sex(self.sex).label.lower()] if self.sex else []
        parts += [Method(self.method).label.lower()] if self.method else []
        return ", ".join(parts)


@dataclass(frozen=True, slots=True)
class Line:
    """One age of one arm, in the lake's unit."""

    arm: str
    age: int
    lengths: LengthAtAge
    one_reader: int
    as_given: int

    @property
    def letters(self) -> str:
        found = ["r"] if self.one_reader else []
        return " ".join([*found, *(["g"] if self.as_given else [])])


@dataclass(frozen=True, slots=True)
class ArmLines:
    arm: str
    lines: list[Line]

    @property
    def n(self) -> int:
        return sum(line.lengths.n for line in self.lines)


@dataclass(frozen=True, slots=True)
class Grown:
    """The whole page."""

    choice: Choice
    unit: LengthUnit
    arms: list[ArmLines]
    figure: Figure | None
    kept_by_anglers: int
    settled: int
    one_reader: int
    as_given: int

    @property
    def n(self) -> int:
        return sum(arm.n for arm in self.arms)

    @property
    def mainly_kept(self) -> bool:
        return 2 * self.kept_by_anglers > self.n


def options_of(lake: Lake, today: date) -> Options:
    """List seasons, species and arms; the season of today, or the last one, comes first."""
    seasons = list(Season.objects.filter(lake=lake).order_by("-starts_on", "-pk"))
    begun = [season for season in seasons if season.starts_on <= today]
    species = LakeSpecies.objects.filter(lake=lake).select_related("species")
    return Options(
        lake=lake,
        seasons=seasons,
        lake_species=list(species.order_by("position", "pk")),
        arms=list(Arm.objects.filter(lake=lake).order_by("whole_lake", "position", "pk")),
        first_season=next(iter(begun or seasons), None),
    )


def aged_rows(fish: QuerySet[Fish], choice: Choice) -> QuerySet[Fish, Any]:
    """Count aged fish by arm, age, length, standing and method.

    An age that came with an import is used where there is none from our own readings.
    """
    where: dict[str, Any] = {"season": choice.season, "species": choice.species}
    where |= {"sex": choice.sex} if choice.sex else {}
    where |= {"method": choice.method} if choice.method else {}
    return (
        fish.filter(withdrawn=False, progress__gte=Progress.AGE_AS_GIVEN, **where)
        .order_by()
        .annotate(years=Coalesce("age__age_years", "age_as_given__age_years"))
        .filter(years__isnull=False)
        .values_list("arm_id", "years", "length_hundredths_mm", "progress", "method")
        .annotate(n=Count("*"))
    )


def grown_of(fish: QuerySet[Fish], options: Options, choice: Choice) -> Grown:
    """Describe the lengths at each age, arm by arm."""
    cells: dict[tuple[int, int], dict[int, int]] = {}
    standing: dict[tuple[int, int], dict[int, int]] = {}
    kept = 0
    for arm, years, length, progress, method, n in aged_rows(fish, choice):
        lengths = cells.setdefault((arm, years), {})
        lengths[length] = lengths.get(length, 0) + n
        marks = standing.setdefault((arm, years), {})
        marks[progress] = marks.get(progress, 0) + n
        kept += n if method in KEPT_BY_ANGLERS else 0
    arms = [
        ArmLines(
            arm.name,
            [
                _line(arm.name, years, cells[arm.pk, years], standing[arm.pk, years], options.unit)
                for years in sorted(years for pk, years in cells if pk == arm.pk)
            ],
        )
        for arm in options.arms
    ]
    shown = [arm for arm in arms if arm.lines]
    totals = [sum(marks.get(one, 0) for marks in standing.values()) for one in (5, 4, 3)]
    return Grown(
        choice=choice,
        unit=options.unit,
        arms=shown,
        figure=_figure(shown, options.unit) if shown else None,
        kept_by_anglers=kept,
        settled=totals[0],
        one_reader=totals[1],
        as_given=totals[2],
    )


def _line(
    arm: str, years: int, lengths: dict[int, int], marks: dict[int, int], unit: LengthUnit
) -> Line:
    stored = length_at_age(lengths)
    scale = HUNDREDTHS[unit]
    told = stored.n >= FEWEST_FOR_AN_INTERVAL
    in_unit = LengthAtAge(
        stored.n,
        stored.mean / scale,
        None if stored.sd is None else stored.sd / scale,
        None if stored.lower is None or not told else stored.lower / scale,
        None if stored.upper is None or not told else stored.upper / scale,
    )
    given = marks.get(Progress.AGE_AS_GIVEN, 0)
    return Line(arm, years, in_unit, marks.get(Progress.ONE_READER, 0), given)


def _figure(arms: list[ArmLines], unit: LengthUnit) -> Figure:
    points = {
        arm.arm: [
            Point(line.age, line.lengths.mean, line.lengths.sd, line.lengths.n)
            for line in arm.lines
        ]
        for arm in arms
    }
    oldest = max(line.age for arm in arms for line in arm.lines)
    words = {arm.arm: f"{arm.n} fish" for arm in arms}
    return figure_of(points, words, step=RULED_EVERY[unit], oldest=oldest)


def finding(grown: Grown) -> str:
    """Say in a sentence where fish are longest and shortest at the age most arms have."""
    by_age: dict[int, list[Line]] = {}
    for arm in grown.arms:
        for line in arm.lines:
            if line.lengths.n >= FEWEST_FOR_AN_INTERVAL:
                by_age.setdefault(line.age, []).append(line)
    if not by_age:
        return ""
    age = max(by_age, key=lambda one: (len(by_age[one]), sum(x.lengths.n for x in by_age[one])))
    lines = sorted(by_age[age], key=lambda line: line.lengths.mean)
    if len(lines) < 2:
        return ""
    first, last = lines[0], lines[-1]
    return (
        f"At age {age} fish of {last.arm} average {last.lengths.mean:.1f} {grown.unit} "
        f"({last.lengths.n} fish), those of {first.arm} {first.lengths.mean:.1f} {grown.unit} "
        f"({first.lengths.n})."
    )


def csv_of(lake: Lake, grown: Grown) -> str:
    """Write the table as comma-separated values, with a line of heads."""
    out = io.StringIO()
    write = csv.writer(out)
    write.writerow(HEADS)
    choice = grown.choice
    start = [plain_cell(lake.name), plain_cell(choice.season.name), plain_cell(choice.species.name)]
    for arm in grown.arms:
        for line in arm.lines:
            lengths = line.lengths
            figures = [lengths.mean, lengths.sd, lengths.lower, lengths.upper]
            write.writerow(
                [
                    *start,
                    choice.words,
                    plain_cell(arm.arm),
                    line.age,
                    lengths.n,
                    *("" if one is None else f"{one:.3f}" for one in figures),
                    grown.unit,
                    line.one_reader,
                    line.as_given,
                ]
            )
    return out.getvalue()
