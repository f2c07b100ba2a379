"""The list as a poster for the ramp: one page, read from two steps away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from samples.custody.pdf import draw_symbol
from samples.custody.pdf.page import A4, LETTER, Paper, Sheet, measure, shortened, wrapped

PAPERS: dict[str, Paper] = {"letter": LETTER, "a4": A4}
MARGIN = 15.0
TITLE, LEAD, SMALL = 23.0, 6.0, 3.7
# Lines are as large as all of them fit, between these.
LARGEST, SMALLEST = 9.0, 2.6
RULER = 62.0
SYMBOL = 50.0
STEPS = (
    "Take a vial from the box.",
    "Measure the fish, tail pinched.",
    "Log the fish on your phone.",
    "Put the otoliths in the vial, or bag the head with it.",
)
UNITS = {"in": "inches", "mm": "mm"}
FOOT = "Keep your limit. Put carcasses where the ramp sign says."


@dataclass(frozen=True, slots=True)
class PosterLine:
    """One line; its lengths in the lake's unit, None at an end that is open."""

    words: str
    arms: str
    lower: float | None
    upper: float | None


@dataclass(frozen=True, slots=True)
class Poster:
    """What stands on it; ``step`` is a tick of the rulers, in the lake's unit."""

    lake: str
    sent_on: str
    lines: tuple[PosterLine, ...]
    enough: str
    address: str
    code_says: str
    unit: str = "in"
    step: int = 1


def poster_pdf(poster: Poster, paper: str) -> bytes:
    """Draw the poster on Letter, or on A4 where that is asked for."""
    size = PAPERS.get(paper, LETTER)
    sheet = Sheet(size, f"Fish needed from {poster.lake}")
    room = size.width - 2 * MARGIN
    sheet.text(shortened(poster.lake, room * 0.65, LEAD, bold=True), MARGIN, 20, LEAD, bold=True)
    sheet.text(poster.sent_on, size.width - MARGIN, 20, LEAD, align="right")
    sheet.text("Fish needed", MARGIN, 44, TITLE, bold=True)
    sheet.text("Please donate the heads or otoliths of these fish.", MARGIN, 55, LEAD)
    foot = size.height - MARGIN - SYMBOL - 16
    enough = wrapped(poster.enough, room, LEAD)
    below = foot - 4 - len(enough) * LEAD * 1.3
    _draw_lines(sheet, poster, top=61.0, bottom=below)
    y = below + LEAD * 1.2
    for line in enough:
        sheet.text(line, MARGIN, y, LEAD)
        y += LEAD * 1.3
    _draw_foot(sheet, poster, foot)
    return sheet.finish()


def _draw_lines(sheet: Sheet, poster: Poster, *, top: float, bottom: float) -> None:
    width = sheet.paper.width - 2 * MARGIN - RULER - 6
    size = LARGEST
    while size > SMALLEST and _height(poster.lines, width, size) > bottom - top:
        size -= 0.2
    low, high = _scale(poster)
    y = top
    sheet.line(MARGIN, y, sheet.paper.width - MARGIN, y, 1.0)
    for line in poster.lines:
        height = _height([line], width, size)
        base = y + size * 1.3
        for part in wrapped(line.words, width, size, bold=True):
            sheet.text(part, MARGIN, base, size, bold=True)
            base += size * 1.15
        base -= size * 0.1
        sheet.text(shortened(line.arms, width, size * 0.75), MARGIN, base, size * 0.75)
        left = sheet.paper.width - MARGIN - RULER
        bar = min(5.5, height * 0.36)
        _draw_ruler(sheet, poster, line, (left, y + height * 0.48), (low, high, bar))
        y += height
        sheet.line(MARGIN, y, sheet.paper.width - MARGIN, y, 0.3)


def _height(lines: Sequence[PosterLine], width: float, size: float) -> float:
    return sum(
        (1.45 + 1.15 * len(wrapped(line.words, width, size, bold=True))) * size for line in lines
    )


def _scale(poster: Poster) -> tuple[float, float]:
    """Return where the rulers begin and end: two ticks beyond what is asked for."""
    edges = [edge for line in poster.lines for edge in (line.lower, line.upper) if edge is not None]
    least, most = min(edges, default=0.0), max(edges, default=0.0)
    step = poster.step
    return max(0.0, (least // step - 2) * step), (most // step + 3) * step


def _draw_ruler(
    sheet: Sheet,
    poster: Poster,
    line: PosterLine,
    place: tuple[float, float],
    scale: tuple[float, float, float],
) -> None:
    """Draw the lengths that a line asks for as a bar on a ruler."""
    (left, middle), (low, high, bar) = place, scale
    per_unit = RULER / (high - low)

    def across(value: float | None, end: float) -> float:
        return left + ((end if value is None else value) - low) * per_unit

    start, stop = across(line.lower, low), across(line.upper, high)
    sheet.box(start, middle - bar, stop - start, bar, gray=0.0, thick=0.1)
    sheet.line(left, middle, left + RULER, middle, 0.4)
    ticks = round((high - low) / poster.step)
    every = max(1, -(-ticks // 6))
    for tick in range(ticks + 1):
        x = left + tick * poster.step * per_unit
        named = tick % every == 0
        sheet.line(x, middle, x, middle + bar * (0.4 if named else 0.2), 0.3)
        if named:
            value = f"{low + tick * poster.step:g}"
            size = min(SMALL, bar * 0.8)
            sheet.text(value, x, middle + bar * 0.45 + size * 0.8, size, align="center")


def _draw_foot(sheet: Sheet, poster: Poster, top: float) -> None:
    left = sheet.paper.width - MARGIN - SYMBOL
    draw_symbol(sheet, poster.address, left, top, SYMBOL)
    sheet.box(left, top, SYMBOL, SYMBOL)
    middle = left + SYMBOL / 2
    sheet.text(poster.code_says, middle, top + SYMBOL + 5, LEAD * 0.8, bold=True, align="center")
    width = left - MARGIN - 8
    y = top + 5
    for number, words in enumerate(STEPS, start=1):
        sheet.text(str(number), MARGIN, y, LEAD * 0.9, bold=True)
        y = sheet.paragraph(words, MARGIN + 8, y, width - 8, LEAD * 0.9) + 4.5
    foot = f"{FOOT} Lengths are total length in {UNITS[poster.unit]}."
    base = sheet.paper.height - MARGIN + 3
    size = min(SMALL, SMALL * (sheet.paper.width - 2 * MARGIN) / measure(foot, SMALL))
    sheet.text(foot, MARGIN, base, size)
