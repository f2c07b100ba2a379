"""From annuli counted to age: the table of the rule, and ages and seasons that follow from it.

The birthday of every fish is 1 January, so an annulus that is laid in spring is one that the
calendar has already counted before it shows. The table below says, for each part of the year and
each margin code, whether this year's annulus is among those counted.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from types import MappingProxyType

from samples.rules.season_days import MonthDay, SpeciesCalendar, day_text

__all__ = [
    "AUTUMN_MINUS_ONE",
    "FLAGS",
    "TABLE",
    "AgeResult",
    "CannotAge",
    "Edge",
    "MonthDay",
    "Part",
    "Row",
    "SpeciesCalendar",
    "age_from_reading",
    "decimal_age",
    "growing_seasons",
    "margin_needed",
    "year_class_of",
]

LATE_ANNULUS_DAYS = 30
AUTUMN = MonthDay(10, 1)
_DAYS_PER_YEAR = 365.25


class CannotAge(ValueError):
    """Say in a sentence fit to show why no age can come of what was given."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence


class Part(StrEnum):
    """A part of the year, seen from the window in which the annulus is laid."""

    BEFORE = "before the window"
    WITHIN = "within the window"
    JUST_AFTER = "within 30 days after the window"
    AFTER = "after the window"
    AUTUMN = "after the window, from 1 October"


class Edge(StrEnum):
    """What the reader said of the otolith's edge: a margin code, or something without a code."""

    ANNULUS = "1"
    UNDER_A_THIRD = "2"
    MIDDLE_THIRD = "3"
    OVER_TWO_THIRDS = "4"
    SHOWS_ANNULUS = "no code, an annulus shows"
    SHOWS_NONE = "no code, no annulus shows"
    NOT_SAID = "no code"


