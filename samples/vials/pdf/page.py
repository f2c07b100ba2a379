"""A page that viewers may not scale, and the few things drawn on it, in mm from the top left."""

from __future__ import annotations

from typing import BinaryIO

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from samples.vials.geometry import LabelStock, TextLine

POINTS_PER_MM = 72 / 25.4
REGULAR = "Helvetica"
BOLD = "Helvetica-Bold"


def begin(out: BinaryIO, stock: LabelStock) -> Canvas:
    """Begin a PDF that viewers may not scale and that is the same every time."""
    canvas = Canvas(
        out,
        pagesize=(
            whole_dots(stock, stock.page_width_mm),
            whole_dots(stock, stock.page_height_mm),
        ),
        pageCompression=1,
        invariant=True,
        # PrintScaling came with PDF 1.6.
        pdfVersion=(1, 6),
        lang="en-US",
    )
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setCreator("Earstone")
    canvas.setAuthor("Earstone")
    return canvas


def name_page(canvas: Canvas, title: str) -> None:
    """Let the outline of the PDF lead to the page at hand."""
    key = f"page-{canvas.getPageNumber()}"
    canvas.bookmarkPage(key)
    canvas.addOutlineEntry(title, key)


def measure(text: str, bold: bool, size_mm: float) -> float:
    """Return the width of a text in mm, in the type that the PDF uses."""
    return stringWidth(text, BOLD if bold else REGULAR, size_mm)


def up(stock: LabelStock, y_mm: float) -> float:
    """Turn mm from the top of the page into points from its bottom."""
    return whole_dots(stock, stock.page_height_mm) - y_mm * POINTS_PER_MM


def write(
    canvas: Canvas, stock: LabelStock, line: TextLine, x_mm: float = 0.0, y_mm: float = 0.0
) -> None:
    """Write one line of type, its place counted from `x_mm`, `y_mm`."""
    canvas.setFont(BOLD if line.bold else REGULAR, line.size_mm * POINTS_PER_MM)
    canvas.drawString(
        (x_mm + line.x_mm) * POINTS_PER_MM, up(stock, y_mm + line.baseline_mm), line.text
    )


def line_across(
    canvas: Canvas, stock: LabelStock, left_mm: float, right_mm: float, y_mm: float, thick_mm: float
) -> None:
    """Draw a level line."""
    canvas.setLineWidth(thick_mm * POINTS_PER_MM)
    y = up(stock, y_mm)
    canvas.line(left_mm * POINTS_PER_MM, y, right_mm * POINTS_PER_MM, y)


def line_down(
    canvas: Canvas, stock: LabelStock, x_mm: float, top_mm: float, bottom_mm: float, thick_mm: float
) -> None:
    """Draw an upright line."""
    canvas.setLineWidth(thick_mm * POINTS_PER_MM)
    x = x_mm * POINTS_PER_MM
    canvas.line(x, up(stock, top_mm), x, up(stock, bottom_mm))


def outline(
    canvas: Canvas,
    stock: LabelStock,
    left_mm: float,
    top_mm: float,
    width_mm: float,
    height_mm: float,
    thick_mm: float,
    radius_mm: float = 0.0,
) -> None:
    """Draw a rectangle's edge, its corners rounded as a label's are."""
    canvas.setLineWidth(thick_mm * POINTS_PER_MM)
    canvas.roundRect(
        left_mm * POINTS_PER_MM,
        up(stock, top_mm + height_mm),
        width_mm * POINTS_PER_MM,
        height_mm * POINTS_PER_MM,
        radius_mm * POINTS_PER_MM,
    )


def whole_dots(stock: LabelStock, side_mm: float) -> float:
    """Round a page's side to printer dots, in points: a broken last dot stretches the page."""
    return round(side_mm / stock.dot_mm) * 72 / stock.dots_per_inch
