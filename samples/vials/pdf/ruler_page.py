"""The test page: every label's outline, a ruler each way, and how to measure with them."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.pdfgen.canvas import Canvas

from samples.vials.geometry import LabelPlace, LabelStock, Nudge, TextLine, place
from samples.vials.pdf.page import (
    POINTS_PER_MM,
    begin,
    line_across,
    line_down,
    measure,
    name_page,
    outline,
    up,
    write,
)

RULER_MM = 100
OUTLINE_MM = 0.1
RULER_LINE_MM = 0.25
TICK_LINE_MM = 0.15
FIGURES_MM = 1.7
SIZES_MM = (2.6, 2.3, 2.1, 1.9, 1.7, 1.5)
LEADING = 1.28
STEPS_LEFT_MM = 12.0

SHEET_STEPS = (
    "1. Print this page at 100%, not fitted to the page.",
    "2. Measure both rulers: 100.0 mm. If not, the page was scaled.",
    "3. Lay it on a label sheet and hold both to the light.",
    "4. Measure how far the outlines must move, in tenths of a mm.",
    "5. Add it to Move right and Move down; left and up are minus.",
)


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle to write in, in mm from the top left of the page."""

    left: float
    top: float
    width: float
    height: float


def test_page_pdf(stock: LabelStock, nudge: Nudge) -> bytes:
    """Give the page that shows how far a printer is off with the present nudge.

    :raises OffTheSheet: if the nudge moves a label off its sheet
    """
    out = io.BytesIO()
    placed = place(stock, stock.per_page, 1, nudge)
    canvas = begin(out, stock)
    canvas.setTitle("Test page for labels")
    canvas.setSubject(f"How far a printer is off on {stock.page_name}")
    name_page(canvas, "Test page for labels")
    if stock.per_page == 1:
        _single(canvas, stock, placed[0], nudge)
    else:
        _sheet(canvas, stock, placed, nudge)
    canvas.save()
    return out.getvalue()


