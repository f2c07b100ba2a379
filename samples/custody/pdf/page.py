"""A sheet of paper and the few things drawn on it, in mm from its top left corner."""

from __future__ import annotations

import io
from collections.abc import Iterable
from dataclasses import dataclass

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

POINTS_PER_MM = 72 / 25.4
REGULAR = "Helvetica"
BOLD = "Helvetica-Bold"
LEADING = 1.3
ELLIPSIS = "..."


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of paper, in mm."""

    name: str
    width: float
    height: float


LETTER = Paper("Letter", 215.9, 279.4)
A4 = Paper("A4", 210.0, 297.0)
LETTER_ACROSS = Paper("Letter, landscape", 279.4, 215.9)
A4_ACROSS = Paper("A4, landscape", 297.0, 210.0)
A6 = Paper("A6", 105.0, 148.0)


class Sheet:
    """One PDF being drawn, page after page.

    What is drawn may be moved and enlarged: `place` says where 0, 0 is and how long a mm.
    """

    def __init__(self, paper: Paper, title: str) -> None:
        self.paper = paper
        self._left = self._top = 0.0
        self._factor = 1.0
        self._out = io.BytesIO()
        size = (paper.width * POINTS_PER_MM, paper.height * POINTS_PER_MM)
        self.canvas = Canvas(
            self._out, pagesize=size, pageCompression=1, invariant=True, lang="en-US"
        )
        self.canvas.setTitle(title)
        self.canvas.setCreator("Earstone")
        self.canvas.setAuthor("Earstone")

    def finish(self) -> bytes:
        self.canvas.save()
        return self._out.getvalue()

    def next_page(self) -> None:
        self.canvas.showPage()

    def place(self, left: float, top: float, factor: float) -> None:
        self._left, self._top, self._factor = left, top, factor

    def across(self, x: float) -> float:
        """Turn mm from the left into points of the page."""
        return (self._left + x * self._factor) * POINTS_PER_MM

    def up(self, y: float) -> float:
        """Turn mm from the top into points from the bottom of the page."""
        return (self.paper.height - self._top - y * self._factor) * POINTS_PER_MM

    def points(self, length: float) -> float:
        """Turn a length in mm into points."""
        return length * self._factor * POINTS_PER_MM

    def text(
        self, text: str, x: float, y: float, size: float, *, bold: bool = False, align: str = "left"
    ) -> None:
        """Write a line whose baseline is at y; size in mm."""
        width = measure(text, size, bold=bold)
        left = x - {"left": 0.0, "center": width / 2, "right": width}[align]
        self.canvas.setFont(BOLD if bold else REGULAR, self.points(size))
        self.canvas.drawString(self.across(left), self.up(y), text)

    def paragraph(
        self, text: str, x: float, y: float, width: float, size: float, *, bold: bool = False
    ) -> float:
        """Write a text in lines no wider than this; return the baseline that would follow."""
        for line in wrapped(text, width, size, bold=bold):
            self.text(line, x, y, size, bold=bold)
            y += size * LEADING
        return y

    def line(self, x1: float, y1: float, x2: float, y2: float, thick: float = 0.2) -> None:
        self.canvas.setLineWidth(self.points(thick))
        self.canvas.line(self.across(x1), self.up(y1), self.across(x2), self.up(y2))

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        thick: float = 0.2,
        gray: float | None = None,
        dashed: bool = False,
    ) -> None:
        """Draw a rectangle, filled with a gray where one is named."""
        canvas = self.canvas
        canvas.saveState()
        canvas.setLineWidth(self.points(thick))
        if dashed:
            canvas.setDash(2, 2)
        if gray is not None:
            canvas.setFillGray(gray)
        canvas.rect(
            self.across(x),
            self.up(y + height),
            self.points(width),
            self.points(height),
            fill=int(gray is not None),
        )
        canvas.restoreState()


def measure(text: str, size: float, *, bold: bool = False) -> float:
    """Return the width of a text in mm."""
    return stringWidth(text, BOLD if bold else REGULAR, size)


def wrapped(text: str, width: float, size: float, *, bold: bool = False) -> list[str]:
    """Break a text at its spaces; a word wider than the line is cut short."""
    lines: list[str] = []
    for word in _words_that_fit(text.split(), width, size, bold=bold):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and measure(longer, size, bold=bold) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _words_that_fit(
    words: Iterable[str], width: float, size: float, *, bold: bool
) -> Iterable[str]:
    return (shortened(word, width, size, bold=bold) for word in words)


def shortened(text: str, width: float, size: float, *, bold: bool = False) -> str:
    """Return a text as far as it fits, with dots where something is left out."""
    if measure(text, size, bold=bold) <= width:
        return text
    while text and measure(text + ELLIPSIS, size, bold=bold) > width:
        text = text[:-1]
    return text + ELLIPSIS
