"""The data of a plot as comma-separated values, at full precision."""

import csv
import io

from samples.findings.page_model import Plot
from samples.findings.presenters.file_columns import DIGITS
from samples.rules.csv_text import plain_cell

HEADS = ["panel", "series", "x", "y", "lower", "upper", "size", "of"]


def plot_as_csv(plot: Plot) -> str:
    """Return every point of every panel, with heads first."""
    out = io.StringIO()
    write = csv.writer(out)
    write.writerow(HEADS)
    for panel in plot.panels:
        for series in panel.series:
            if series.style == "soft":
                continue  # the other panels' own lines
            for place, (x, y) in enumerate(zip(series.x, series.y, strict=True)):
                ends = [
                    values[place] if values else ""
                    for values in (series.lower, series.upper, series.size)
                ]
                key = series.keys[place] if series.keys else ""
                cells = [panel.title, series.name or series.style, x, y, *ends, key]
                write.writerow([_plain(cell) for cell in cells])
    return out.getvalue()


def _plain(cell: float | str) -> str:
    return plain_cell(cell) if isinstance(cell, str) else f"{cell:.{DIGITS}g}"
