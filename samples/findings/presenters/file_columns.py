"""A table as the columns of a file: one value a cell, the unit in the head, nothing rounded."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

from samples.findings.page_model import Cell, Column, Part, Scalar, Table

# The value itself and its ends; other parts of a cell have units of their own.
MEASURED = ("", "low", "high", "below")
# As many digits as a spreadsheet keeps: 11 in is 11, and not 10.999999999999998.
DIGITS = 15
Parts = list[dict[str, Part]]
Notes = list[list[str]]


@dataclass(frozen=True, slots=True)
class FileColumn:
    """A column of a file; a cell without a value is None. ``like`` says how numbers are shown."""

    head: str
    values: list[Scalar | None]
    like: Part | None = None


def file_columns(table: Table) -> list[FileColumn]:
    """Return the columns of a table, those with several values a cell taken apart.

    A value and its interval share a name. What is said of them in words stands in one column
    behind both.
    """
    made: list[FileColumn] = []
    notes: dict[str, Notes] = {}
    last = {column.file_name: place for place, column in enumerate(table.columns)}
    for place, column in enumerate(table.columns):
        cells = [row[place] for row in table.rows]
        of_column = notes.setdefault(column.file_name, [[] for _ in cells])
        made += _columns_of(column, cells, of_column)
        if last[column.file_name] == place and any(of_column):
            words: list[Scalar | None] = [
                "; ".join(dict.fromkeys(one)) or None for one in of_column
            ]
            made.append(FileColumn(f"{column.file_name} note", words))
    return made


def _columns_of(column: Column, cells: Sequence[Cell], notes: Notes) -> list[FileColumn]:
    parts: Parts = [{part.name: part for part in cell.parts} for cell in cells]
    has_numbers = any(_is_number(one.get("")) for one in parts)
    for one, note, cell in zip(parts, notes, cells, strict=True):
        if has_numbers and "" in one and not _is_number(one[""]):
            # Words among numbers would make words of the whole column.
            note.append(str(one.pop("").value))
        if cell.note:
            note.append(cell.note)
    made = [_column(column, name, [one.get(name) for one in parts]) for name in _names(parts)]
    if len({part.unit for one in parts for part in one.values() if part.unit}) > 1:
        of_rows: list[Scalar | None] = [
            next((p.unit for p in one.values() if p.unit), None) for one in parts
        ]
        made.append(FileColumn(f"{column.file_name} unit", of_rows))
    return made


def _names(parts: Parts) -> list[str]:
    """Return which values the cells have: the value itself first, then its ends."""
    found = list(dict.fromkeys(name for one in parts for name in one))
    first = [name for name in MEASURED if name in found]
    return [*first, *(name for name in found if name not in MEASURED)] or [""]


def _column(column: Column, name: str, found: list[Part | None]) -> FileColumn:
    head = f"{column.file_name} {name}".rstrip()
    units = {part.unit for part in found if part and part.unit}
    unit = column.unit if name in MEASURED else ""
    if not unit and len(units) == 1:
        [unit] = units
    like = next((one for one in found if _is_number(one)), None)
    values = [None if one is None else _value(one.value) for one in found]
    return FileColumn(f"{head} ({unit})" if unit else head, values, like)


def _value(value: Scalar) -> Scalar | None:
    if not isinstance(value, float):
        return value
    return float(f"{value:.{DIGITS}g}") if isfinite(value) else None


def _is_number(part: Part | None) -> bool:
    return part is not None and not isinstance(part.value, str)
