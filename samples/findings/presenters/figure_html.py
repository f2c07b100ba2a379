"""Figures of a page, each with its place among them, and the data that its script works on."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from samples.findings.figures import DrawnFigure, DrawnPanel, draw_figure
from samples.findings.page_model import Page, Panel, Plot

DIGITS = 4
# Read off a line, a value is shown as a whole number.
SHOWN_DIGITS = 3
ListAddress = Callable[[str], str]


@dataclass(frozen=True, slots=True)
class HtmlPanel:
    """A panel, and where its fish are listed; nowhere if its dots are no fish."""

    drawn: DrawnPanel
    list_address: str


@dataclass(frozen=True, slots=True)
class HtmlFigure:
    """What ``findings/figure.html`` writes."""

    place: int
    drawn: DrawnFigure
    panels: list[HtmlPanel]


def figures_as_html(page: Page, list_address: ListAddress | None = None) -> list[HtmlFigure]:
    """Draw the figures of a page, with links to the fish of a group where they may be followed."""
    figures = []
    for place, plot in enumerate(page.plots):
        drawn = draw_figure(plot)
        panels = [
            HtmlPanel(one, list_address(one.title) if list_address and one.keys else "")
            for one in drawn.panels
        ]
        figures.append(HtmlFigure(place, drawn, panels))
    return figures


def script_data(page: Page, figures: list[HtmlFigure], fish_address: str) -> dict[str, Any]:
    """Return what the script of figures works on: whose dots these are, and lines to read off.

    Vials stand in the order of their dots with a space between. ``fish_address`` comes before a
    vial's number; without it no dot leads anywhere.
    """
    dots = {
        str(figure.place): [" ".join(panel.drawn.keys) for panel in figure.panels]
        for figure in figures
        if fish_address and any(panel.drawn.keys for panel in figure.panels)
    }
    lines = {str(place): _moving(plot) for place, plot in enumerate(page.plots) if plot.moves}
    if not dots and not lines:
        return {}
    return {"address": fish_address, "dots": dots, "lines": lines, "axes": _axes(page.plots)}


def _axes(plots: list[Plot]) -> list[list[str]]:
    return [[plot.x_label, plot.y_label] for plot in plots]


def _moving(plot: Plot) -> dict[str, Any]:
    """Return where the mark of a figure stands, its unit, and the line of each panel."""
    [value] = {mark.value for panel in plot.panels for mark in panel.marks if mark.upright}
    return {
        "value": value,
        "unit": plot.moves,
        "panels": [_line_of(panel) for panel in plot.panels],
    }


def _line_of(panel: Panel) -> dict[str, list[float]]:
    """Return the line of a panel and its interval, as they were drawn."""
    [band] = [one for one in panel.series if one.style == "band"]
    return {
        "x": [_rounded(value) for value in band.x],
        "middle": [_rounded(value, SHOWN_DIGITS) for value in band.y],
        "low": [_rounded(value, SHOWN_DIGITS) for value in band.lower],
        "high": [_rounded(value, SHOWN_DIGITS) for value in band.upper],
    }


def _rounded(value: float, digits: int = DIGITS) -> float:
    return float(f"{value:.{digits}g}")
