"""Plots of many fish, thinned: past some number a dot more shows nothing, and costs every phone."""

import random
from dataclasses import replace
from typing import TypeVar

from samples.findings.page_model import Panel, Plot, Series

T = TypeVar("T")
MOST_POINTS = 1_500
# Means and shares are never left out: where a series is so short, all of it is drawn.
SHORT = 100
DOTS = {"dots", "small"}


def thin(plot: Plot) -> Plot:
    """Return a plot of at most 1,500 points, each series thinned alike, by the same draw always."""
    share = _share_drawn(plot)
    if share >= 1:
        return plot
    panels = [replace(panel, series=_thinned(panel, share)) for panel in plot.panels]
    return replace(plot, panels=panels)


def thinned_text(plot: Plot) -> str:
    """Return how many of the points are drawn; empty where all are."""
    drawn, every = (sum(map(len, _dots(one))) for one in (thin(plot), plot))
    if drawn == every:
        return ""
    return f"Drawn: {drawn:,} of {every:,} points, chosen at random. The CSV has all."


def _share_drawn(plot: Plot) -> float:
    many = sum(len(points) for points in _dots(plot) if len(points) > SHORT)
    few = sum(len(points) for points in _dots(plot) if len(points) <= SHORT)
    return max(MOST_POINTS - few, 0) / many if many else 1.0


def _dots(plot: Plot) -> list[list[float]]:
    return [one.x for panel in plot.panels for one in panel.series if one.style in DOTS]


def _thinned(panel: Panel, share: float) -> list[Series]:
    return [
        _sample(one, share) if one.style in DOTS and len(one.x) > SHORT else one
        for one in panel.series
    ]


def _sample(series: Series, share: float) -> Series:
    size = len(series.x)
    places = sorted(random.Random(size).sample(range(size), int(share * size)))  # noqa: S311

    def of(values: list[T]) -> list[T]:
        return [values[place] for place in places] if values else values

    return replace(
        series,
        x=of(series.x),
        y=of(series.y),
        lower=of(series.lower),
        upper=of(series.upper),
        keys=of(series.keys),
        size=of(series.size),
    )
