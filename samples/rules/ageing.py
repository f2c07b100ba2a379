"""From annuli counted to age: the table of the rule, and ages and seasons that follow from it.

The birthday of every fish is 1 January, so an annulus that is laid in spring is one that the
calendar has already counted before it shows. The table (in ageing_table) says, for each part of
the year and each margin code, whether this year's annulus is among those counted.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from samples.rules.ageing_table import (
    AUTUMN_MINUS_ONE,
    FLAGS,
    TABLE,
    AgeingRule,
    AnnulusPeriod,
    Edge,
)
from samples.rules.season_days import MonthDay, SpeciesCalendar, day_text

__all__ = [
    "AUTUMN_MINUS_ONE",
    "FLAGS",
    "TABLE",
    "AgeResult",
    "AgeingRule",
    "AnnulusPeriod",
    "CannotAge",
    "Edge",
    "MonthDay",
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
        """Return whether the rule gave an age."""
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
        raise CannotAge("negative_count", "Enter the number of annuli, 0 or more.")
    if margin is not None and margin not in range(1, 5):
        raise CannotAge("unknown_margin", "Enter the margin code, 1 to 4.")
    if annuli == 0 and (margin is not None or annulus_at_edge):
        raise CannotAge("margin_without_annuli", "With no annuli, leave the margin empty.")
    if margin is None:
        shown = {True: Edge.SHOWS_ANNULUS, False: Edge.SHOWS_NONE, None: Edge.NOT_SAID}
        return shown[annulus_at_edge]
    edge = Edge(str(margin))
    if annulus_at_edge is not None and annulus_at_edge is not (edge is Edge.ANNULUS):
        raise CannotAge(
            "margin_contradicts_edge",
            "Margin code 1 means an annulus at the edge; codes 2 to 4 mean none.",
        )
    return edge


def _parts(caught_on: date, calendar: SpeciesCalendar) -> frozenset[AnnulusPeriod]:
    starts = calendar.annulus_starts.on(caught_on.year)
    ends = calendar.annulus_ends.on(caught_on.year)
    if caught_on < starts:
        return frozenset({AnnulusPeriod.BEFORE})
    if caught_on <= ends:
        return frozenset({AnnulusPeriod.WITHIN})
    parts = {AnnulusPeriod.AFTER}
    if caught_on - ends <= timedelta(days=LATE_ANNULUS_DAYS):
        parts.add(AnnulusPeriod.JUST_AFTER)
    if caught_on >= AUTUMN.on(caught_on.year):
        parts.add(AnnulusPeriod.AUTUMN)
    return frozenset(parts)


def _row(edge: Edge, parts: frozenset[AnnulusPeriod], *, minus_one: bool) -> AgeingRule:
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
        sentence = f"Caught before {hatch}, no annuli: hatched last year, age 1."
        return AgeResult(1, year - 1, "none_before_hatch", sentence, ())
    if length is None or longest_at_0 is None:
        sentence = f"Caught on or after {hatch}, no annuli: age 0 or 1, by length."
        return AgeResult(None, None, "none_length_unknown", sentence, ("length_cannot_tell",))
    if length <= longest_at_0:
        sentence = f"Caught on or after {hatch}, no annuli, short enough for age 0."
        return AgeResult(0, year, "none_short", sentence, ("told_by_length",))
    sentence = f"Caught on or after {hatch}, no annuli, too long for age 0: age 1."
    return AgeResult(1, year - 1, "none_long", sentence, ("told_by_length",))


def margin_needed(caught_on: date, calendar: SpeciesCalendar) -> bool:
    """Return whether there is no age without a margin code:
    inside the window, both ends included.
    """
    return AnnulusPeriod.WITHIN in _parts(caught_on, calendar)


def year_class_of(age: int, caught_on: date, calendar: SpeciesCalendar) -> int:
    """Return the year in which a fish of this age hatched.

    :raises CannotAge: if the age is negative, or the fish would not have hatched by the date
    """
    if age < 0:
        raise CannotAge("negative_age", "An age is 0 or more.")
    year_class = caught_on.year - age
    _check_hatched(year_class, caught_on, calendar)
    return year_class


def decimal_age(year_class: int, caught_on: date, calendar: SpeciesCalendar) -> float:
    """Return the years from hatching to capture: days since the hatch date over 365.25.

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
            f"The {year_class} year class hatched on or after {day_text(hatch)}; this fish was "
            f"caught {day_text(caught_on)}.",
        )
