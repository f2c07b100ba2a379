"""A figure as PNG, for files that take no drawing: the panels of the PDF, at 300 dots an inch."""

import io
from dataclasses import dataclass

from reportlab.pdfgen.canvas import Canvas

from samples.findings.page_model import Plot
from samples.reports.writers.figure_pdf import PanelRow, panel_rows
from samples.reports.writers.fonts import register_fonts
from samples.vials.pdf.raster import page_png

DOTS_PER_INCH = 300


@dataclass(frozen=True, slots=True)
class Picture:
    """A figure as pixels: the PNG, how large it is meant to be, and its key in words."""

    png: bytes
    width_pt: float
    height_pt: float
    key: str


def draw_png(
    plot: Plot, width: float, *, across: int, height: float, enlarged: float = 1.0
) -> Picture:
    """Draw a figure so many points wide, with panels so many pixels high.

    ``enlarged`` makes its words and lines larger: those of a slide are read from afar.
    """
    register_fonts()
    rows, key = panel_rows(plot, width / enlarged, across, height)
    sizes = [row.wrap(width / enlarged, 0.0) for row in rows]
    total = sum(high for _, high in sizes)
    page = _page(rows, width / enlarged, total)
    png = page_png(page, dots_per_inch=DOTS_PER_INCH * enlarged)
    return Picture(png, width, total * enlarged, key)


def _page(rows: list[PanelRow], width: float, height: float) -> bytes:
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(width, height), invariant=1)
    top = height
    for row in rows:
        top -= row.height
        row.drawOn(canvas, 0, top)
    canvas.save()
    return out.getvalue()
