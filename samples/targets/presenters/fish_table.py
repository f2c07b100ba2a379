"""The columns of the list of fish: one definition for the page and for its files."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TypeAlias

from django.utils.formats import date_format

from samples.models import Age, Fish, Progress
from samples.rules import vial_number
from samples.units import LengthUnit, to_text

Value: TypeAlias = str | int | Decimal | date | None
DASH = "–"
SHORT_DATE = "M j, Y"
# The vial names each line.
ALWAYS_SHOWN = "vial"


@dataclass(frozen=True, slots=True)
class FishColumn:
    """One column: what it says of a fish, and what a page says where there is nothing."""

    key: str
    head: str
    value_of: Callable[[Fish, LengthUnit], Value]
    missing: str = DASH
    # Shown unless somebody chose otherwise.
    is_usual: bool = True
    unit: str = ""

    def head_in(self, unit: LengthUnit) -> str:
        """Return the head with its unit; a length is in the lake's."""
        written = unit.value if self.key == "length" else self.unit
        return f"{self.head}, {written}" if written else self.head


@dataclass(frozen=True, slots=True)
class FishCell:
    """One cell as the page writes it; narrow pages set the head beside it."""

    head: str
    text: str
    css_class: str


@dataclass(frozen=True, slots=True)
class FishLine:
    """One fish as it stands in the list; its vial leads to the readings."""

    vial: str
    cells: list[FishCell]


def _length(fish: Fish, unit: LengthUnit) -> Decimal:
    return Decimal(to_text(fish.length_hundredths_mm, unit))


def _age(fish: Fish, _: LengthUnit) -> int | None:
    age = getattr(fish, "age", None)
    if age is not None and age.age_years is not None:
        return int(age.age_years)
    given = getattr(fish, "age_as_given", None)
    return None if given is None else int(given.age_years)


def _year_class(fish: Fish, _: LengthUnit) -> int | None:
    age = getattr(fish, "age", None)
    return None if age is None else age.year_class


def _status(fish: Fish, _: LengthUnit) -> str:
    """Return how far the sample has come; an age that readers differ on says so."""
    age = getattr(fish, "age", None)
    if age is not None and age.standing == Age.Standing.TO_SETTLE:
        return "No consensus age"
    if age is not None and age.age_years is None:
        return str(age.get_standing_display())
    return Progress(fish.progress).label


COLUMNS = [
    FishColumn(
        "vial",
        "Vial",
        lambda fish, _: vial_number.grouped(fish.vial.number) if fish.vial else None,
        missing="no vial",
    ),
    FishColumn("species", "Species", lambda fish, _: fish.species.name),
    FishColumn("length", "Length", _length),
    FishColumn("age", "Age", _age, unit="years"),
    FishColumn("year_class", "Year class", _year_class, is_usual=False),
    FishColumn("status", "Status", _status),
    FishColumn("sex", "Sex", lambda fish, _: fish.get_sex_display()),
    FishColumn("weight", "Weight", lambda fish, _: fish.weight_g, is_usual=False, unit="g"),
    FishColumn("tag_number", "Tag number", lambda fish, _: fish.tag_number, is_usual=False),
    FishColumn("arm", "Arm", lambda fish, _: fish.arm.name),
    FishColumn("reach", "Reach", lambda fish, _: fish.reach.name if fish.reach else None),
    FishColumn("caught", "Caught", lambda fish, _: fish.caught_on, missing="not known"),
    FishColumn("season", "Season", lambda fish, _: fish.season.name, is_usual=False),
    FishColumn("method", "Method", lambda fish, _: fish.get_method_display()),
    FishColumn("logged_by", "Logged by", lambda fish, _: str(fish.logged_by)),
    FishColumn("note", "Note", lambda fish, _: fish.note, is_usual=False),
    FishColumn(
        "donor",
        "Donor",
        lambda fish, _: (fish.donor.name or None) if fish.donor else None,
        missing="not named",
    ),
]
NUMBERS = frozenset({"length", "age", "year_class", "weight"})


def columns_offered(*, donors_named: bool) -> list[FishColumn]:
    """Return the columns that a person may see: donors are named to few."""
    return [one for one in COLUMNS if donors_named or one.key != "donor"]


def columns_shown(
    offered: Iterable[FishColumn], chosen: Iterable[str], *, one_species: bool
) -> list[FishColumn]:
    """Return the chosen columns, else the usual ones.

    Usually the species is left out where all fish are of one.
    """
    keys = set(chosen)
    if keys:
        return [one for one in offered if one.key in {*keys, ALWAYS_SHOWN}]
    return [one for one in offered if one.is_usual and not (one_species and one.key == "species")]


def line_of(fish: Fish, columns: Iterable[FishColumn], unit: LengthUnit) -> FishLine:
    """Return a fish as the page writes it."""
    cells = [
        FishCell(
            one.head_in(unit),
            _text(one.value_of(fish, unit), one),
            css_class_of(one),
        )
        for one in columns
    ]
    return FishLine(fish.vial.number if fish.vial else "", cells)


def css_class_of(column: FishColumn) -> str:
    """Return how the cells of a column are set: numbers to the right, dates on one line."""
    if column.key in NUMBERS:
        return "figure-cell"
    return "nowrap" if column.key == "caught" else ""


def _text(value: Value, column: FishColumn) -> str:
    if value is None or value == "":
        return column.missing
    return date_format(value, SHORT_DATE) if isinstance(value, date) else str(value)
