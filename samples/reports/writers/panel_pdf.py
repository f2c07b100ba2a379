"""A panel of a figure on paper: the drawing of the page, read line by line, in ink on white.

The drawing is SVG of our own making, so only what it holds is known here: paths of straight lines,
dots, and words.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

from samples.reports.writers.fonts import BOLD, REGULAR, text_width

INK, SOFT, RULE, EDGE, SHEET, SHADE, BAND = (
    "#000000", "#333333", "#b8b8b8", "#555555", "#ffffff", "#d9d9d9", "#dbdbdb",
)  # fmt: skip
TEXT_SIZE = 13.0
_TOKEN = re.compile(r"[MLHVZlhv]|-?(?:\d+\.?\d*|\.\d+)")
_DOT, _MEAN = 2.2, 3.4


@dataclass(frozen=True, slots=True)
class _Look:
    """How a path is drawn: its ink, the width of its line, its dashes, and what fills it."""

    stroke: str = ""
    width: float = 1.0
    dash: tuple[float, ...] = ()
    fill: str = ""
    round_ends: bool = False


_LOOKS = {
    "draw-axis": _Look(EDGE),
    "draw-band": _Look(EDGE, 0.75, fill=BAND),
    "draw-bars": _Look(INK, fill=SHADE),
    "draw-clear": _Look(INK, fill=SHEET),
    "draw-dash": _Look(INK, 1.75, (6, 3.5)),
    "draw-discs": _Look(INK, round_ends=True),
    "draw-dotted": _Look(INK, 2.0, (1.5, 3)),
    "draw-inked": _Look(INK, fill=INK),
    "draw-interval": _Look(INK, 1.25),
    "draw-kept": _Look(INK, 1.25, (2, 3)),
    "draw-limit": _Look(INK, 1.5, (7, 4)),
    "draw-line": _Look(INK, 2.25),
    "draw-other": _Look(EDGE),
    "draw-rule": _Look(RULE),
    "draw-shade": _Look(INK, fill=SHADE),
    "draw-under": _Look(SHEET, 4.0),
}


class PanelPen:
    """Draws one panel on a canvas, its upper left corner at a place, so many points a pixel."""

    def __init__(self, canvas: Any, left: float, top: float, scale: float) -> None:
        self.canvas, self.left, self.top, self.scale = canvas, left, top, scale

    def draw(self, svg: str) -> None:
        """Draw a panel from its SVG."""
        self.canvas.saveState()
        for element, above in _walk(ElementTree.fromstring(svg)):  # noqa: S314 - ours
            name = element.tag.rpartition("}")[2]
            if name == "path":
                self._path(element)
            elif name == "polyline":
                self._dots(element)
            elif name == "text":
                self._text(element, above)
        self.canvas.restoreState()

    def _at(self, x: float, y: float) -> tuple[float, float]:
        return self.left + self.scale * x, self.top - self.scale * y

    def _path(self, element: ElementTree.Element) -> None:
        look = _LOOKS[element.get("class", "")]
        path = self.canvas.beginPath()
        for move, x, y in _steps(element.get("d", "")):
            if move == "close":
                path.close()
            else:
                (path.moveTo if move == "move" else path.lineTo)(*self._at(x, y))
        canvas = self.canvas
        width = float(element.get("stroke-width", look.width))
        canvas.setLineWidth(self.scale * width)
        canvas.setDash([self.scale * one for one in look.dash])
        canvas.setLineCap(1 if look.round_ends else 0)
        canvas.setLineJoin(1)
        canvas.setStrokeColor(look.stroke)
        if look.fill:
            canvas.setFillColor(look.fill)
        canvas.drawPath(path, stroke=1, fill=1 if look.fill else 0)

    def _dots(self, element: ElementTree.Element) -> None:
        is_mean = element.get("marker-start") == "url(#dot-mean)"
        canvas = self.canvas
        canvas.setDash([])
        canvas.setStrokeColor(INK if is_mean else EDGE)
        canvas.setFillColor(SHEET)
        canvas.setLineWidth(self.scale * (1.5 if is_mean else 1.0))
        for pair in element.get("points", "").split():
            x, y = map(float, pair.split(","))
            radius = self.scale * (_MEAN if is_mean else _DOT)
            canvas.circle(*self._at(x, y), radius, stroke=1, fill=1 if is_mean else 0)

    def _text(self, element: ElementTree.Element, above: ElementTree.Element) -> None:
        looks = element.get("class", "").split()
        size, text = self.scale * TEXT_SIZE, element.text or ""
        x, y = self._at(float(element.get("x", "0")), float(element.get("y", "0")))
        bold = "draw-strong" in looks
        width = text_width(text, size, bold=bold)
        anchor = element.get("text-anchor") or above.get("text-anchor") or "start"
        x -= {"start": 0.0, "middle": width / 2, "end": width}[anchor]
        canvas = self.canvas
        if "draw-end" in looks:
            canvas.setFillColor(SHEET)
            canvas.rect(x - 0.5, y - 0.1 * size, width + 1, 0.9 * size, stroke=0, fill=1)
        soft = "draw-soft" in looks or ("draw-scale" in above.get("class", "") and not bold)
        canvas.setFillColor(SHEET if "draw-on-ink" in looks else SOFT if soft else INK)
        canvas.setFont(BOLD if bold else REGULAR, size)
        canvas.drawString(x, y, text)


def _walk(
    root: ElementTree.Element,
) -> Iterator[tuple[ElementTree.Element, ElementTree.Element]]:
    for one in root:
        yield one, root
        yield from _walk(one)


def _steps(d: str) -> Iterator[tuple[str, float, float]]:
    """Yield the corners of a path as places of the drawing."""
    tokens = _TOKEN.findall(d)
    place, command = 0, ""
    x = y = 0.0
    while place < len(tokens):
        if tokens[place].isalpha():
            command = tokens[place]
            place += 1
        if command == "Z":
            yield "close", x, y
            continue
        first = float(tokens[place])
        if command in "Hh":
            x = first + (x if command == "h" else 0.0)
        elif command in "Vv":
            y = first + (y if command == "v" else 0.0)
        else:
            second = float(tokens[place + 1])
            place += 1
            x, y = (x + first, y + second) if command == "l" else (first, second)
        place += 1
        yield ("move" if command == "M" else "line"), x, y
        command = "L" if command == "M" else command
