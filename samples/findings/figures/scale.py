"""Scales of a figure: one for all its panels, with round numbers at its ticks."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from samples.findings.page_model import Panel, Plot, Series

# An axis of nothing below 0 begins there, unless that would leave most of it empty.
FROM_ZERO_X, FROM_ZERO_Y = 0.3, 0.6
ROUND, ROUND_WHOLE = (1, 2, 5, 10), (1, 2, 4, 5, 10)
AREAS = {"band", "clear", "shade", "ink"}
ValuesOf = Callable[[Series], list[float]]


@dataclass(frozen=True, slots=True)
class Scale:
    """Values from low to high on a stretch of the drawing, and its ticks."""

    low: float
    high: float
    start: float
    end: float
    ticks: tuple[float, ...]
    decimals: int = 0

    def at(self, value: float) -> float:
        """Return where a value lies; what is off the scale lies at its end."""
        share = (min(max(value, self.low), self.high) - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)

    def name(self, tick: float) -> str:
        # A hyphen is narrower than the minus that goes with a number.
        return f"{tick:.{self.decimals}f}".replace("-", "\N{MINUS SIGN}")


@dataclass(frozen=True, slots=True)
class Extent:
    """The values that an axis has to hold."""

    low: float
    high: float


def x_extent(plot: Plot) -> Extent:
    """Return the extent of all panels along x, with the marks upright there."""
    found = [*_of_series(plot, lambda one: one.x), *_marks(plot, upright=True)]
    found += [value + side for value in _bar_middles(plot) for side in _half_bars(plot)]
    return _extent(found)


def y_extent(plot: Plot) -> Extent:
    """Return the extent of all panels along y, with their intervals and marks."""
    found = [*_marks(plot, upright=False)]
    found += _of_series(plot, lambda one: [] if one.style in AREAS else one.y)
    found += _of_series(plot, lambda one: one.lower)
    found += _of_series(plot, lambda one: one.upper)
    # A bar stands on 0.
    found += [0.0] if _bar_middles(plot) else []
    return _extent(found)


def make_scale(
    extent: Extent, start: float, end: float, *, most: int, whole: bool, to_ticks: bool
) -> Scale:
    """Return a scale of at most so many steps; ``to_ticks`` ends it at its outer ticks."""
    low, high = extent.low, extent.high
    if 0 <= low <= (FROM_ZERO_Y if to_ticks else FROM_ZERO_X) * high:
        low = 0.0
    if high <= low:
        low, high = low - 0.5, high + 0.5
    least = (high - low) / most
    step = _round_step(max(least, 1.0), ROUND_WHOLE) if whole else _round_step(least, ROUND)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    if to_ticks:
        low, high = first * step, last * step
    ticks = tuple(
        place * step for place in range(first, last + 1) if low <= place * step <= high + 1e-9
    )
    return Scale(low, high, start, end, ticks, max(0, -math.floor(math.log10(step) + 1e-9)))


def half_bar(series: Series) -> float:
    """Return half the room of one of a series of bars."""
    steps = [after - before for before, after in zip(series.x, series.x[1:], strict=False)]
    return min(steps, default=1.0) / 2


def _round_step(least: float, steps: tuple[int, ...]) -> float:
    if least <= 0:
        return 1.0
    size: float = 10 ** math.floor(math.log10(least))
    return next(size * one for one in steps if size * one >= least * (1 - 1e-9))


def _extent(found: Iterable[float]) -> Extent:
    there = [value for value in found if math.isfinite(value)]
    return Extent(min(there, default=0.0), max(there, default=1.0))


def _of_series(plot: Plot, values_of: ValuesOf) -> list[float]:
    return [value for panel in plot.panels for one in panel.series for value in values_of(one)]


def _marks(plot: Plot, *, upright: bool) -> list[float]:
    panels: list[Panel] = plot.panels
    return [one.value for panel in panels for one in panel.marks if one.upright is upright]


def _bars(plot: Plot) -> list[Series]:
    return [one for panel in plot.panels for one in panel.series if one.style == "bars" and one.x]


def _bar_middles(plot: Plot) -> list[float]:
    return [value for one in _bars(plot) for value in one.x]


def _half_bars(plot: Plot) -> tuple[float, float]:
    half = max(map(half_bar, _bars(plot)), default=0.0)
    return -half, half
