"""What an import is told, and what it answers."""

import re
from collections import Counter
from dataclasses import dataclass, field

from samples.exchange.entry import FileTable
from samples.models import Method


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What holds for the whole file, and what stands in where it has no column."""

    source: str
    lake: str
    season: int
    species: str = ""
    unit: str = ""
    method: str = Method.OTHER
    structure: str = "not named"
    confirm_unusual: bool = False
    date_order: str = ""
    # Answers to what is asked before a second lake, or the same fish once more, come in.
    new_lake: bool = False
    other_fish: bool = False


@dataclass(frozen=True, slots=True)
class BadRow:
    """What is wrong in one row: where, what was expected there, what was found."""

    row: int
    column: str
    expected: str
    found: str


@dataclass(frozen=True, slots=True)
class BadColumn:
    """What is wrong in so many rows of a column, with the first of them."""

    first: BadRow
    rows: int


# What differs from row to row within one sentence.
FEWEST_ALIKE = 10
_NUMBERS = re.compile(r"\d+(?:[.,]\d+)?")


@dataclass(slots=True)
class Report:
    """What an import did, or would do."""

    rows: int = 0
    logged: int = 0
    already: int = 0
    ages: int = 0
    parties: int = 0
    new_lake: bool = False
    new_arms: list[str] = field(default_factory=list)
    species: Counter[str] = field(default_factory=Counter)
    defaults: list[str] = field(default_factory=list)
    not_used: tuple[str, ...] = ()
    bad: list[BadRow] = field(default_factory=list)
    rounded: list[str] = field(default_factory=list)
    known_as: str = ""
    known: int = 0

    def problems(self) -> list[BadRow | BadColumn]:
        """List what is wrong: one line for a column where every row, or most, fail alike."""
        alike: dict[tuple[str, str], list[BadRow]] = {}
        for one in self.bad:
            alike.setdefault((one.column, _NUMBERS.sub("#", one.expected)), []).append(one)
        found: list[BadRow | BadColumn] = []
        for one in self.bad:
            group = alike[one.column, _NUMBERS.sub("#", one.expected)]
            rows = len({each.row for each in group})
            whole = rows == self.rows > 1
            if not whole and (rows < FEWEST_ALIKE or 2 * rows < self.rows):
                found.append(one)
            elif one is group[0]:
                found.append(BadColumn(one, rows))
        return found


def unit_of(table: FileTable, settings: Settings) -> str:
    return settings.unit or table.units.get("length", "")
