"""Draw label sheets as PDF; where things go is decided in `geometry`."""

from __future__ import annotations

import io
import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import BinaryIO

import segno
from reportlab.pdfgen.canvas import Canvas

from samples.vials.geometry import (
    NO_NUDGE,
    Arrangement,
    CannotPrint,
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
from samples.vials.pdf.page import (
    POINTS_PER_MM,
    begin,
    line_across,
    measure,
    name_page,
    up,
    write,
)

PENCIL_LINE_MM = 0.2


class NothingToPrint(CannotPrint):
    """No labels were asked for."""

    code = "nothing_to_print"


@dataclass(frozen=True, slots=True)
class PictureLine:
    """One line of type and its printed width, which a browser must keep in any font it has."""

    type: TextLine
    width_mm: float


@dataclass(frozen=True, slots=True)
class LabelPicture:
    """One label enlarged, for an SVG: sizes in mm, the symbol's path in modules.

    The path is empty where the number alone is printed.
    """

    view_box: str
    width: float
    height: float
    symbol_transform: str
    symbol_path: str
    lines: tuple[PictureLine, ...]


def labels_pdf(
    labels: Iterable[Label],
    stock: LabelStock,
    first_position: int = 1,
    nudge: Nudge = NO_NUDGE,
) -> bytes:
    """Return the PDF of `labels`, the first at `first_position` of a part-used sheet.

    :raises OffTheSheet: if a label would leave its sheet
    :raises TextTooLong: if a text does not fit; no sheet is made at all then
    :raises NothingToPrint: if there are no labels
    """
    out = io.BytesIO()
    write_labels(out, labels, stock, first_position, nudge)
    return out.getvalue()


def write_labels(
    out: BinaryIO,
    labels: Iterable[Label],
    stock: LabelStock,
    first_position: int = 1,
    nudge: Nudge = NO_NUDGE,
) -> int:
    """Write the PDF to `out`, which stays untouched if anything is refused; count the labels.

    :raises OffTheSheet: if a label would leave its sheet
    :raises TextTooLong: if a text does not fit
    :raises NothingToPrint: if there are no labels
    """
    canvas = begin(out, stock)
    page, count = 1, 0
    first = last = ""
    first_here = ""
    for label, placed in zip(labels, places(stock, first_position, nudge), strict=False):
        if placed.page != page:
            name_page(canvas, _range(first_here, last))
            canvas.showPage()
            page, first_here = placed.page, ""
        _draw_label(canvas, stock, placed, label)
        first, first_here = first or label.grouped, first_here or label.grouped
        last, count = label.grouped, count + 1
    if not count:
        raise NothingToPrint("Say how many labels to print: at least 1.")
    name_page(canvas, _range(first_here, last))
    canvas.setTitle(f"Vial label{'s' if count > 1 else ''} {_range(first, last)}")
    canvas.setSubject(f"{count} vial label{'s' if count > 1 else ''} on {stock.page_name}")
    canvas.save()
    return count


def _range(first: str, last: str) -> str:
    return f"{first} to {last}" if first != last else first


def label_picture(label: Label, stock: LabelStock) -> LabelPicture:
    """Return one label as it will print, for the enlarged figure.

    :raises TextTooLong: if a text does not fit
    """
    arrangement = _arranged(label, stock)
    symbol = arrangement.symbol
    transform = path = ""
    if symbol is not None and label.link is not None:
        x = arrangement.symbol_x_mm + symbol.quiet_mm
        y = arrangement.symbol_y_mm + symbol.quiet_mm
        transform = f"translate({x:.3f} {y:.3f}) scale({symbol.module_mm:.5f})"
        path = symbol_path(label.link, symbol)
    return LabelPicture(
        view_box=f"0 0 {stock.label_width_mm:g} {stock.label_height_mm:g}",
        width=stock.label_width_mm,
        height=stock.label_height_mm,
        symbol_transform=transform,
        symbol_path=path,
        lines=tuple(
            PictureLine(line, round(measure(line.text, line.bold, line.size_mm), 4))
            for line in arrangement.lines
        ),
    )


def symbol_path(link: str, symbol: Symbol | None = None) -> str:
    """Return the dark modules of a link's QR symbol as an SVG path, one unit a module.

    The quiet zone is left out: the path begins at 0 0. Without `symbol` the encoder
    chooses the smallest version and the highest level that it holds.
    """
    version, error = (symbol.version, symbol.error) if symbol else (None, None)
    return "".join(
        f"M{x} {y}h{width}v1h-{width}z" for x, y, width in _dark_runs(link, version, error)
    )


def _arranged(label: Label, stock: LabelStock) -> Arrangement:
    """Arrange a label; where its symbol would not be read, the number stands alone."""
    symbol = None
    if label.link is not None:
        symbol = _symbol_or_none(label.link, stock)
    return arrange(label, stock, symbol, measure)


def _symbol_or_none(link: str, stock: LabelStock) -> Symbol | None:
    try:
        return symbol_for(link, stock)
    except SymbolWillNotRead:
        return None


def _draw_label(canvas: Canvas, stock: LabelStock, placed: LabelPlace, label: Label) -> None:
    arrangement = _arranged(label, stock)
    if arrangement.symbol is not None and label.link is not None:
        left = placed.x_mm + arrangement.symbol_x_mm + arrangement.symbol.quiet_mm
        top = placed.y_mm + arrangement.symbol_y_mm + arrangement.symbol.quiet_mm
        _draw_symbol(canvas, stock, arrangement.symbol, label.link, left, top)
    for line in arrangement.lines:
        write(canvas, stock, line, placed.x_mm, placed.y_mm)
    for rule in arrangement.rules:
        left, right = placed.x_mm + rule.left_mm, placed.x_mm + rule.right_mm
        line_across(canvas, stock, left, right, placed.y_mm + rule.y_mm, PENCIL_LINE_MM)


def _draw_symbol(
    canvas: Canvas, stock: LabelStock, symbol: Symbol, link: str, left_mm: float, top_mm: float
) -> None:
    """Fill the dark modules in one path, its corner and its modules on the printer's dots."""
    dot = 72 / stock.dots_per_inch
    left = round(left_mm * POINTS_PER_MM / dot) * dot
    top = round(up(stock, top_mm) / dot) * dot
    module = symbol.module_dots * dot
    runs = _dark_runs(link, symbol.version, symbol.error)
    dark = " ".join(f"{x} {y} {width} 1 re" for x, y, width in runs)
    # Turned over, so that the rows count down the label as they do in the symbol.
    canvas.addLiteral(f"q {module:.5f} 0 0 -{module:.5f} {left:.5f} {top:.5f} cm {dark} f Q")


def _dark_runs(link: str, version: int | None, error: str | None) -> Iterator[tuple[int, int, int]]:
    """Return column, row and width of each run of dark modules in a row."""
    code = segno.make_qr(link, version=version, error=error, boost_error=error is None)
    for y, row in enumerate(code.matrix):
        x = 0
        for dark, modules in itertools.groupby(row):
            width = len(list(modules))
            if dark:
                yield x, y, width
            x += width
