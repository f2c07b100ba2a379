"""Figures as files to save, SVG and PNG: all panels of one in a picture, by matplotlib.

They are drawn in ink alone, with the light colours of the page.
"""

import io
import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from threading import Lock
from typing import TYPE_CHECKING, Any

from django.utils.text import slugify

from samples.findings.figures.svg import finish
from samples.findings.figures.thin import thin
from samples.findings.page_model import Mark, Panel, Plot, Series

if TYPE_CHECKING:
    from matplotlib.axes import Axes

PANEL_WIDTH, PANEL_HEIGHT, MOST_ACROSS = 3.3, 2.7, 3
DPI = 100
# The settings of a drawing are the whole process's.
ONE_AT_A_TIME = Lock()
# Of a share of 1, in points squared.
LARGEST_DISC = 130


@dataclass(frozen=True, slots=True)
class Pen:
    """The inks of a figure."""

    ink: str = "#12212a"
    soft: str = "#42535b"
    rule: str = "#b3c0be"
    edge: str = "#56686f"
    sheet: str = "#f9fbf8"
    shade: str = "#d9e1de"


def as_svg(plot: Plot) -> str:
    """Draw a figure as SVG, with its words as words."""
    out = io.StringIO()
    _draw(thin(plot), Pen(), out, "svg")
    prefix = slugify(plot.name, allow_unicode=True)
    return finish(out.getvalue(), name=plot.name, alt=plot.alt, prefix=prefix)


def as_png(plot: Plot) -> bytes:
    """Draw a figure as PNG on a pale ground, for slides and reports."""
    out = io.BytesIO()
    _draw(thin(plot), Pen(), out, "png")
    return out.getvalue()


# ---------- Drawing ----------


def _draw(plot: Plot, pen: Pen, out: Any, file_format: str) -> None:
    import matplotlib as mpl
    from matplotlib.figure import Figure

    # Each figure's own salt: the same data draw the same file, two figures share no name.
    # A name with a dollar sign is a name, and no formula.
    settings: dict[Any, Any] = {
        "svg.fonttype": "none",
        "svg.hashsalt": plot.name,
        "font.size": 10,
        "text.parse_math": False,
    }
    with ONE_AT_A_TIME, mpl.rc_context(settings):
        across = min(len(plot.panels), MOST_ACROSS)
        down = math.ceil(len(plot.panels) / across)
        alone = len(plot.panels) == 1
        size = (PANEL_WIDTH * (2 if alone else across), PANEL_HEIGHT * (1.4 if alone else down))
        figure = Figure(figsize=size, dpi=DPI, layout="constrained")
        figure.patch.set_facecolor(pen.sheet if file_format == "png" else "none")
        axes = figure.subplots(down, across, sharex=True, sharey=True, squeeze=False)
        for place, axis in enumerate(axes.flat):
            if place >= len(plot.panels):
                axis.set_visible(False)
                continue
            _frame(axis, plot, pen)
            if place % across == 0:
                axis.set_ylabel(plot.y_label, color=pen.ink)
            _panel(axis, plot.panels[place], pen)
        nothing = {"Date": None, "Creator": None} if file_format == "svg" else {"Software": None}
        figure.savefig(
            out, format=file_format, dpi=DPI * (2 if file_format == "png" else 1), metadata=nothing
        )


def _frame(axis: "Axes", plot: Plot, pen: Pen) -> None:
    axis.patch.set_alpha(0)
    for side in ("top", "right", "left"):
        axis.spines[side].set_visible(False)
    axis.spines["bottom"].set_color(pen.edge)
    axis.grid(visible=True, axis="y", color=pen.rule, linewidth=0.8)
    axis.set_axisbelow(True)
    axis.tick_params(axis="both", colors=pen.soft, labelcolor=pen.soft, length=3, labelsize=10)
    # Each panel is read by itself: all have their numbers.
    axis.tick_params(axis="both", labelbottom=True, labelleft=True)
    axis.set_xlabel(plot.x_label, color=pen.ink)
    from matplotlib.ticker import MaxNLocator

    for whole, one in ((plot.whole_x, axis.xaxis), (plot.whole_y, axis.yaxis)):
        if whole:
            one.set_major_locator(MaxNLocator(nbins=8, integer=True))
    if plot.x_names:
        axis.set_xticks(list(plot.x_names), list(plot.x_names.values()))
    if plot.square:
        axis.set_aspect("equal", adjustable="datalim")


def _panel(axis: "Axes", panel: Panel, pen: Pen) -> None:
    words: dict[str, Any] = {
        "loc": "left",
        "fontsize": 10.5,
        "fontweight": "bold",
        "color": pen.ink,
    }
    axis.set_title(panel.title, pad=18, **words)
    said = " ".join(filter(None, (panel.answer, panel.interval)))
    beneath = ", ".join(filter(None, (said, panel.note)))
    axis.annotate(
        beneath, xy=(0, 1), xytext=(0, 6), xycoords="axes fraction",
        textcoords="offset points", fontsize=9.5, color=pen.soft,
    )  # fmt: skip
    for series in panel.series:
        KINDS[series.style](axis, series, pen)
    for mark in panel.marks:
        _mark(axis, mark, pen)


