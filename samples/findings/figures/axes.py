"""Axes of a panel, with their numbers, and the marks across it."""

from collections.abc import Callable, Iterable

from django.utils.html import escape

from samples.findings.figures.layout import GAP, LETTER, LINE, Scales
from samples.findings.figures.paths import number
from samples.findings.page_model import Mark, Panel, Plot

Tick = tuple[float, str, bool]


def draw_axes(plot: Plot, panel: Panel, scales: Scales) -> str:
    """Return rules, axes and their numbers: those of marks first, which others give way to."""
    x, y = scales.x, scales.y
    left, right, bottom = number(x.start), number(x.end), number(y.start)
    rules = "".join(f"M{left} {number(y.at(tick))}H{right}" for tick in y.ticks)
    ticks = "".join(f"M{number(x.at(tick))} {bottom}v4" for tick in x.ticks)
    zero = f"M{left} {number(y.at(0))}H{right}" if y.low < 0 < y.high else ""
    return (
        f'<path class="draw-rule" d="{rules}"/>'
        f'<path class="draw-axis" d="M{left} {bottom}H{right}{ticks}{zero}"/>'
        f"{_y_numbers(panel, scales)}{_x_numbers(plot, panel, scales)}"
    )


def draw_mark(mark: Mark, scales: Scales) -> str:
    """Return a mark across a panel, which stands out from what lies under it."""
    x, y = scales.x, scales.y
    look = "draw-kept" if mark.low else "draw-limit"
    if not mark.upright:
        d = f"M{number(x.start)} {number(y.at(mark.value))}H{number(x.end)}"
        return f'<path class="{look}" d="{d}"/>'
    d = f"M{number(x.at(mark.value))} {number(y.end)}V{number(y.start)}"
    return "".join(f'<path class="{one}" data-mark="" d="{d}"/>' for one in ("draw-under", look))


def _y_numbers(panel: Panel, scales: Scales) -> str:
    y = scales.y
    marks = sorted((one for one in panel.marks if not one.upright), key=lambda one: one.low)
    found = [(y.at(one.value), one.tick, True) for one in marks]
    found += [(y.at(tick), y.name(tick), False) for tick in y.ticks]
    at = number(scales.x.start - GAP)
    words = "".join(
        f'<text{_look(strong)} x="{at}" y="{number(place + 4.5)}">{escape(name)}</text>'
        for place, name, strong in _apart(found, lambda name: LINE)
    )
    return f'<g class="draw-scale" text-anchor="end">{words}</g>'


def _x_numbers(plot: Plot, panel: Panel, scales: Scales) -> str:
    x, wide = scales.x, scales.frame.width
    found = [(x.at(one.value), one.tick, True) for one in panel.marks if one.upright]
    for tick in x.ticks:
        name = plot.x_names.get(round(tick), "") if plot.x_names else x.name(tick)
        found.append((x.at(tick), name, False))
    at, words = number(scales.y.start + 18), ""
    for place, name, strong in _apart(found, lambda name: LETTER * (len(name) + 1)):
        half = LETTER * (len(name) + 1) / 2
        inside = number(min(max(place, half), wide - half))
        words += f'<text{_look(strong)} x="{inside}" y="{at}">{escape(name)}</text>'
    return f'<g class="draw-scale" text-anchor="middle">{words}</g>'


def _look(strong: bool) -> str:
    return ' class="draw-strong"' if strong else ""


def _apart(found: Iterable[Tick], room_of: Callable[[str], float]) -> list[Tick]:
    """Leave out the numbers that would stand on one that came before."""
    kept: list[Tick] = []
    for at, name, strong in found:
        room = room_of(name)
        if name and all(abs(at - other) >= room for other, _, _ in kept):
            kept.append((at, name, strong))
    return kept
