"""Five drawings of how a fish is logged, for hands that are wet and eyes that skim."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from samples.custody.pdf.page import Sheet

# A picture is drawn on a square of a hundred units.
UNITS = 100
INK = 3.2


class Pen:
    """Draws on one square of a sheet."""

    def __init__(self, sheet: Sheet, x: float, y: float, side: float) -> None:
        self.sheet, self.x, self.y, self.unit = sheet, x, y, side / UNITS

    def _at(self, x: float, y: float) -> tuple[float, float]:
        return self.x + x * self.unit, self.y + y * self.unit

    def path(self, points: Sequence[tuple[float, float]], thick: float = INK) -> None:
        """Draw straight lines from point to point."""
        for start, end in pairwise(points):
            self.sheet.line(*self._at(*start), *self._at(*end), thick * self.unit)

    def curve(self, points: Sequence[tuple[float, float]], thick: float = INK) -> None:
        """Draw one curve from the first point to the last, drawn by the two between."""
        sheet = self.sheet
        flat = [
            value
            for x, y in (self._at(*point) for point in points)
            for value in (sheet.across(x), sheet.up(y))
        ]
        sheet.canvas.setLineWidth(sheet.points(thick * self.unit))
        sheet.canvas.bezier(*flat)

    def round_box(self, x: float, y: float, width: float, height: float, radius: float) -> None:
        sheet = self.sheet
        left, top = self._at(x, y + height)
        sheet.canvas.setLineWidth(sheet.points(INK * self.unit))
        sheet.canvas.roundRect(
            sheet.across(left),
            sheet.up(top),
            sheet.points(width * self.unit),
            sheet.points(height * self.unit),
            sheet.points(radius * self.unit),
        )

    def block(self, x: float, y: float, width: float, height: float) -> None:
        left, top = self._at(x, y)
        self.sheet.box(left, top, width * self.unit, height * self.unit, thick=0, gray=0)

    def oval(self, x: float, y: float, width: float, height: float, *, filled: bool) -> None:
        sheet = self.sheet
        left, top = self._at(x, y)
        right, bottom = self._at(x + width, y + height)
        sheet.canvas.setLineWidth(sheet.points(INK * self.unit))
        sheet.canvas.ellipse(
            sheet.across(left),
            sheet.up(bottom),
            sheet.across(right),
            sheet.up(top),
            fill=int(filled),
        )

    def text(self, words: str, x: float, y: float, size: float) -> None:
        left, top = self._at(x, y)
        self.sheet.text(words, left, top, size * self.unit, bold=True, align="center")


def _phone(pen: Pen, x: float = 28) -> None:
    pen.round_box(x, 6, 44, 88, 7)
    pen.path([(x + 16, 86), (x + 28, 86)])


def scan_link(pen: Pen) -> None:
    """Draw a phone that looks at a symbol."""
    _phone(pen, 50)
    for x, y in ((6, 30), (28, 30), (6, 52)):
        pen.round_box(x, y, 14, 14, 1)
        pen.block(x + 4.5, y + 4.5, 5, 5)
    for x, y in ((28, 52), (36, 58), (30, 62)):
        pen.block(x, y, 5, 5)
    pen.path([(60, 26), (84, 26), (84, 66), (60, 66), (60, 26)], 2)


def start_trip(pen: Pen) -> None:
    """Draw a phone with an arm and a day to choose."""
    _phone(pen)
    for y in (18, 36, 54):
        pen.round_box(35, y, 30, 13, 3)
    pen.path([(39, 42), (43, 46), (50, 38)])


def measure_fish(pen: Pen) -> None:
    """Draw a fish on a ruler, its mouth closed and its tail pinched."""
    pen.curve([(8, 42), (22, 14), (52, 16), (76, 40)])
    pen.curve([(8, 42), (22, 66), (52, 64), (76, 44)])
    pen.path([(76, 40), (92, 34), (92, 50), (76, 44)])
    pen.oval(17, 35, 5, 5, filled=True)
    pen.curve([(30, 26), (36, 36), (36, 48), (30, 57)], 2)
    pen.path([(8, 78), (92, 78), (92, 92), (8, 92), (8, 78)])
    for x in range(16, 92, 8):
        pen.path([(x, 78), (x, 86 if x % 16 else 84)], 2)
    pen.path([(8, 46), (8, 78)], 1.5)
    pen.path([(92, 50), (92, 78)], 1.5)


def fill_vial(pen: Pen) -> None:
    """Draw two otoliths above an open vial with its number."""
    pen.round_box(32, 46, 36, 48, 6)
    pen.path([(28, 46), (72, 46)])
    pen.oval(38, 10, 10, 16, filled=True)
    pen.oval(54, 16, 10, 16, filled=True)
    pen.path([(43, 30), (43, 38)], 2)
    pen.path([(59, 36), (59, 42)], 2)
    pen.round_box(36, 62, 28, 16, 1)
    pen.text("0147", 50, 74.5, 10)


def log_and_send(pen: Pen) -> None:
    """Draw a phone with a tick, and the waves by which fish are sent."""
    _phone(pen, 10)
    pen.path([(20, 44), (29, 54), (46, 32)], 4)
    for reach in (0, 10, 20):
        pen.curve(
            [
                (64 + reach, 30 - reach / 2),
                (70 + reach, 38 - reach / 2),
                (70 + reach, 52 + reach / 2),
                (64 + reach, 60 + reach / 2),
            ]
        )


STEPS: tuple[tuple[Callable[[Pen], None], str], ...] = (
    (scan_link, "Scan the QR code, then tap: this is me. Keep the page on your home screen."),
    (start_trip, "Start a trip: arm, date, how the fish were chosen."),
    (measure_fish, "Measure total length: mouth closed, tail pinched."),
    (fill_vial, "Both otoliths go dry into one vial. One fish, one vial."),
    (log_and_send, "Log vial, species, length and sex. Save; it is sent when there is signal."),
)