def _sheet(canvas: Canvas, stock: LabelStock, placed: Sequence[LabelPlace], nudge: Nudge) -> None:
    """Draw a sheet: the steps stand in the first labels, the rulers among the others."""
    for label in placed:
        outline(
            canvas,
            stock,
            label.x_mm,
            label.y_mm,
            stock.label_width_mm,
            stock.label_height_mm,
            OUTLINE_MM,
            stock.rounding_mm,
        )
    steps = list(zip(placed, SHEET_STEPS, strict=False))
    size = min(_size(text, _inside(stock, label)) for label, text in steps)
    for label, text in steps:
        _fill(canvas, stock, _inside(stock, label), text, size)
    for label in placed[len(SHEET_STEPS) if size else 0 :]:
        _write_position(canvas, stock, label)
    if not size or len(placed) < len(SHEET_STEPS):
        _write_apart(canvas, stock)
    # Across in the middle of the fourth row, down in the middle of the page from the next row.
    row = min(4, stock.rows)
    across_y = placed[(row - 1) * stock.columns].y_mm + stock.label_height_mm / 2
    down_from = across_y + stock.pitch_down_mm
    across = _whole_tens(stock.page_width_mm - 20)
    down = _whole_tens(stock.page_height_mm - down_from - 10)
    across_from = (stock.page_width_mm - across * nudge.scale_across) / 2
    _ruler_across(canvas, stock, across_from, across_y, across, nudge.scale_across)
    middle = placed[stock.columns // 2].x_mm + stock.label_width_mm / 2
    _ruler_down(canvas, stock, middle, down_from, down, nudge.scale_down)


def _write_apart(canvas: Canvas, stock: LabelStock) -> None:
    """Write the steps over the labels where none of those has room for one."""
    box = Box(STEPS_LEFT_MM, stock.page_height_mm - 36, stock.page_width_mm / 2 - 25, 26)
    canvas.setFillGray(1)
    canvas.rect(
        box.left * POINTS_PER_MM,
        up(stock, box.top + box.height),
        box.width * POINTS_PER_MM,
        box.height * POINTS_PER_MM,
        stroke=1,
        fill=1,
    )
    canvas.setFillGray(0)
    text = " ".join(SHEET_STEPS)
    inside = Box(box.left + 2, box.top + 2, box.width - 4, box.height - 4)
    _fill(canvas, stock, inside, text, _size(text, inside))


def _single(canvas: Canvas, stock: LabelStock, label: LabelPlace, nudge: Nudge) -> None:
    """Draw one label a page: the outline is its rim, the rulers are as long as fit."""
    inside = _inside(stock, label, rim=stock.margin_mm)
    outline(canvas, stock, inside.left, inside.top, inside.width, inside.height, OUTLINE_MM)
    across = _whole_tens(inside.width - 4)
    down = _whole_tens(inside.height - 6.6)
    left, top = inside.left, inside.top
    _ruler_across(canvas, stock, left + 2.5, top + 1.2, across, nudge.scale_across)
    _ruler_down(canvas, stock, left + 1.2, top + 6.0, down, nudge.scale_down)
    text = (
        f"Print at 100%. Rulers: {across} and {down} mm. The outline lies "
        f"{stock.margin_mm:.1f} mm inside the edge. Add how far it must move to Move right "
        "and Move down; left and up are minus."
    )
    box = Box(left + 8, top + 6.7, inside.width - 9, inside.height - 7.2)
    if not _size(text, box):
        text = "Print at 100%. Enter the offset: Move right, Move down."
    _fill(canvas, stock, box, text, _size(text, box))


def _ruler_across(
    canvas: Canvas, stock: LabelStock, left: float, y: float, length: int, scale: float
) -> None:
    """Draw a ruler with a tick a millimetre, hanging from its line; figures every 10 mm."""
    end = left + length * scale
    half = TICK_LINE_MM / 2
    line_across(canvas, stock, left - half, end + half, y, RULER_LINE_MM)
    for millimetre in range(length + 1):
        x = left + millimetre * scale
        line_down(canvas, stock, x, y, y + _tick(millimetre), TICK_LINE_MM)
    for at in range(0, length + 1, 10):
        x = left + at * scale - measure(str(at), False, FIGURES_MM) / 2
        _figure(canvas, stock, TextLine(str(at), x, y + 4.3, FIGURES_MM))


def _ruler_down(
    canvas: Canvas, stock: LabelStock, x: float, top: float, length: int, scale: float
) -> None:
    """Draw a ruler with a tick a millimetre to the right of its line; figures every 10 mm."""
    end = top + length * scale
    half = TICK_LINE_MM / 2
    line_down(canvas, stock, x, top - half, end + half, RULER_LINE_MM)
    for millimetre in range(length + 1):
        y = top + millimetre * scale
        line_across(canvas, stock, x, x + _tick(millimetre), y, TICK_LINE_MM)
    for at in range(0, length + 1, 10):
        _figure(canvas, stock, TextLine(str(at), x + 3.0, top + at * scale + 0.6, FIGURES_MM))


def _figure(canvas: Canvas, stock: LabelStock, line: TextLine) -> None:
    """Write a ruler's figure on white, so that no outline runs through it."""
    width = measure(line.text, line.bold, line.size_mm)
    canvas.setFillGray(1)
    canvas.rect(
        (line.x_mm - 0.2) * POINTS_PER_MM,
        up(stock, line.baseline_mm + 0.2),
        (width + 0.4) * POINTS_PER_MM,
        (0.72 * line.size_mm + 0.4) * POINTS_PER_MM,
        stroke=0,
        fill=1,
    )
    canvas.setFillGray(0)
    write(canvas, stock, line)


def _tick(millimetre: int) -> float:
    if millimetre % 10 == 0:
        return 2.6
    return 1.9 if millimetre % 5 == 0 else 1.2


def _whole_tens(room: float) -> int:
    """Return the longest ruler of whole centimetres that fits, 100 mm at most."""
    return min(RULER_MM, max(0, int(room // 10) * 10))


def _inside(stock: LabelStock, label: LabelPlace, rim: float | None = None) -> Box:
    rim = stock.margin_mm + 0.6 if rim is None else rim
    return Box(
        label.x_mm + rim,
        label.y_mm + rim,
        stock.label_width_mm - 2 * rim,
        stock.label_height_mm - 2 * rim,
    )


def _write_position(canvas: Canvas, stock: LabelStock, label: LabelPlace) -> None:
    """Write the position in the label's upper left corner, out of the rulers' way."""
    x, y = label.x_mm + 1.0, label.y_mm + 2.6
    if stock.is_round:
        # A circle has no corner.
        x += stock.label_width_mm / 2 - 1.0 - measure(str(label.position), False, 2.1) / 2
    line = TextLine(str(label.position), x, y, 2.1)
    write(canvas, stock, line)


def _size(text: str, box: Box) -> float:
    """Return the largest type in which a text fits a box, or 0 where none does."""
    for size in SIZES_MM:
        lines = _wrapped(text, box.width, size)
        if lines and size * (0.95 + LEADING * (len(lines) - 1)) <= box.height:
            return size
    return 0.0


def _fill(canvas: Canvas, stock: LabelStock, box: Box, text: str, size: float) -> None:
    """Write a text into a box; size 0 leaves it out, for the label page says it too."""
    if not size:
        return
    for index, line in enumerate(_wrapped(text, box.width, size)):
        baseline = box.top + (0.72 + LEADING * index) * size
        write(canvas, stock, TextLine(line, box.left, baseline, size))


def _wrapped(text: str, width: float, size: float) -> list[str]:
    """Break a text at its spaces; nothing if a word is wider than the box."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and measure(longer, False, size) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines if all(measure(line, False, size) <= width for line in lines) else []
