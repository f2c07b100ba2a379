"""Draw label sheets as PDF; where things go is decided in `geometry`."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from samples.vials.geometry import (
    FULL_SHEETS,
    NO_NUDGE,
    Arrangement,
    CannotPrint,
    Filling,
    Label,
    LabelPlace,
    LabelStock,
    Nudge,
    Symbol,
    SymbolWillNotRead,
    TextLine,
    WritingLine,
    arrange,
    places,
    symbol_for,
)
from samples.vials.pdf.document import Document, encode_text, number
from samples.vials.pdf.page import POINTS_PER_MM, measure, whole_dots
from samples.vials.pdf.symbols import stencils

PENCIL_LINE_MM = 0.2
# The outline of a roll leads to every hundredth label.
LABELS_AN_ENTRY = 100
# The symbols of so many labels are made together: enough to be quick, few enough for the caches.
ENCODED_AT_ONCE = 64

Told = Callable[[int], object]


class NothingToPrint(CannotPrint):
    """No labels were asked for."""

    code = "nothing_to_print"


@dataclass(frozen=True, slots=True)
class _Layout:
    """One label laid out: what all labels of a run share, and what stands around the rest.

    Digits of the type are equally wide, so one layout serves all numbers of a length. `lines` are
    the starts of the lines that the number takes, seen from the label's corner.
    """

    arrangement: Arrangement
    form: str
    lines: tuple[bytes, ...]


@dataclass(slots=True)
class _Sheets:
    """The document at work: the page at hand and its labels."""

    stock: LabelStock
    document: Document
    layouts: dict[tuple[str, str, int, int], _Layout] = field(default_factory=dict)
    stencils: dict[str, bytes] = field(default_factory=dict)
    drawn: list[bytes] = field(default_factory=list)
    opening: bytes = b""
    entries: list[tuple[int, str, str]] = field(default_factory=list)
    first_here: str = ""
    last: str = ""

    def draw(self, label: Label, placed: LabelPlace) -> None:
        """Draw one label on the page at hand."""
        layout = self._layout(label)
        left, top = placed.x_mm * POINTS_PER_MM, self._up(placed.y_mm)
        opening = f"q 1 0 0 1 {number(left)} {number(top)} cm {layout.form}BT ".encode()
        opening += layout.lines[0]
        own = _number_written(label, layout.lines) + b"ET Q"
        if layout.arrangement.symbol is not None and label.link is not None:
            own += self._symbol(label.link, layout.arrangement, placed)
        if self.stock.per_page == 1:
            self.opening = opening
            self.drawn.append(own)
        else:
            self.drawn.append(opening + own)
        self.first_here = self.first_here or label.grouped
        self.last = label.grouped

    def encode(self, labels: Sequence[Label]) -> None:
        """Make the symbols of labels that are drawn next."""
        self.stencils.clear()
        by_symbol: dict[Symbol, list[str]] = {}
        for label in labels:
            symbol = self._layout(label).arrangement.symbol
            if symbol is not None and label.link is not None:
                by_symbol.setdefault(symbol, []).append(label.link)
        for symbol, links in by_symbol.items():
            self.stencils |= zip(links, stencils(links, symbol), strict=True)

    def end_page(self) -> None:
        """Put the page at hand away."""
        page = self.document.add_page(b"\n".join(self.drawn), self.opening)
        self.entries.append((page, self.first_here, self.last))
        self.drawn.clear()
        self.first_here = ""

    def finish(self, count: int) -> bytes:
        """Write the outline and return the file."""
        step = LABELS_AN_ENTRY if self.stock.per_page == 1 else 1
        for at in range(0, len(self.entries), step):
            page, first, _ = self.entries[at]
            last = self.entries[min(at + step, len(self.entries)) - 1][2]
            self.document.add_entry(_range(first, last), page)
        many = "s" if count > 1 else ""
        return self.document.finish(
            title=f"Vial label{many} {_range(self.entries[0][1], self.last)}",
            subject=f"{count} vial label{many} on {self.stock.page_name}",
        )

    def _layout(self, label: Label) -> _Layout:
        key = (label.lake, label.season, len(label.grouped), len(label.link or ""))
        if key not in self.layouts:
            arrangement = arrange_label(label, self.stock)
            # The number alone is bold.
            lines = tuple(_line_start(line) for line in arrangement.lines if line.bold)
            rest = [line for line in arrangement.lines if not line.bold]
            form = ""
            if rest or arrangement.rules:
                name = f"L{len(self.layouts)}"
                self.document.add_form(name, _unchanging(rest, arrangement.rules))
                form = f"/{name} Do "
            self.layouts[key] = _Layout(arrangement, form, lines)
        return self.layouts[key]

    def _symbol(self, link: str, arrangement: Arrangement, placed: LabelPlace) -> bytes:
        """Paint the dark modules, the corner and every module on the printer's dots."""
        symbol = arrangement.symbol
        assert symbol is not None  # noqa: S101 - asked of layouts with one
        dot = 72 / self.stock.dots_per_inch
        left = (placed.x_mm + arrangement.symbol_x_mm + symbol.quiet_mm) * POINTS_PER_MM
        top = self._up(placed.y_mm + arrangement.symbol_y_mm + symbol.quiet_mm)
        side = symbol.modules * symbol.module_dots * dot
        x, y = round(left / dot) * dot, round(top / dot) * dot - side
        square = f" q {number(side)} 0 0 {number(side)} {number(x)} {number(y)} cm "
        return square.encode() + self.stencils[link] + b" Q"

    def _up(self, y_mm: float) -> float:
        return self.document.height_pt - y_mm * POINTS_PER_MM


