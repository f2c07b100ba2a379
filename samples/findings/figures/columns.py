"""A table of a finding as columns of numbers: intervals taken apart, dashes left empty."""

import re

from samples.findings.page_model import Table

_END = r"[+-]?[\d.]+|never|no end"
_INTERVAL = re.compile(rf"(?:(?P<value>{_END}) \()?(?P<lower>{_END}) to (?P<upper>{_END})\)?")
# An interval that says no more than that it is one; what it is of stands before it.
_OF_THE_VALUE_BEFORE = re.compile(r"95( % interval|% CI)(, [^,]+)?")
NOTHING = {"–", "·"}


def as_columns(table: Table) -> list[list[str]]:
    """Return heads and rows for a file; a column with intervals becomes two or three."""
    columns = [
        _columns(head, _of(place, table.heads), [row[place] for row in table.rows])
        for place, head in enumerate(table.heads)
    ]
    flat = [column for several in columns for column in several]
    return [list(row) for row in zip(*flat, strict=True)]


def _of(place: int, heads: list[str]) -> str:
    """Name what the interval of a column is of; the first column is no interval."""
    if place == 0:
        return ""
    return heads[place - 1] if _OF_THE_VALUE_BEFORE.fullmatch(heads[place]) else heads[place]


def _columns(head: str, of: str, cells: list[str]) -> list[list[str]]:
    found = [_INTERVAL.fullmatch(cell) for cell in cells]
    if not of or not any(found):
        return [[head, *("" if cell in NOTHING else cell for cell in cells)]]
    told = [one.groupdict("") if one else {} for one in found]
    name = re.sub(r"^95( % interval|% CI)( of the| by)?", "", of).strip(" ,")
    ends = [[f"{name}, {end}", *(one.get(end, "") for one in told)] for end in ("lower", "upper")]
    if not any(one.get("value") for one in told):
        return ends
    values = [
        one["value"] if one else ("" if cell in NOTHING else cell)
        for one, cell in zip(told, cells, strict=True)
    ]
    return [[head, *values], *ends]
