"""Draws the plots of findings: as SVG for the page and to save, as PNG, and their data as rows."""

from samples.findings.figures.columns import as_columns
from samples.findings.figures.draw import as_png, as_svg
from samples.findings.figures.rows import as_rows

__all__ = ["as_columns", "as_png", "as_rows", "as_svg"]
