"""A table of a finding as columns of numbers: intervals taken apart, dashes left empty."""

import re

from samples.findings.shown import Table

_END = r"[+-]?[\d.]+|never|no end"
_INTERVAL = re.compile(rf"(?:(?P<value>{_END}) \()?(?P<lower>{_END}) to (?P<upper>{_END})\)?")
NOTHING = {"–", "·"}


def as_columns(table: Table) -> list[list[str]]:
    """Give heads and rows for a file; a column with intervals becomes two or three."""
    columns = [
        _columns(head, [row[place] for row in table.rows], whole=place == 0)
        for place, head in enumerate(table.heads)
    ]
    flat = [column for several in columns for column in several]
    return [list(row) for row in zip(*flat, strict=True)]


def _columns(head: str, cells: list[str], *, whole: bool) -> list[list[str]]:
    found = [_INTERVAL.fullmatch(cell) for cell in cells]
    if whole or not any(found):
        return [[head, *("" if cell in NOTHING else cell for cell in cells)]]
    told = [one.groupdict("") if one else {} for one in found]
    name = re.sub(r"^95( % interval|% CI)( of the| by)?", "", head).strip(" ,") or "interval"
    ends = [[f"{name}, {end}", *(one.get(end, "") for one in told)] for end in ("lower", "upper")]
    if not any(one.get("value") for one in told):
        return ends
    values = [
        one["value"] if one else ("" if cell in NOTHING else cell)
        for one, cell in zip(told, cells, strict=True)
    ]
    return [[head, *values], *ends]
