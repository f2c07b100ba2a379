"""What an import is told, and what it answers."""

from collections import Counter
from dataclasses import dataclass, field

from samples.exchange.entry import Table
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
    # Answers to what is asked before a second lake, or the same rows once more, come in.
    new_lake: bool = False
    other_fish: bool = False


@dataclass(frozen=True, slots=True)
class BadRow:
    """What is wrong in one row: where, what was expected there, what was found."""

    row: int
    column: str
    expected: str
    found: str


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


def unit_of(table: Table, settings: Settings) -> str:
    return settings.unit or table.units.get("length", "")
