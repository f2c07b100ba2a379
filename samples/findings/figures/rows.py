"""The data of a plot as rows of text, for a file of comma-separated values."""

from samples.findings.page_model import Plot

HEADS = ["panel", "series", "x", "y", "lower", "upper", "size", "of"]


def as_rows(plot: Plot) -> list[list[str]]:
    """Return every point of every panel, with heads first."""
    rows = [HEADS]
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
                rows.append([_plain(cell) for cell in cells])
    return rows


def _plain(cell: float | str) -> str:
    return cell if isinstance(cell, str) else f"{cell:.6g}"
