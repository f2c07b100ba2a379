"""A table as the page shows it: numbers to the right, words to the left."""

from dataclasses import dataclass

from samples.findings.page_model import Table

# Words that want a line of their own width, however narrow the screen.
LONG = 24


@dataclass(frozen=True, slots=True)
class HtmlCell:
    """Text, and the class of its column: of numbers, of sentences, or of a word or two."""

    text: str
    css_class: str


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
    classes = [_class_of(table, place) for place in range(len(table.columns))]
    rows = [] if table.in_file_only else table.rows
    return HtmlTable(
        table.caption,
        [HtmlCell(*one) for one in zip(table.heads, classes, strict=True)],
        [
            [HtmlCell(cell.text, one) for cell, one in zip(row, classes, strict=True)]
            for row in rows
        ],
        table.note,
        table.folded,
        table.in_file_only,
    )


def _class_of(table: Table, place: int) -> str:
    if place == 0:
        return ""
    if not table.is_text(place):
        return "figure-cell"
    longest = max((len(row[place].text) for row in table.rows), default=0)
    return "sentence-cell" if longest > LONG else ""
