"""The table of the ageing rule: what is added to the annuli counted, and what is flagged.

It rests on the birthday of 1 January (VanderKooy (ed.), Gulf States Marine Fisheries Commission,
A Practical Handbook for Determining the Ages of Gulf of Mexico Fishes), set out here with a start
and an end of the window in which the annulus is laid (common practice, no source).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

_NOT_LAID = (
    "Caught before {starts}, this year's annulus not formed yet: {counted} plus one, age {age}."
)
_LAID_EARLY = "Caught before {starts}, annulus at the edge: this year's, formed early. Age {age}."
_COUNTED = "Caught after {ends}, this year's annulus counted: age {age}."


class AnnulusPeriod(StrEnum):
    """A part of the year, seen from the window in which the annulus is laid."""

    BEFORE = "before the window"
    WITHIN = "within the window"
    JUST_AFTER = "within 30 days after the window"
    AFTER = "after the window"
    AUTUMN = "after the window, from October 1"


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
class AgeingRule:
    """One row of the table: where it holds, and what is added to the annuli counted.

    ``added`` is None where the row leaves the age to be settled. In ``sentence``, ``{starts}`` and
    ``{ends}`` stand for the days of the window, ``{counted}`` for the annuli and ``{age}`` for
    the age that results.
    """

    code: str
    part: AnnulusPeriod
    edges: frozenset[Edge]
    added: int | None
    flags: tuple[str, ...]
    sentence: str


# The first row that fits decides, so the narrower parts of the year stand above the wider.
TABLE = (
    AgeingRule(
        "before_wide",
        AnnulusPeriod.BEFORE,
        frozenset({Edge.MIDDLE_THIRD, Edge.OVER_TWO_THIRDS}),
        1,
        (),
        _NOT_LAID,
    ),
    AgeingRule(
        "before_narrow",
        AnnulusPeriod.BEFORE,
        frozenset({Edge.UNDER_A_THIRD}),
        1,
        ("narrow_before_window",),
        _NOT_LAID,
    ),
    AgeingRule(
        "before_annulus",
        AnnulusPeriod.BEFORE,
        frozenset({Edge.ANNULUS}),
        0,
        ("early_annulus",),
        _LAID_EARLY,
    ),
    AgeingRule(
        "before_no_code_annulus",
        AnnulusPeriod.BEFORE,
        frozenset({Edge.SHOWS_ANNULUS}),
        0,
        ("no_margin_code", "early_annulus"),
        _LAID_EARLY,
    ),
    AgeingRule(
        "before_no_code",
        AnnulusPeriod.BEFORE,
        frozenset({Edge.SHOWS_NONE}),
        1,
        ("no_margin_code",),
        "Caught before {starts}, no annulus at the edge: {counted} plus one, age {age}.",
    ),
    AgeingRule(
        "before_edge_not_said",
        AnnulusPeriod.BEFORE,
        frozenset({Edge.NOT_SAID}),
        1,
        ("no_margin_code", "edge_not_said"),
        "Caught before {starts}, edge not recorded: {counted} plus one, age {age}.",
    ),
    AgeingRule(
        "within_laid",
        AnnulusPeriod.WITHIN,
        frozenset({Edge.ANNULUS, Edge.UNDER_A_THIRD}),
        0,
        (),
        "Caught {starts} to {ends}, this year's annulus formed: age {age}.",
    ),
    AgeingRule(
        "within_middle",
        AnnulusPeriod.WITHIN,
        frozenset({Edge.MIDDLE_THIRD}),
        None,
        ("middle_in_window",),
        "Caught {starts} to {ends}, margin 1/3 to 2/3: the biologist decides the age.",
    ),
    AgeingRule(
        "within_wide",
        AnnulusPeriod.WITHIN,
        frozenset({Edge.OVER_TWO_THIRDS}),
        1,
        (),
        "Caught {starts} to {ends}, this year's annulus not formed yet: {counted} plus one, "
        "age {age}.",
    ),
    AgeingRule(
        "within_no_code",
        AnnulusPeriod.WITHIN,
        _UNCODED,
        None,
        ("no_margin_code",),
        "Caught {starts} to {ends}: the age needs a margin code.",
    ),
    AgeingRule(
        "after_wide",
        AnnulusPeriod.JUST_AFTER,
        frozenset({Edge.OVER_TWO_THIRDS}),
        0,
        ("late_annulus",),
        _COUNTED,
    ),
    AgeingRule(
        "after_annulus_autumn",
        AnnulusPeriod.AUTUMN,
        frozenset({Edge.ANNULUS}),
        0,
        ("autumn_annulus",),
        _COUNTED,
    ),
    AgeingRule(
        "after",
        AnnulusPeriod.AFTER,
        _CODED,
        0,
        (),
        _COUNTED,
    ),
    AgeingRule(
        "after_no_code",
        AnnulusPeriod.AFTER,
        _UNCODED,
        0,
        ("no_margin_code",),
        _COUNTED,
    ),
)

# Stands in for the row after_annulus_autumn where the biologist switched it on.
AUTUMN_MINUS_ONE = AgeingRule(
    "after_annulus_autumn_minus_one",
    AnnulusPeriod.AUTUMN,
    frozenset({Edge.ANNULUS}),
    -1,
    ("autumn_annulus",),
    "Caught on or after October 1, annulus at the edge: next year's, formed early. "
    "{counted} minus one, age {age}.",
)

FLAGS: Mapping[str, str] = MappingProxyType(
    {
        "narrow_before_window": "Little growth this early in the year: look at the edge again.",
        "early_annulus": "Annulus at the edge before the window: look at the edge again.",
        "middle_in_window": "This margin fits two ages inside the window.",
        "late_annulus": "Wide margin soon after the window: this year's annulus may be late.",
        "autumn_annulus": "An annulus at the edge on or after October 1 may be next year's.",
        "no_margin_code": "The reading has no margin code.",
        "edge_not_said": "The reading does not say if an annulus is at the edge.",
        "told_by_length": "No annuli: age 0 or 1 assigned by length.",
        "length_cannot_tell": "No annuli: needs the length and, under Lake, Species, the length "
        "below which fish are age 0.",
        "not_hatched_yet": "Fish of this year had not hatched by that date.",
    }
)
