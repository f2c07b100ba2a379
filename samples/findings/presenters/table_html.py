"""A table as the page shows it: every cell in words, numbers set apart from words."""

from dataclasses import dataclass

from samples.findings.page_model import Table


@dataclass(frozen=True, slots=True)
class HtmlCell:
    text: str
    is_number: bool


@dataclass(frozen=True, slots=True)
class HtmlTable:
    """What ``findings/table.html`` writes."""

    caption: str
    heads: list[HtmlCell]
    rows: list[list[HtmlCell]]
    note: str
    folded: bool
    in_file_only: bool


def as_html(table: Table) -> HtmlTable:
    """Return a table as text; of one that stands in a file alone, no more than its caption."""
    numbers = [not table.is_text(place) for place in range(len(table.columns))]
    rows = [] if table.in_file_only else table.rows
    return HtmlTable(
        table.caption,
        [HtmlCell(*one) for one in zip(table.heads, numbers, strict=True)],
        [[HtmlCell(cell.text, n) for cell, n in zip(row, numbers, strict=True)] for row in rows],
        table.note,
        table.folded,
        table.in_file_only,
    )
