"""Draws the plots of findings: as SVG for the page and to save, as PNG."""

from samples.findings.figures.draw import as_png, as_svg
from samples.findings.figures.thin import thinned_text

__all__ = ["as_png", "as_svg", "thinned_text"]
