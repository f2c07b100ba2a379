"""Where things of a panel lie: its frame, and scales that all panels of a figure share."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from django.utils.text import slugify

from samples.findings.figures import paths
from samples.findings.figures.paths import Point
from samples.findings.figures.scale import Scale, make_scale, x_extent, y_extent
from samples.findings.page_model import Plot

# How wide a letter of 13 px is, and how high a line of them.
LETTER, LINE = 7.2, 14.0
TOP, BELOW, GAP = 8.0, 24.0, 5.0
WIDEST_LABEL = 84.0
BETWEEN_TICKS_X, BETWEEN_TICKS_Y = 40, 34
LINES = {"line": "line", "dash": "dash", "dotted": "dotted", "soft": "other"}
# Areas that lie on each other: drawn down to the axis, the highest first.
STACKED = {"clear": "clear", "shade": "shade", "ink": "inked"}


@dataclass(frozen=True, slots=True)
class Frame:
    """How wide and how high a panel is drawn."""

    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Scales:
    """The scales of a figure in a frame, alike in all its panels.

    ``shared`` names the paths that several panels draw, and that are written once.
    """

    frame: Frame
    x: Scale
    y: Scale
    shared: Mapping[str, str] = field(default_factory=dict)

    def point(self, x: float, y: float) -> Point:
        return self.x.at(x), self.y.at(y)

    def points(self, xs: Sequence[float], ys: Sequence[float]) -> list[Point]:
        return [self.point(x, y) for x, y in zip(xs, ys, strict=True)]


def scales_of(plot: Plot, frame: Frame) -> Scales:
    """Return the scales of a figure: as wide as its ticks and labels leave room for."""
    bottom = frame.height - BELOW
    x_of, y_of = x_extent(plot), y_extent(plot)
    if plot.square:
        x_of = y_of = type(x_of)(min(x_of.low, y_of.low), max(x_of.high, y_of.high))
    y = make_scale(
        y_of,
        bottom,
        TOP,
        most=max(2, int((bottom - TOP) / BETWEEN_TICKS_Y)),
        whole=plot.whole_y,
        to_ticks=True,
    )
    marks = [one.tick for panel in plot.panels for one in panel.marks if not one.upright]
    names = [*map(y.name, y.ticks), *marks]
    left = LETTER * max(map(len, names), default=1) + GAP + 3
    right = frame.width - max(6.0, _room_for_labels(plot))
    x = make_scale(
        x_of,
        left,
        right,
        most=max(2, int((right - left) / BETWEEN_TICKS_X)),
        whole=plot.whole_x,
        to_ticks=False,
    )
    scales = Scales(frame, _padded(plot, x), y)
    return replace(scales, shared=_shared(plot, scales))


def _shared(plot: Plot, scales: Scales) -> dict[str, str]:
    """Name each line that is drawn in several panels: as thin as it is, it is as long in all."""
    found = Counter(
        paths.line(scales.points(one.x, one.y))
        for panel in plot.panels
        for one in panel.series
        if one.style == "soft"
    )
    prefix = f"{slugify(plot.name)}-{scales.frame.width:.0f}"
    often = [d for d, times in found.items() if times > 1]
    return {d: f"{prefix}-{place}" for place, d in enumerate(often)}


def draw_shared(scales: Scales) -> str:
    """Return the paths that several panels draw, for the figure to hold them once."""
    drawn = "".join(f'<path id="{name}" d="{d}"/>' for d, name in scales.shared.items())
    if not drawn:
        return ""
    return f'<svg class="unseen" width="1" height="1" aria-hidden="true"><defs>{drawn}</defs></svg>'


def _padded(plot: Plot, x: Scale) -> Scale:
    """Leave room for the outer dots, which would lie half outside."""
    kinds = {one.style for panel in plot.panels for one in panel.series}
    if not kinds & {"dots", "small", "discs"} or x.low == 0:
        return x
    pad = 8 * (x.high - x.low) / max(x.end - x.start, 1)
    return Scale(x.low - pad, x.high + pad, x.start, x.end, x.ticks, x.decimals)


def _room_for_labels(plot: Plot) -> float:
    longest = max(
        (len(one.label) for panel in plot.panels for one in panel.series if one.style in LINES),
        default=0,
    )
    return min(WIDEST_LABEL, LETTER * longest + GAP + 3) if longest else 0.0
