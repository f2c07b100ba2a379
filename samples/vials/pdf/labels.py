"""Draw label sheets as PDF; where things go is decided in `geometry`."""

from __future__ import annotations

import io
import itertools
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from math import ceil, floor

from reportlab.pdfgen.canvas import Canvas

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
    arrange,
    places,
    symbol_for,
)
from samples.vials.pdf.packing import pack
from samples.vials.pdf.page import (
    BOLD,
    POINTS_PER_MM,
    begin,
    line_across,
    measure,
    up,
    write,
)
from samples.vials.pdf.symbols import stencil

PENCIL_LINE_MM = 0.2
# The outline of a roll leads to every hundredth label.
LABELS_AN_ENTRY = 100

Told = Callable[[int], object]


class NothingToPrint(CannotPrint):
    """No labels were asked for."""

    code = "nothing_to_print"


@dataclass(frozen=True, slots=True)
class _Layout:
    """One label laid out: the lines of its number, and a form with all that labels share.

    Digits of the type are equally wide, so one layout serves all numbers of a length.
    """

    arrangement: Arrangement
    form: str
    number: tuple[TextLine, ...]


@dataclass(slots=True)
class _Sheets:
    """The canvas at work: the page at hand, and the entry of the outline that leads to it."""

    canvas: Canvas
    stock: LabelStock
    layouts: dict[tuple[str, str, int, int], _Layout] = field(default_factory=dict)
    page: int = 0
    entry: str = ""
    first: str = ""
    last: str = ""

    def turn_to(self, page: int) -> None:
        """Begin the page that the next label lies on, unless it is at hand."""
        if page == self.page:
            return
        if self.page:
            self.canvas.showPage()
        self.page = page
        if self.stock.per_page > 1 or page % LABELS_AN_ENTRY == 1:
            self.end_entry()
            self.entry, self.first = f"page-{page}", ""
            self.canvas.bookmarkPage(self.entry)

    def end_entry(self) -> None:
        """Let the outline lead to what was drawn since the last entry, by its numbers."""
        if self.entry:
            self.canvas.addOutlineEntry(_range(self.first, self.last), self.entry)

    def draw(self, label: Label, placed: LabelPlace) -> None:
        """Draw one label on the page at hand, from where its number begins.

        What differs from label to label comes last: pages of a roll begin alike.
        """
        layout, canvas = self._layout(label), self.canvas
        number = layout.number[0]
        left = (placed.x_mm + number.x_mm) * POINTS_PER_MM
        base = up(self.stock, placed.y_mm + number.baseline_mm)
        canvas.addLiteral(f"q 1 0 0 1 {left:.3f} {base:.3f} cm")
        if layout.form:
            canvas.doForm(layout.form)
        canvas.setFont(BOLD, number.size_mm * POINTS_PER_MM)
        if layout.arrangement.symbol is not None and label.link is not None:
            x, y, side = self._square(layout.arrangement, layout.arrangement.symbol, placed)
            canvas.addLiteral(f"q {side:.3f} 0 0 {side:.3f} {x - left:.3f} {y - base:.3f} cm")
            canvas.addLiteral(stencil(label.link, layout.arrangement.symbol))
            canvas.addLiteral("Q")
        # On one line, or the year above the rest.
        parts = label.grouped.split(" ", 1) if len(layout.number) > 1 else [label.grouped]
        for line, text in zip(layout.number, parts, strict=True):
            across, down = line.x_mm - number.x_mm, line.baseline_mm - number.baseline_mm
            canvas.drawString(across * POINTS_PER_MM, -down * POINTS_PER_MM, text)
        canvas.addLiteral("Q")
        self.first, self.last = self.first or label.grouped, label.grouped

    def _square(
        self, arrangement: Arrangement, symbol: Symbol, placed: LabelPlace
    ) -> tuple[float, float, float]:
        """Return corner and side of the dark modules, every module on the printer's dots."""
        dot = 72 / self.stock.dots_per_inch
        left = (placed.x_mm + arrangement.symbol_x_mm + symbol.quiet_mm) * POINTS_PER_MM
        top = up(self.stock, placed.y_mm + arrangement.symbol_y_mm + symbol.quiet_mm)
        side = symbol.modules * symbol.module_dots * dot
        return round(left / dot) * dot, round(top / dot) * dot - side, side

    def _layout(self, label: Label) -> _Layout:
        key = (label.lake, label.season, len(label.grouped), len(label.link or ""))
        if key not in self.layouts:
            arrangement = arrange_label(label, self.stock)
            # The number alone is bold.
            number = tuple(line for line in arrangement.lines if line.bold)
            form = self._keep_form(f"L{len(self.layouts)}", arrangement, number[0])
            self.layouts[key] = _Layout(arrangement, form, number)
        return self.layouts[key]

    def _keep_form(self, name: str, arrangement: Arrangement, number: TextLine) -> str:
        """Keep what labels of one layout share as a form, seen from where the number begins.

        Return its name, or nothing if they share nothing.
        """
        rest = [line for line in arrangement.lines if not line.bold]
        if not rest and not arrangement.rules:
            return ""
        left, top = -number.x_mm * POINTS_PER_MM, number.baseline_mm * POINTS_PER_MM
        right = left + self.stock.label_width_mm * POINTS_PER_MM
        bottom = top - self.stock.label_height_mm * POINTS_PER_MM
        self.canvas.beginForm(name, floor(left), floor(bottom), ceil(right), ceil(top))
        self.canvas.translate(left, top - up(self.stock, 0))
        for line in rest:
            write(self.canvas, self.stock, line)
        for rule in arrangement.rules:
            line_across(
                self.canvas, self.stock, rule.left_mm, rule.right_mm, rule.y_mm, PENCIL_LINE_MM
            )
        self.canvas.endForm()
        return name


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
    out = io.BytesIO()
    canvas = begin(out, stock)
    # What is packed afterwards is not packed twice.
    canvas.setPageCompression(0)
    sheets = _Sheets(canvas, stock)
    copies = itertools.chain.from_iterable(
        itertools.repeat(label, filling.copies) for label in labels
    )
    first, count = "", 0
    free = places(stock, first_position, nudge, filling)
    for count, (label, placed) in enumerate(zip(copies, free, strict=False), start=1):
        first = first or label.grouped
        sheets.turn_to(placed.page)
        sheets.draw(label, placed)
        if told is not None:
            told(count)
    if not count:
        raise NothingToPrint("Say how many labels to print: at least 1.")
    sheets.end_entry()
    many = "s" if count > 1 else ""
    canvas.setTitle(f"Vial label{many} {_range(first, sheets.last)}")
    canvas.setSubject(f"{count} vial label{many} on {stock.page_name}")
    canvas.save()
    return pack(out)


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


def _range(first: str, last: str) -> str:
    return f"{first} to {last}" if first != last else first
