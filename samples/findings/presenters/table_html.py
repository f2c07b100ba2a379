"""A table as the page shows it: numbers to the right and at the point, words to the left."""

import re
from dataclasses import dataclass, replace

from samples.findings.page_model import Table

# Words that want a line of their own width, however narrow the screen.
LONG = 24
NUMBERS = "figure-cell"
# Of a table of more rows, so many are shown at first.
MOST_ROWS, FIRST_ROWS = 12, 8
# A name of more columns would say the row.
MOST_IN_A_NAME = 3
# From this many columns on a phone shows a line of a short table as pairs of head and value ...
MANY_COLUMNS = 8
# ... unless the columns are the steps of one scale, which are compared along the line.
_STEP = re.compile(r"(Age )?\d+(, %)?")
_FIGURE = re.compile(r"[<>]?\s?[+\N{MINUS SIGN}]?\d")
_LAST_NUMBER = re.compile(r"(?:^|.* to )[+\N{MINUS SIGN}]?[\d,]+(?:\.(?P<fraction>\d+))?")


@dataclass(frozen=True, slots=True)
class HtmlCell:
    """Text, and the class of its column: of numbers, of sentences, or of a word or two.

    ``label`` is the head that a narrow page sets beside it; ``pad`` is what the number lacks for
    its point to stand under that of the longest. ``heads_row``: who hears another cell of the row
    hears this one first; where the first cell heads several rows, the next ones do too.
    """

    text: str
    css_class: str
    label: str = ""
    pad: str = ""
    heads_row: bool = False


@dataclass(frozen=True, slots=True)
class HtmlTable:
    """What ``findings/table.html`` writes."""

    caption: str
    heads: list[HtmlCell]
    rows: list[list[HtmlCell]]
    note: str
    folded: bool
    in_file_only: bool
    in_pairs: bool
    is_shown: bool
    place: int
    name: str

    @property
    def has_numbers(self) -> bool:
        """Return whether any column is one of numbers."""
        return any(head.css_class == NUMBERS for head in self.heads)

    @property
    def is_long(self) -> bool:
        """Return whether its first rows stand for it until all are asked for."""
        return len(self.rows) > MOST_ROWS


def as_html(table: Table, place: int = 0, *, is_shown: bool = True) -> HtmlTable:
    """Return a table as text, and its place among those of the page.

    Of one that stands in a file alone there is no more than its caption. A long one, or one that
    is opened when asked for, scrolls on a phone: heads beside all its values would weigh too much.
    """
    columns = [_column(table, column) for column in range(len(table.columns))]
    rows = [] if table.in_file_only else _with_heads(list(zip(*columns, strict=True)))
    heads = [HtmlCell(head, _class_of(table, column)) for column, head in enumerate(table.heads)]
    return HtmlTable(
        table.caption,
        heads,
        rows,
        table.note,
        table.folded,
        table.in_file_only,
        is_shown and len(rows) <= MOST_ROWS and _reads_in_pairs(heads),
        is_shown,
        place,
        table.name,
    )


def _with_heads(rows: list[tuple[HtmlCell, ...]]) -> list[list[HtmlCell]]:
    """Return the rows, each headed so that no two are called alike, as far as columns can do it."""
    names = [[cell.text for cell in row] for row in rows]
    columns = next(
        (
            count
            for count in range(1, min(MOST_IN_A_NAME, len(names[0])) + 1 if names else 1)
            if len({tuple(name[:count]) for name in names}) == len(names)
        ),
        1,
    )
    return [
        [replace(cell, heads_row=place < columns) for place, cell in enumerate(row)] for row in rows
    ]


def _column(table: Table, place: int) -> list[HtmlCell]:
    texts = [row[place].text for row in table.rows]
    css_class, label = _class_of(table, place), table.heads[place]
    pads = _pads(texts) if css_class == "figure-cell" else [""] * len(texts)
    return [HtmlCell(text, css_class, label, pad) for text, pad in zip(texts, pads, strict=True)]


def _pads(texts: list[str]) -> list[str]:
    """Return what each number lacks of the longest fraction of its column, as ".00"."""
    found = [_LAST_NUMBER.fullmatch(text) for text in texts]
    fractions = [(one["fraction"] or "") if one else None for one in found]
    most = max((len(one) for one in fractions if one is not None), default=0)
    if not most:
        return [""] * len(texts)
    return [
        "" if one is None else f"{'' if one else '.'}{'0' * (most - len(one))}" for one in fractions
    ]


def _reads_in_pairs(heads: list[HtmlCell]) -> bool:
    if any(head.css_class == "sentence-cell" for head in heads):
        return True
    steps = sum(1 for head in heads if _STEP.fullmatch(head.text))
    return len(heads) >= MANY_COLUMNS and 2 * steps < len(heads)


def _class_of(table: Table, place: int) -> str:
    if place == 0:
        return ""
    texts = [row[place].text for row in table.rows]
    if max((len(text) for text in texts), default=0) > LONG:
        return "sentence-cell"
    is_figure = not table.is_text(place) and any(_FIGURE.match(text) for text in texts)
    return NUMBERS if is_figure else ""
