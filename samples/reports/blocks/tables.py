"""Tables of the pages as tables of a report: the same words and numbers, in the same columns."""

import math
from collections.abc import Sequence

from samples.findings import page_model
from samples.findings.page_model import GroupVerdict, Missing, Verdicts
from samples.findings.presenters.table_html import as_html
from samples.reports.document import Cell, Column, ColumnKind, Interval, Table

KINDS = {
    "": ColumnKind.WORD,
    "figure-cell": ColumnKind.NUMBER,
    "sentence-cell": ColumnKind.SENTENCE,
}
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
    return plain_table(table.caption, heads, _names_once(rows), table.note)


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