def labels_pdf(
    labels: Iterable[Label],
    stock: LabelStock,
    first_position: int = 1,
    nudge: Nudge = NO_NUDGE,
    filling: Filling = FULL_SHEETS,
    told: Told | None = None,
) -> bytes:
    """Return the PDF of `labels`, the first at `first_position` of a part-used sheet.

    Viewers may not scale it, and it is the same every time. `told` hears how many are drawn.

    :raises OffTheSheet: if a label would leave its sheet
    :raises TextTooLong: if a text does not fit; no sheet is made at all then
    :raises NothingToPrint: if there are no labels
    """
    width, height = (whole_dots(stock, mm) for mm in (stock.page_width_mm, stock.page_height_mm))
    sheets = _Sheets(stock, Document(width, height))
    page, count = 1, 0
    free = places(stock, first_position, nudge, filling)
    for label, placed in zip(_encoded(sheets, labels, filling.copies), free, strict=False):
        if placed.page != page:
            sheets.end_page()
            page = placed.page
        sheets.draw(label, placed)
        count += 1
        if told is not None:
            told(count)
    if not count:
        raise NothingToPrint("Say how many labels to print: at least 1.")
    sheets.end_page()
    return sheets.finish(count)


def _encoded(sheets: _Sheets, labels: Iterable[Label], copies: int) -> Iterator[Label]:
    """Return labels one by one, each as often as it is drawn; their symbols are made in batches."""
    waiting = iter(labels)
    while batch := list(itertools.islice(waiting, ENCODED_AT_ONCE)):
        sheets.encode(batch)
        for label in batch:
            yield from itertools.repeat(label, copies)


def arrange_label(label: Label, stock: LabelStock) -> Arrangement:
    """Arrange a label; where its symbol would not be read, the number stands alone.

    :raises TextTooLong: if a text does not fit
    """
    symbol = None
    if label.link is not None:
        try:
            symbol = symbol_for(label.link, stock)
        except SymbolWillNotRead:
            symbol = None
    return arrange(label, stock, symbol, measure)


def _unchanging(lines: Iterable[TextLine], rules: Iterable[WritingLine]) -> bytes:
    """Draw what all labels of a run share, from a label's own corner."""
    text = b"".join(_line_start(line) + encode_text(line.text) + b"Tj " for line in lines)
    drawn = [b"BT %sET" % text, f"{number(PENCIL_LINE_MM * POINTS_PER_MM)} w".encode()]
    for rule in rules:
        left, right, y = (
            number(mm * POINTS_PER_MM) for mm in (rule.left_mm, rule.right_mm, -rule.y_mm)
        )
        drawn.append(f"{left} {y} m {right} {y} l S".encode())
    return b"\n".join(drawn)


def _line_start(line: TextLine) -> bytes:
    """Choose the type and go to the start of a line, seen from a label's own corner."""
    x, y = (number(mm * POINTS_PER_MM) for mm in (line.x_mm, -line.baseline_mm))
    font = f"/{'B' if line.bold else 'R'} {number(line.size_mm * POINTS_PER_MM)} Tf"
    return f"{font} 1 0 0 1 {x} {y} Tm ".encode()


def _number_written(label: Label, lines: tuple[bytes, ...]) -> bytes:
    """Write the number of a label, on one line or with its year above the rest."""
    if len(lines) == 1:
        return encode_text(label.grouped) + b"Tj "
    year, rest = label.grouped.split(" ", 1)
    return encode_text(year) + b"Tj " + lines[1] + encode_text(rest) + b"Tj "


def _range(first: str, last: str) -> str:
    return f"{first} to {last}" if first != last else first
