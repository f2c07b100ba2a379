"""A panel of a figure as an SVG of its own, drawn for the page: its styles are the page's.

It stands in the page as wide as its frame, 1:1 on a desk, so its text has the page's own size.
"""

from collections.abc import Callable

from django.utils.html import escape

from samples.findings.figures import paths
from samples.findings.figures.axes import draw_axes, draw_mark
from samples.findings.figures.layout import LETTER, LINE, LINES, STACKED, Scales
from samples.findings.figures.paths import Point, number
from samples.findings.figures.scale import half_bar
from samples.findings.page_model import Panel, Plot, Series

# Of a share of 1, in pixels across, and of the smallest disc that is still seen.
LARGEST_DISC, SMALLEST_DISC = 13.0, 2.0


def draw_panel(panel: Panel, plot: Plot, scales: Scales, alt: str, css_class: str) -> str:
    """Return a panel as an SVG: axes first, then areas, lines and dots, then words."""
    under = [one for one in panel.series if one.style in STACKED]
    over = [one for one in panel.series if one.style not in STACKED]
    parts = [draw_axes(plot, panel, scales)]
    parts += [_stacked(one, scales) for one in reversed(under)]
    parts += [KINDS[one.style](one, scales) for one in over]
    parts += [draw_mark(one, scales) for one in panel.marks]
    parts.append(_labels(panel, scales))
    frame = scales.frame
    return (
        f'<svg class="{css_class}" viewBox="0 0 {number(frame.width)} {number(frame.height)}" '
        f'role="img" aria-label="{escape(alt)}"{_scale(panel, plot, scales)}>'
        f"{''.join(parts)}</svg>"
    )


def _scale(panel: Panel, plot: Plot, scales: Scales) -> str:
    """Return the scale as an attribute, where a script reads values off the drawing."""
    if not plot.moves and not any(one.keys for one in panel.series):
        return ""
    x, y = scales.x, scales.y
    numbers = (x.low, x.high, x.start, x.end, y.low, y.high, y.start, y.end)
    return f' data-scale="{" ".join(f"{one:.6g}" for one in numbers)}"'


# ---------- Labels: at the ends of lines, inside areas, never on what was seen ----------


def _labels(panel: Panel, scales: Scales) -> str:
    """Name the lines at their ends; a thin one of another group at the edge, where fish of this
    one lie at its end.
    """
    parts = []
    for soft in (True, False):
        named = [
            one
            for one in panel.series
            if one.label and one.x and one.style in LINES and (one.style == "soft") is soft
        ]
        named.sort(key=lambda one: scales.y.at(one.y[-1]))
        if soft:
            at_ends = [(one, _place_at_end(one, panel, scales)) for one in named]
            parts += [_end_label(one.label, place) for one, place in at_ends if place]
            named = [one for one, place in at_ends if not place]
        heights = _apart([scales.y.at(one.y[-1]) for one in named], scales.y.start - LINE / 2 - 2)
        ends = [scales.x.end if soft else scales.x.at(one.x[-1]) for one in named]
        look = "draw-soft" if soft else "draw-ink"
        parts += [
            f'<text class="draw-text {look}" x="{number(max(ends) + 4)}" y="{number(at + 4.5)}">'
            f"{escape(one.label)}</text>"
            for at, one in zip(heights, named, strict=True)
        ]
    marks = [scales.x.at(one.value) for one in panel.marks if one.upright]
    stacked = [one for one in panel.series if one.label and one.style in STACKED]
    return "".join([*parts, *(_area_label(one, scales, marks) for one in stacked)])


def _end_label(label: str, place: Point) -> str:
    x, y = place
    return (
        f'<text class="draw-text draw-soft draw-end" x="{number(x)}" y="{number(y + 4.5)}">'
        f"{escape(label)}</text>"
    )


def _place_at_end(series: Series, panel: Panel, scales: Scales) -> Point | None:
    """Return where the label of a thin line stands at its end: beside it, or above or below;
    nowhere if fish, the panel's own line or another label lie at each of them.
    """
    x, y = scales.point(series.x[-1], series.y[-1])
    wide = LETTER * len(series.label)
    taken = [
        at
        for one in panel.series
        if one.style in {"line", "dash", "dots", "small"}
        for at in scales.points(one.x, one.y)
    ]
    for one in panel.series:
        if one is not series and one.label and one.x and one.style == "soft":
            end_x, end_y = scales.point(one.x[-1], one.y[-1])
            taken += [(end_x, end_y), (end_x + 3 + LETTER / 2, end_y)]
    for down in (0.0, -0.6 * LINE, 0.6 * LINE):
        left, middle = x + 3, y + down
        if not any(
            left - 4 <= at[0] <= left + wide + 3 and abs(at[1] - middle) < LINE / 2 + 1
            for at in taken
        ):
            return left, middle
    return None


