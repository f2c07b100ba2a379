"""A table on paper: as wide as the page, its heads repeated on each page that it runs over to."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby
from typing import Any

from reportlab.lib.colors import black
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, TableStyle
from reportlab.platypus import Table as PdfTable

from samples.reports.document import Cell, Column, ColumnKind, Interval, Table
from samples.reports.writers.fonts import BOLD, REGULAR, text_width
from samples.reports.writers.styles import CAPTION, NOTE, RULE, paragraph

# Sizes of letters that are tried until the columns fit the page.
SIZES = (8.0, 7.5, 7.0, 6.5, 6.0, 5.5)
PAD = 3.0
# A table of so few rows is not split; a longer one begins where so many points are left.
SHORT, LEAST_OF_A_TABLE = 8, 150.0
# From so many rows on a narrow table is set in two columns, of at most so many rows each.
LONG, MOST_DOWN, GUTTER, LEAST_BESIDE = 16, 36, 18.0, 7.0
BESIDE = [
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
]
DRAWN_WIDTH = 92.0
# Words wider than this wrap, and a column of sentences has at least so much.
WIDEST_WORD, LEAST_SENTENCE = 110.0, 120.0
# A number with an interval fits in so many letters; what is longer wraps at its spaces.
LONG_NUMBER = 22
WRAPPED = {ColumnKind.SENTENCE, ColumnKind.WORD, ColumnKind.HEAD}


class IntervalMark(Flowable):
    """An interval drawn on its scale: a line from low to high, a dot at the value."""

    def __init__(self, column: Column, interval: Interval | None) -> None:
        super().__init__()
        self.column, self.interval = column, interval
        self.width, self.height = DRAWN_WIDTH, 8.0

    def wrap(self, *room: float) -> tuple[float, float]:
        del room
        return self.width, self.height

    def draw(self) -> None:
        low, high = self.column.low, self.column.high
        middle, canvas = self.height / 2, self.canv

        def at(value: float) -> float:
            share = (min(max(value, low), high) - low) / ((high - low) or 1.0)
            return 2 + share * (self.width - 4)

        canvas.setStrokeColor(RULE)
        canvas.setLineWidth(0.5)
        canvas.line(at(low), middle, at(high), middle)
        if low < 0 < high:
            canvas.line(at(0), middle - 3.5, at(0), middle + 3.5)
        found = self.interval
        if found is None or found.low is None or found.high is None:
            return
        canvas.setStrokeColor(black)
        canvas.setLineWidth(1.2)
        if found.value is None:
            canvas.setDash([2, 1.5])
        canvas.line(at(found.low), middle, at(found.high), middle)
        if found.value is not None:
            canvas.circle(at(found.value), middle, 2.2, stroke=0, fill=1)


def table_flowables(table: Table, width: float) -> list[Flowable]:
    """Return a table with its caption above it and its note below.

    A long and narrow one stands in two columns, read one after the other.
    """
    caption = paragraph(table.caption, CAPTION, strong=f"{table.name}.")
    note = paragraph(table.note, NOTE)
    half = (width - GUTTER) / 2
    size, widths = _fit(table, half)
    if LONG <= len(table.rows) <= 2 * MOST_DOWN and size >= LEAST_BESIDE and sum(widths) <= half:
        sides = [_drawn(one, widths, size) for one in _halves(table)]
        beside = PdfTable([sides], colWidths=[half + GUTTER, half], hAlign="LEFT")
        beside.setStyle(TableStyle(BESIDE))
        return [KeepTogether([caption, beside, note])]
    size, widths = _fit(table, width)
    drawn = _drawn(table, widths, size)
    if len(table.rows) <= SHORT:
        caption.keepWithNext = 1
        return [caption, drawn, note]
    return [CondPageBreak(LEAST_OF_A_TABLE), caption, drawn, note]


def _drawn(table: Table, widths: Sequence[float], size: float) -> PdfTable:
    has_groups = any(column.group for column in table.columns)
    heads = [*([_group_heads(table)] if has_groups else []), _heads(table, widths, size)]
    rows = [_row(table, row, widths, size) for row in table.rows]
    drawn = PdfTable(
        heads + rows, colWidths=widths, repeatRows=len(heads), hAlign="LEFT", spaceAfter=2
    )
    drawn.setStyle(TableStyle(_looks(table, len(heads), size)))
    return drawn


def _halves(table: Table) -> list[Table]:
    """Split a table in two; the second half says again which rows it begins with."""
    middle = -(-len(table.rows) // 2)
    first, second = table.rows[:middle], table.rows[middle:]
    if not second[0][0].words:
        named = next((row[0] for row in reversed(first) if row[0].words), second[0][0])
        second = ((named, *second[0][1:]), *second[1:])
    return [replace(table, rows=first), replace(table, rows=second)]


# ---------- Columns: one that is drawn too takes two ----------


def _places(table: Table) -> list[tuple[int, bool]]:
    """Return the printed columns: the place of each in the table, and whether it is drawn."""
    found: list[tuple[int, bool]] = []
    for place, column in enumerate(table.columns):
        if column.kind is ColumnKind.INTERVAL:
            found.append((place, True))
        found.append((place, False))
    return found


def _fit(table: Table, room: float) -> tuple[float, list[float]]:
    """Return the size of letters and the widths at which a table fits the page.

    Columns of sentences share what the others leave. Where that is too little, columns of words
    give way down to their longest word before the letters get smaller.
    """
    for size in SIZES:
        widths = [_Width(table, place, size, is_drawn) for place, is_drawn in _places(table)]
        loose = [one for one in widths if one.is_loose]
        natural = sum(one.natural for one in widths if not one.is_loose)
        least = sum(one.least for one in widths)
        if natural + LEAST_SENTENCE * len(loose) <= room:
            share = min((room - natural) / len(loose), 330.0) if loose else 0.0
            return size, [share if one.is_loose else one.natural for one in widths]
        if least <= room:
            return size, _squeezed(widths, room)
    return SIZES[-1], [one.least * room / least for one in widths]


def _squeezed(widths: Sequence["_Width"], room: float) -> list[float]:
    """Return widths between the least and the natural that fill the page."""
    least = sum(one.least for one in widths)
    more = sum(one.natural - one.least for one in widths)
    share = min(1.0, (room - least) / more) if more else 0.0
    return [one.least + share * (one.natural - one.least) for one in widths]


class _Width:
    """How wide a printed column would be, and how narrow it can be."""

    def __init__(self, table: Table, place: int, size: float, is_drawn: bool) -> None:
        column = table.columns[place]
        self.is_loose = column.kind is ColumnKind.SENTENCE and not is_drawn
        if is_drawn:
            self.natural = self.least = DRAWN_WIDTH + 2 * PAD
            return
        bold = column.kind is ColumnKind.HEAD
        texts = [row[place].words for row in table.rows]
        cells = max((text_width(one, size, bold=bold) for one in texts), default=0.0)
        head = text_width(column.head, size, bold=True)
        word = max(_longest_word(column.head, size, bold=True), 8.0)
        # A head wraps at its spaces where its column is narrow.
        natural = max(cells, word, min(head, 52.0))
        self.natural = 2 * PAD + (min(natural, WIDEST_WORD) if column.kind in WRAPPED else natural)
        wraps = column.kind in WRAPPED or max(map(len, texts), default=0) > LONG_NUMBER
        words = max((_longest_word(one, size, bold=bold) for one in texts), default=0.0)
        self.least = 2 * PAD + max(words if wraps else cells, word)
        if self.is_loose:
            self.least = max(self.least, LEAST_SENTENCE)
        self.natural = max(self.natural, self.least)


def _longest_word(text: str, size: float, *, bold: bool) -> float:
    return max((text_width(one, size, bold=bold) for one in text.split()), default=0.0)


# ---------- Cells ----------


def _heads(table: Table, widths: Sequence[float], size: float) -> list[Any]:
    found: list[Any] = []
    for (place, is_drawn), width in zip(_places(table), widths, strict=True):
        column = table.columns[place]
        text = f"{_scale_end(column.low)} to {_scale_end(column.high)}" if is_drawn else column.head
        found.append(_wrapped(text, width, size, bold=True, right=_is_right(column, is_drawn)))
    return found


def _scale_end(value: float) -> str:
    return f"{value:+.0f}".replace("-", "\N{MINUS SIGN}")


def _group_heads(table: Table) -> list[str]:
    """Return the heads above the heads: each stands once, over the first of its columns."""
    found: list[str] = []
    before = ""
    for place, _ in _places(table):
        group = table.columns[place].group
        found.append(group if group != before else "")
        before = group
    return found


def _row(table: Table, row: Sequence[Cell], widths: Sequence[float], size: float) -> list[Any]:
    found: list[Any] = []
    for (place, is_drawn), width in zip(_places(table), widths, strict=True):
        column, cell = table.columns[place], row[place]
        if is_drawn:
            found.append(IntervalMark(column, cell.interval))
            continue
        bold, right = column.kind is ColumnKind.HEAD, _is_right(column, is_drawn)
        found.append(_wrapped(cell.text, width, size, strong=cell.strong, bold=bold, right=right))
    return found


def _wrapped(
    text: str, width: float, size: float, *, strong: str = "", bold: bool, right: bool
) -> Any:
    """Return a text that fits its column as it is, else as a paragraph that wraps."""
    if not strong and text_width(text, size, bold=bold) <= width - 2 * PAD + 0.1:
        return text
    style = CAPTION.clone(
        "cell",
        fontName=BOLD if bold else REGULAR,
        fontSize=size,
        leading=size * 1.3,
        alignment=2 if right else 0,
        spaceAfter=0,
    )
    return paragraph(text, style, strong=strong)


def _is_right(column: Column, is_drawn: bool) -> bool:
    return not is_drawn and column.kind in (ColumnKind.NUMBER, ColumnKind.INTERVAL)


def _looks(table: Table, heads: int, size: float) -> list[tuple[Any, ...]]:
    places = _places(table)
    found: list[tuple[Any, ...]] = [
        ("FONT", (0, 0), (-1, -1), REGULAR, size, size * 1.3),
        ("FONT", (0, 0), (-1, heads - 1), BOLD, size, size * 1.3),
        ("LEFTPADDING", (0, 0), (-1, -1), PAD),
        ("RIGHTPADDING", (0, 0), (-1, -1), PAD),
        ("TOPPADDING", (0, 0), (-1, -1), 1.8),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.8),
        ("VALIGN", (0, 0), (-1, heads - 1), "BOTTOM"),
        ("VALIGN", (0, heads), (-1, -1), "TOP"),
        ("LINEABOVE", (0, 0), (-1, 0), 1, black),
        ("LINEBELOW", (0, heads - 1), (-1, heads - 1), 0.6, black),
        ("LINEBELOW", (0, heads), (-1, -2), 0.4, RULE),
        ("LINEBELOW", (0, -1), (-1, -1), 1, black),
    ]
    for at, (place, is_drawn) in enumerate(places):
        column = table.columns[place]
        if _is_right(column, is_drawn):
            found.append(("ALIGN", (at, 0), (at, -1), "RIGHT"))
        if column.kind is ColumnKind.HEAD:
            found.append(("FONT", (at, heads), (at, -1), BOLD, size, size * 1.3))
    return found + _group_spans(table)


def _group_spans(table: Table) -> list[tuple[Any, ...]]:
    found: list[tuple[Any, ...]] = []
    numbered = enumerate(table.columns[place].group for place, _ in _places(table))
    for group, run in groupby(numbered, key=lambda one: one[1]):
        at = [place for place, _ in run]
        if group:
            found.append(("SPAN", (at[0], 0), (at[-1], 0)))
            found.append(("ALIGN", (at[0], 0), (at[-1], 0), "CENTER"))
            found.append(("LINEBELOW", (at[0], 0), (at[-1], 0), 0.4, RULE))
    return found