def _mark(axis: "Axes", mark: Mark, pen: Pen) -> None:
    look: dict[str, Any] = {"color": pen.ink, "linewidth": 1.2}
    look["linestyle"] = (0, (1, 2)) if mark.low else (0, (6, 3))
    words: dict[str, Any] = {"textcoords": "offset points", "color": pen.ink, "fontsize": 9}
    words["bbox"] = {"facecolor": pen.sheet, "edgecolor": "none", "alpha": 0.8, "pad": 0.8}
    words["zorder"] = 5
    label = f"{mark.label} {mark.tick}".strip()
    if mark.upright:
        axis.axvline(mark.value, **look)
        where: dict[str, Any] = {"xy": (mark.value, 1.0), "xycoords": ("data", "axes fraction")}
        axis.annotate(label, xytext=(3, -10), **where, **words)
    else:
        axis.axhline(mark.value, **look)
        where = {"xy": (1.0, mark.value), "xycoords": ("axes fraction", "data"), "ha": "right"}
        axis.annotate(label, xytext=(-2, -11 if mark.low else 3), **where, **words)


def _end_label(axis: "Axes", series: Series, pen: Pen) -> None:
    if series.label and series.x:
        where: dict[str, Any] = {
            "xy": (series.x[-1], series.y[-1]),
            "xytext": (4, 0),
            "va": "center",
        }
        axis.annotate(
            series.label, textcoords="offset points", fontsize=9, color=pen.ink,
            annotation_clip=False, **where,
        )  # fmt: skip


def _line(axis: "Axes", series: Series, pen: Pen) -> None:
    axis.plot(series.x, series.y, color=pen.ink, linewidth=2)
    _end_label(axis, series, pen)


def _dash(axis: "Axes", series: Series, pen: Pen) -> None:
    axis.plot(series.x, series.y, color=pen.ink, linewidth=1.6, linestyle=(0, (5, 3)))
    _end_label(axis, series, pen)


def _dotted(axis: "Axes", series: Series, pen: Pen) -> None:
    axis.plot(series.x, series.y, color=pen.ink, linewidth=1.8, linestyle=(0, (1, 2)))
    _end_label(axis, series, pen)


def _soft(axis: "Axes", series: Series, pen: Pen) -> None:
    axis.plot(series.x, series.y, color=pen.edge, linewidth=0.8, alpha=0.6)


def _band(axis: "Axes", series: Series, pen: Pen) -> None:
    axis.fill_between(series.x, series.lower, series.upper, color=pen.ink, alpha=0.14, linewidth=0)


def _area(axis: "Axes", series: Series, pen: Pen) -> None:
    ground = {"clear": pen.sheet, "shade": pen.shade, "ink": pen.ink}[series.style]
    axis.fill_between(
        series.x, series.lower, series.upper, facecolor=ground, edgecolor=pen.ink, linewidth=0.8
    )
    middle = len(series.x) // 2
    place = series.x[middle], (series.lower[middle] + series.upper[middle]) / 2
    ink = pen.sheet if series.style == "ink" else pen.ink
    axis.annotate(series.label, xy=place, ha="center", va="center", fontsize=9, color=ink)


def _error_bars(axis: "Axes", series: Series, pen: Pen) -> None:
    for x, low, high in zip(series.x, series.lower, series.upper, strict=False):
        axis.plot([x, x], [low, high], color=pen.ink, linewidth=1.1)


def _dots(axis: "Axes", series: Series, pen: Pen, *, size: float = 30) -> None:
    _error_bars(axis, series, pen)
    axis.scatter(
        series.x, series.y, s=size, facecolor=pen.sheet, edgecolor=pen.ink, linewidth=1.2, zorder=3
    )


def _small(axis: "Axes", series: Series, pen: Pen) -> None:
    _dots(axis, series, pen, size=9)


def _bars(axis: "Axes", series: Series, pen: Pen) -> None:
    width = min((b - a for a, b in pairwise(series.x)), default=1.0)
    axis.bar(
        series.x, series.y, width=0.86 * width, facecolor=pen.rule, edgecolor=pen.ink, linewidth=0.9
    )
    _error_bars(axis, series, pen)


def _discs(axis: "Axes", series: Series, pen: Pen) -> None:
    areas = [LARGEST_DISC * size for size in series.size]
    axis.scatter(
        series.x, series.y, s=areas, facecolor=pen.rule, edgecolor=pen.ink, linewidth=0.9, zorder=3
    )


KINDS: dict[str, Callable[[Any, Series, Pen], None]] = {
    "line": _line,
    "dash": _dash,
    "dotted": _dotted,
    "soft": _soft,
    "band": _band,
    "clear": _area,
    "shade": _area,
    "ink": _area,
    "dots": _dots,
    "small": _small,
    "bars": _bars,
    "discs": _discs,
}