_CODED = frozenset({Edge.ANNULUS, Edge.UNDER_A_THIRD, Edge.MIDDLE_THIRD, Edge.OVER_TWO_THIRDS})
_UNCODED = frozenset(Edge) - _CODED


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table: where it holds, and what is added to the annuli counted.

    ``added`` is None where the row leaves the age to be settled. In ``sentence``, ``{starts}`` and
    ``{ends}`` stand for the days of the window, ``{counted}`` for the annuli and ``{age}`` for
    the age that results.
    """

    code: str
    part: Part
    edges: frozenset[Edge]
    added: int | None
    flags: tuple[str, ...]
    sentence: str


# The first row that fits decides, so the narrower parts of the year stand above the wider.
TABLE = (
    Row(
        "before_wide",
        Part.BEFORE,
        frozenset({Edge.MIDDLE_THIRD, Edge.OVER_TWO_THIRDS}),
        1,
        (),
        "Caught before {starts}: this year's annulus is not laid yet, so one is added to "
        "{counted}: age {age}.",
    ),
    Row(
        "before_narrow",
        Part.BEFORE,
        frozenset({Edge.UNDER_A_THIRD}),
        1,
        ("narrow_before_window",),
        "Caught before {starts}: this year's annulus is not laid yet, so one is added to "
        "{counted}: age {age}.",
    ),
    Row(
        "before_annulus",
        Part.BEFORE,
        frozenset({Edge.ANNULUS}),
        0,
        ("early_annulus",),
        "Caught before {starts} with an annulus at the edge: it is this year's, laid early, so "
        "the age is {age}.",
    ),
    Row(
        "before_no_code_annulus",
        Part.BEFORE,
        frozenset({Edge.SHOWS_ANNULUS}),
        0,
        ("no_margin_code", "early_annulus"),
        "Caught before {starts} with an annulus at the edge: it is this year's, laid early, so "
        "the age is {age}.",
    ),
    Row(
        "before_no_code",
        Part.BEFORE,
        frozenset({Edge.SHOWS_NONE}),
        1,
        ("no_margin_code",),
        "Caught before {starts} and no annulus shows at the edge: one is added to {counted}, "
        "age {age}.",
    ),
    Row(
        "before_edge_not_said",
        Part.BEFORE,
        frozenset({Edge.NOT_SAID}),
        1,
        ("no_margin_code", "edge_not_said"),
        "Caught before {starts} and no annulus was noted at the edge: one is added to {counted}, "
        "age {age}.",
    ),
    Row(
        "within_laid",
        Part.WITHIN,
        frozenset({Edge.ANNULUS, Edge.UNDER_A_THIRD}),
        0,
        (),
        "Caught from {starts} to {ends} with this spring's annulus laid: the age is {age}.",
    ),
    Row(
        "within_middle",
        Part.WITHIN,
        frozenset({Edge.MIDDLE_THIRD}),
        None,
        ("middle_in_window",),
        "Caught from {starts} to {ends} with a margin of 1/3 to 2/3: the age must be settled.",
    ),
    Row(
        "within_wide",
        Part.WITHIN,
        frozenset({Edge.OVER_TWO_THIRDS}),
        1,
        (),
        "Caught from {starts} to {ends} with this spring's annulus not laid yet: one is added to "
        "{counted}: age {age}.",
    ),
    Row(
        "within_no_code",
        Part.WITHIN,
        _UNCODED,
        None,
        ("no_margin_code",),
        "Caught from {starts} to {ends}: there is no age without a margin code.",
    ),
    Row(
        "after_wide",
        Part.JUST_AFTER,
        frozenset({Edge.OVER_TWO_THIRDS}),
        0,
        ("late_annulus",),
        "Caught after {ends}: this year's annulus is counted, so the age is {age}.",
    ),
    Row(
        "after_annulus_autumn",
        Part.AUTUMN,
        frozenset({Edge.ANNULUS}),
        0,
        ("autumn_annulus",),
        "Caught after {ends}: this year's annulus is counted, so the age is {age}.",
    ),
    Row(
        "after",
        Part.AFTER,
        _CODED,
        0,
        (),
        "Caught after {ends}: this year's annulus is counted, so the age is {age}.",
    ),
    Row(
        "after_no_code",
        Part.AFTER,
        _UNCODED,
        0,
        ("no_margin_code",),
        "Caught after {ends}: this year's annulus is counted, so the age is {age}.",
    ),
)

# Stands in for the row after_annulus_autumn where the biologist switched it on.
AUTUMN_MINUS_ONE = Row(
    "after_annulus_autumn_minus_one",
    Part.AUTUMN,
    frozenset({Edge.ANNULUS}),
    -1,
    ("autumn_annulus",),
    "Caught from 1 October on with an annulus at the edge: it is next year's, laid early, so one "
    "is taken from {counted}: age {age}.",
)

FLAGS: Mapping[str, str] = MappingProxyType(
    {
        "narrow_before_window": "Little growth this early in the year: look at the edge again.",
        "early_annulus": "An annulus at the edge before the window: look at the edge again.",
        "middle_in_window": "This margin fits two ages inside the window.",
        "late_annulus": "Soon after the window and a wide margin: this year's annulus may be late.",
        "autumn_annulus": "An annulus at the edge from 1 October on may be next year's.",
        "no_margin_code": "The reading has no margin code.",
        "edge_not_said": "The reading does not say whether an annulus shows at the edge.",
        "told_by_length": "No annuli: age 0 or 1 was told by length.",
        "length_cannot_tell": "No annuli: give the length and the largest length at age 0.",
        "not_hatched_yet": "Fish of this year had not hatched by that date.",
    }
)


@dataclass(frozen=True, slots=True)
class AgeResult:
    """What the rule makes of one reading; age and year class are None until it is settled."""

    age: int | None
    year_class: int | None
    rule: str
    sentence: str
    flags: tuple[str, ...]

    @property
    def settled(self) -> bool:
        """Tell whether the rule gave an age."""
        return self.age is not None

    @property
    def flag_sentences(self) -> tuple[str, ...]:
        """Put each flag in words."""
        return tuple(FLAGS[flag] for flag in self.flags)


def age_from_reading(
    annuli: int,
    margin: int | None,
    caught_on: date,
    calendar: SpeciesCalendar,
    *,
    annulus_at_edge: bool | None = None,
    length_hundredths_mm: int | None = None,
    age0_max_length_hundredths_mm: int | None = None,
    early_annulus_minus_one: bool = False,
) -> AgeResult:
    """Turn annuli counted, margin code and catch date into an age and a year class.

    An annulus that shows on the edge is among those counted. ``annulus_at_edge`` speaks where
    there is no margin code. The two lengths tell age 0 from age 1 where no annulus was counted.

    :raises CannotAge: if count, margin code and edge cannot belong to one reading
    """
    edge = _edge(annuli, margin, annulus_at_edge)
    if annuli == 0:
        return _age_without_annuli(
            caught_on, calendar, length_hundredths_mm, age0_max_length_hundredths_mm
        )
    row = _row(edge, _parts(caught_on, calendar), minus_one=early_annulus_minus_one)
    age = None if row.added is None else annuli + row.added
    sentence = row.sentence.format(
        starts=calendar.annulus_starts.text(),
        ends=calendar.annulus_ends.text(),
        counted="1 annulus" if annuli == 1 else f"{annuli} annuli",
        age=age,
    )
    if age is None:
        return AgeResult(None, None, row.code, sentence, row.flags)
    # Only a late hatch together with an autumn annulus could come to a fish not hatched yet.
    if age == 0 and caught_on < calendar.hatch.on(caught_on.year):
        return AgeResult(None, None, row.code, sentence, (*row.flags, "not_hatched_yet"))
    return AgeResult(age, caught_on.year - age, row.code, sentence, row.flags)


def _edge(annuli: int, margin: int | None, annulus_at_edge: bool | None) -> Edge:
    if annuli < 0:
        raise CannotAge("negative_count", "Give the number of annuli as 0 or more.")
    if margin is not None and margin not in range(1, 5):
        raise CannotAge("unknown_margin", "Give the margin as a code from 1 to 4.")
    if annuli == 0 and (margin is not None or annulus_at_edge):
        raise CannotAge("margin_without_annuli", "Without annuli there is no margin: leave it out.")
    if margin is None:
        shown = {True: Edge.SHOWS_ANNULUS, False: Edge.SHOWS_NONE, None: Edge.NOT_SAID}
        return shown[annulus_at_edge]
    edge = Edge(str(margin))
    if annulus_at_edge is not None and annulus_at_edge is not (edge is Edge.ANNULUS):
        raise CannotAge(
            "margin_contradicts_edge",
            "Margin code 1 says that an annulus shows at the edge, the others that none does.",
        )
    return edge


def _parts(caught_on: date, calendar: SpeciesCalendar) -> frozenset[Part]:
    starts = calendar.annulus_starts.on(caught_on.year)
    ends = calendar.annulus_ends.on(caught_on.year)
    if caught_on < starts:
        return frozenset({Part.BEFORE})
    if caught_on <= ends:
        return frozenset({Part.WITHIN})
    parts = {Part.AFTER}
    if caught_on - ends <= timedelta(days=LATE_ANNULUS_DAYS):
        parts.add(Part.JUST_AFTER)
    if caught_on >= AUTUMN.on(caught_on.year):
        parts.add(Part.AUTUMN)
    return frozenset(parts)


def _row(edge: Edge, parts: frozenset[Part], *, minus_one: bool) -> Row:
    row = next(row for row in TABLE if row.part in parts and edge in row.edges)
    if minus_one and (row.part, row.edges) == (AUTUMN_MINUS_ONE.part, AUTUMN_MINUS_ONE.edges):
        return AUTUMN_MINUS_ONE
    return row


def _age_without_annuli(
    caught_on: date, calendar: SpeciesCalendar, length: int | None, longest_at_0: int | None
) -> AgeResult:
    year = caught_on.year
    hatch = calendar.hatch.text()
    if caught_on < calendar.hatch.on(year):
        sentence = f"Caught before {hatch} without annuli: hatched last year, so the age is 1."
        return AgeResult(1, year - 1, "none_before_hatch", sentence, ())
    if length is None or longest_at_0 is None:
        sentence = f"Caught from {hatch} on without annuli: age 0 or 1, to be told by length."
        return AgeResult(None, None, "none_length_unknown", sentence, ("length_cannot_tell",))
    if length <= longest_at_0:
        sentence = f"Caught from {hatch} on without annuli, and short enough for age 0."
        return AgeResult(0, year, "none_short", sentence, ("told_by_length",))
    sentence = f"Caught from {hatch} on without annuli, and too long for age 0: the age is 1."
    return AgeResult(1, year - 1, "none_long", sentence, ("told_by_length",))


def margin_needed(caught_on: date, calendar: SpeciesCalendar) -> bool:
    """Tell whether there is no age without a margin code: inside the window, both ends included."""
    return Part.WITHIN in _parts(caught_on, calendar)


def year_class_of(age: int, caught_on: date, calendar: SpeciesCalendar) -> int:
    """Give the year in which a fish of this age hatched.

    :raises CannotAge: if the age is negative, or the fish would not have hatched by the date
    """
    if age < 0:
        raise CannotAge("negative_age", "An age is 0 or more.")
    year_class = caught_on.year - age
    _check_hatched(year_class, caught_on, calendar)
    return year_class


def decimal_age(year_class: int, caught_on: date, calendar: SpeciesCalendar) -> float:
    """Give the years from hatching to capture: days since the hatch date over 365.25.

    :raises CannotAge: if fish of the year class had not hatched by the date
    """
    _check_hatched(year_class, caught_on, calendar)
    return (caught_on - calendar.hatch.on(year_class)).days / _DAYS_PER_YEAR


def growing_seasons(age: int, caught_on: date, calendar: SpeciesCalendar) -> int:
    """Count the growing seasons begun: the age until growth starts in spring, then one more.

    :raises CannotAge: if the age is negative, or the fish would not have hatched by the date
    """
    year_class_of(age, caught_on, calendar)
    return age + (caught_on >= calendar.growth_starts.on(caught_on.year))


def _check_hatched(year_class: int, caught_on: date, calendar: SpeciesCalendar) -> None:
    hatch = calendar.hatch.on(year_class)
    if caught_on < hatch:
        raise CannotAge(
            "not_hatched_yet",
            f"Fish of the year class {year_class} hatched from {day_text(hatch)} on, after "
            f"{day_text(caught_on)}.",
        )