def _apart(found: list[float], bottom: float) -> list[float]:
    """Push heights apart by a line, from the top down, and back up where they leave the drawing."""
    down: list[float] = []
    for at in found:
        down.append(max(at, down[-1] + LINE) if down else at)
    up: list[float] = []
    for at in reversed(down):
        up.append(min(at, up[-1] - LINE) if up else min(at, bottom))
    return up[::-1]


def _area_label(series: Series, scales: Scales, marks: list[float]) -> str:
    """Write the name of an area where it is highest for as long as the name is, if it fits."""
    wide = LETTER * len(series.label)
    found = (0.0, 0.0, 0.0)
    for middle in series.x:
        at = scales.x.at(middle)
        span = [
            (scales.y.at(low), scales.y.at(high))
            for x, low, high in zip(series.x, series.lower, series.upper, strict=True)
            if abs(scales.x.at(x) - at) <= wide / 2 + 4
        ]
        low, high = min(one[0] for one in span), max(one[1] for one in span)
        room = wide / 2 + 4
        inside = scales.x.start < at - room and at + room < scales.x.end
        if inside and all(abs(at - mark) > room for mark in marks) and low - high > found[0]:
            found = (low - high, at, (low + high) / 2)
    if found[0] < LINE:
        return ""
    look = "draw-on-ink" if series.style == "ink" else "draw-ink"
    return (
        f'<text class="draw-text {look}" x="{number(found[1])}" y="{number(found[2] + 4.5)}" '
        f'text-anchor="middle">{escape(series.label)}</text>'
    )


# ---------- Series, a kind each ----------


def _line(series: Series, scales: Scales) -> str:
    d = paths.line(scales.points(series.x, series.y))
    if d in scales.shared:
        return f'<use class="draw-{LINES[series.style]}" href="#{scales.shared[d]}"/>'
    return f'<path class="draw-{LINES[series.style]}" d="{d}"/>'


def _band(series: Series, scales: Scales) -> str:
    lower, upper = (scales.points(series.x, ends) for ends in (series.lower, series.upper))
    return f'<path class="draw-band" d="{paths.area(lower, upper)}"/>'


def _stacked(series: Series, scales: Scales) -> str:
    """Draw an area down to the axis: what lies lower is drawn over it."""
    upper = scales.points(series.x, series.upper)
    foot = f"V{number(scales.y.start)}H{number(scales.x.at(series.x[0]))}Z" if upper else ""
    return f'<path class="draw-{STACKED[series.style]}" d="{paths.line(upper)}{foot}"/>'


def _intervals(series: Series, scales: Scales) -> str:
    d = "".join(
        f"M{number(scales.x.at(x))} {number(scales.y.at(low))}V{number(scales.y.at(high))}"
        for x, low, high in zip(series.x, series.lower, series.upper, strict=False)
        if high > low
    )
    return f'<path class="draw-interval" d="{d}"/>' if d else ""


def _dots(series: Series, scales: Scales) -> str:
    """Draw dots as the corners of a line that is not drawn: each corner carries a mark."""
    found = paths.points(scales.points(series.x, series.y))
    mark = "url(#dot-fish)" if series.style == "small" else "url(#dot-mean)"
    keyed = ' data-dots=""' if series.keys else ""
    dots = (
        f'<polyline class="draw-dots"{keyed} points="{found}" marker-start="{mark}" '
        f'marker-mid="{mark}" marker-end="{mark}"/>'
    )
    return _intervals(series, scales) + (dots if found else "")


def _bars(series: Series, scales: Scales) -> str:
    half, foot = 0.86 * half_bar(series), scales.y.at(0)
    d = ""
    for x, y in zip(series.x, series.y, strict=True):
        left, right, top = scales.x.at(x - half), scales.x.at(x + half), scales.y.at(y)
        if foot - top >= 0.05:
            d += f"M{number(left)} {number(foot)}V{number(top)}H{number(right)}V{number(foot)}Z"
    return f'<path class="draw-bars" d="{d}"/>' + _intervals(series, scales)


def _discs(series: Series, scales: Scales) -> str:
    """Draw discs of one size as one path: round ends of strokes of no length."""
    of_size: dict[str, str] = {}
    for x, y, share in zip(series.x, series.y, series.size, strict=True):
        across = max(SMALLEST_DISC, LARGEST_DISC * float(share) ** 0.5)
        at = f"M{number(scales.x.at(x))} {number(scales.y.at(y))}h0"
        wide = number(round(2 * across) / 2)
        of_size[wide] = of_size.get(wide, "") + at
    return "".join(
        f'<path class="draw-discs" stroke-width="{wide}" d="{d}"/>' for wide, d in of_size.items()
    )


KINDS: dict[str, Callable[[Series, Scales], str]] = {
    **dict.fromkeys(LINES, _line),
    "band": _band,
    "dots": _dots,
    "small": _dots,
    "bars": _bars,
    "discs": _discs,
}
