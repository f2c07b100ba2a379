"""Draws the figures of findings: panels that stand in a page, and SVG and PNG to save."""

from samples.findings.figures.draw import as_png, as_svg
from samples.findings.figures.drawn import (
    DrawnFigure,
    DrawnPanel,
    FramedFigure,
    KeyLine,
    alternative,
    draw_figure,
    draw_in_frame,
)
from samples.findings.figures.layout import Frame
from samples.findings.figures.thin import thin, thinned_text

__all__ = [
    "DrawnFigure",
    "DrawnPanel",
    "Frame",
    "FramedFigure",
    "KeyLine",
    "alternative",
    "as_png",
    "as_svg",
    "draw_figure",
    "draw_in_frame",
    "thin",
    "thinned_text",
]
