"""Draws the plots of findings: as SVG for the page and to save, as PNG."""

from samples.findings.figures.draw import as_png, as_svg

__all__ = ["as_png", "as_svg"]
