"""Tables of the pages as tables of a report: the same words and numbers, in the same columns."""

import math
import re
from collections.abc import Sequence

from samples.findings import page_model
from samples.findings.page_model import DASH, GroupVerdict, Missing, Verdicts
from samples.findings.presenters.table_html import as_html
from samples.reports.document import Cell, Column, ColumnKind, Interval, Table

KINDS = {
    "": ColumnKind.WORD,
    "figure-cell": ColumnKind.NUMBER,
    "sentence-cell": ColumnKind.SENTENCE,
}
# A table of at least so many rows has its groups beside each other, where they are so few.
LONG_TABLE, MOST_GROUPS, MOST_VALUES, MOST_BESIDE = 12, 6, 3, 15
_NUMBER = re.compile(r"\d+(\.\d+)?")
# Ends of the scale on which changes are drawn, in percent.
STEP, LEAST, MOST = 50.0, -100.0, 200.0


def plain_table(
    caption: str, heads: Sequence[tuple[str, ColumnKind]], rows: Sequence[Sequence[str]],
    note: str = "",
) -> Table:  # fmt: skip
    """Return a table of texts; it has no number yet."""
    return Table(
        0,
        caption,
        tuple(Column(head, kind) for head, kind in heads),
        tuple(tuple(Cell(text) for text in row) for row in rows),
        note,
    )


def finding_table(table: page_model.Table) -> Table:
    """Return a table of a finding; names that several rows share stand once."""
    shown = as_html(table)
    kinds = [
        KINDS[head.css_class] if place else ColumnKind.HEAD
        for place, head in enumerate(shown.heads)
    ]
    rows = [[cell.text for cell in row] for row in shown.rows]
    heads = [(head.text, kind) for head, kind in zip(shown.heads, kinds, strict=True)]
    if _reads_side_by_side(kinds, rows):
        return _side_by_side(table, heads, rows)
    return plain_table(table.caption, heads, _names_once(rows), table.note)


def _reads_side_by_side(kinds: Sequence[ColumnKind], rows: Sequence[Sequence[str]]) -> bool:
    """Return whether a long table of groups is better read with its groups beside each other."""
    groups = {row[0] for row in rows}
    values = len(kinds) - 2
    keys = {(row[0], row[1]) for row in rows}
    return (
        len(rows) >= LONG_TABLE
        and 1 < len(groups) <= MOST_GROUPS
        and 0 < values <= MOST_VALUES
        and values * len(groups) <= MOST_BESIDE
        and len(keys) == len(rows)
        and len({row[1] for row in rows}) < len(rows)
        and ColumnKind.SENTENCE not in kinds
    )


def _side_by_side(
    table: page_model.Table, heads: Sequence[tuple[str, ColumnKind]], rows: Sequence[Sequence[str]]
) -> Table:
    """Return a table with a row for each value of its second column, the groups beside it."""
    groups = list(dict.fromkeys(row[0] for row in rows))
    keys = sorted(dict.fromkeys(row[1] for row in rows), key=_by_number)
    found = {(row[0], row[1]): row[2:] for row in rows}
    columns = [Column(heads[1][0], ColumnKind.HEAD)]
    columns += [Column(head, kind, group) for group in groups for head, kind in heads[2:]]
    nothing = [DASH] * (len(heads) - 2)
    lines = tuple(
        tuple(
            Cell(text)
            for text in [
                key,
                *(one for group in groups for one in found.get((group, key), nothing)),
            ]
        )
        for key in keys
    )
    return Table(0, table.caption, tuple(columns), lines, table.note)


def _by_number(text: str) -> float:
    """Return by what a row is put in order; rows that begin with no number keep theirs, last."""
    found = _NUMBER.match(text)
    return float(found[0]) if found else math.inf


def _names_once(rows: list[list[str]]) -> list[list[str]]:
    """Leave out the head of a row that is the one above it; the next column tells them apart."""
    found, above = [], ""
    for row in rows:
        found.append(["" if row[0] == above else row[0], *row[1:]])
        above = row[0]
    return found


def verdict_table(verdicts: Verdicts) -> Table:
    """Return the verdicts of all groups, each change drawn on one scale."""
    highest = max((max(_numbers(row), default=0.0) for row in verdicts.rows), default=0.0)
    most = min(MOST, max(STEP, STEP * math.ceil(highest / STEP)))
    columns = (
        Column(verdicts.what, ColumnKind.HEAD),
        Column("Main cause", ColumnKind.WORD),
        Column(verdicts.question, ColumnKind.SENTENCE),
        Column(verdicts.change_head, ColumnKind.INTERVAL, low=LEAST, high=most),
    )
    rows = tuple(
        (
            Cell(row.group),
            Cell(row.cause),
            Cell(" ".join(filter(None, (row.why, row.settle))), row.answer),
            Cell(row.change.text, interval=_interval(row)),
        )
        for row in verdicts.rows
    )
    return Table(0, "Main cause, and change at the limit", columns, rows)


def _numbers(row: GroupVerdict) -> list[float]:
    return [float(part.value) for part in row.change.parts]


def _interval(row: GroupVerdict) -> Interval | None:
    if isinstance(row.change, Missing):
        return None
    values = {part.name: float(part.value) for part in row.change.parts}
    return Interval(values.get(""), values.get("low"), values.get("high"))
