"""Draws the figures of findings: panels that stand in a page, and SVG and PNG to save."""

from samples.findings.figures.draw import as_png, as_svg
from samples.findings.figures.drawn import DrawnFigure, DrawnPanel, draw_figure

__all__ = ["DrawnFigure", "DrawnPanel", "as_png", "as_svg", "draw_figure"]
