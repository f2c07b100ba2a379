"""Where the symbol, the number and the small type go on one label."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from samples.vials.geometry.stock import SLACK_MM, CannotPrint, LabelStock
from samples.vials.geometry.symbol import GAP_MM, Symbol

# Text, whether bold, size in mm -> width in mm. The drawing side knows the type.
Measure = Callable[[str, bool, float], float]

# Of the type's size: how high its capitals stand.
CAPITALS = 0.72

LEAST_NUMBER_MM = 2.8
# On a cap, where the number is read up close; 5.4 points.
LEAST_ROUND_NUMBER_MM = 1.9
LEAST_SMALL_MM = 1.6

PENCIL_WORDS = ("Species", "Sex", "Total length", "Arm", "Date", "Method", "Guide")
CAUTIONS = (
    "Possession limits and permits still apply.",
    "Careful with the knife. No flames near ethanol.",
)


class TextTooLong(CannotPrint):
    """A text does not fit its label even in the smallest type allowed."""

    code = "text_too_long"

    def __init__(self, text: str, room_mm: float) -> None:
        """Name the text and the room it has."""
        self.text = text
        super().__init__(
            f'"{text}" does not fit in {room_mm:.1f} mm. '
            "Shorten it, or choose a larger label. Nothing was printed."
        )


@dataclass(frozen=True, slots=True)
class Label:
    """What one label says. `link` is None where the number alone is wanted."""

    number: str
    grouped: str
    link: str | None
    lake: str
    season: str


@dataclass(frozen=True, slots=True)
class TextLine:
    """One line of type: the left end of its baseline and its size."""

    text: str
    x_mm: float
    baseline_mm: float
    size_mm: float
    bold: bool = False


@dataclass(frozen=True, slots=True)
class WritingLine:
    """A line to write on, from left to right."""

    left_mm: float
    right_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Everything on one label, from the label's own top left corner.

    `symbol_x_mm` and `symbol_y_mm` are the corner of the quiet zone.
    """

    symbol: Symbol | None
    symbol_x_mm: float
    symbol_y_mm: float
    lines: tuple[TextLine, ...]
    rules: tuple[WritingLine, ...] = ()


def arrange(
    label: Label, stock: LabelStock, symbol: Symbol | None, measure: Measure
) -> Arrangement:
    """Lay out one label; the number is always the largest thing that is read.

    :raises TextTooLong: if the number or the lake does not fit
    """
    if stock.has_pencil_lines:
        return _envelope(label, stock, symbol, measure)
    if stock.is_round:
        return _round(label, stock, symbol, measure)
    return _label(label, stock, symbol, measure)


def _label(label: Label, stock: LabelStock, symbol: Symbol | None, measure: Measure) -> Arrangement:
    """Set the symbol to the left and the text beside it, both in the middle of the height."""
    height = stock.label_height_mm
    side = 0.0 if symbol is None else symbol.side_mm
    left = stock.margin_mm + (side + GAP_MM if symbol else 0.0)
    room = stock.printed_width_mm - stock.margin_mm - left
    most = height * (0.45 if symbol is None else 0.34)
    number_size = _number_size(label.grouped, room, most, measure)
    preferred = min(max(0.14 * height, LEAST_SMALL_MM), 2.5)
    small, small_size = _small_type(label, room, preferred, measure)
    lead = 1.3 * small_size
    drop = CAPITALS * small_size + 0.32 * number_size
    block = CAPITALS * number_size + drop + lead * (len(small) - 1)
    baseline = (height - block) / 2 + CAPITALS * number_size
    if block > height - 2 * stock.margin_mm + SLACK_MM:
        raise TextTooLong(small[-1], room)
    lines = [TextLine(label.grouped, left, baseline, number_size, bold=True)]
    lines += [
        TextLine(text, left, baseline + drop + lead * index, small_size)
        for index, text in enumerate(small)
    ]
    if symbol is None:
        lines = [_centred(line, stock.printed_width_mm, measure) for line in lines]
    return Arrangement(symbol, stock.margin_mm, (height - side) / 2, tuple(lines))


def _round(label: Label, stock: LabelStock, symbol: Symbol | None, measure: Measure) -> Arrangement:
    """Set the year above the middle and the rest of the number below it, the symbol between.

    There is no room for the lake: the vial carries it.
    """
    middle = stock.label_height_mm / 2
    radius = middle - stock.margin_mm
    side = 0.0 if symbol is None else symbol.side_mm
    # The white border of a symbol is space enough between it and the number.
    gap = side / 2 if symbol else 0.08 * radius
    year, rest = label.grouped.split(" ", 1)
    size = min(_size_in_circle(text, gap, radius, measure) for text in (year, rest))
    if size < LEAST_ROUND_NUMBER_MM - SLACK_MM:
        raise TextTooLong(label.grouped, 2 * radius)
    lines = (
        TextLine(year, 0.0, middle - gap, size, bold=True),
        TextLine(rest, 0.0, middle + gap + CAPITALS * size, size, bold=True),
    )
    corner = middle - side / 2
    return Arrangement(
        symbol,
        corner,
        corner,
        tuple(_centred(line, stock.label_width_mm, measure) for line in lines),
    )


def _size_in_circle(text: str, gap: float, radius: float, measure: Measure) -> float:
    """Return the largest type whose far corners lie in a circle, `gap` away from its middle."""
    half = measure(text, True, 1.0) / 2
    # (gap + CAPITALS s)^2 + (half s)^2 = radius^2, solved for the size s.
    square, linear = CAPITALS**2 + half**2, 2 * gap * CAPITALS
    return float((math.sqrt(linear**2 + 4 * square * (radius**2 - gap**2)) - linear) / (2 * square))


def _envelope(
    label: Label, stock: LabelStock, symbol: Symbol | None, measure: Measure
) -> Arrangement:
    """Set number and symbol on top, then a line to write on for every fact of the fish."""
    edge = 4.0
    right = stock.label_width_mm - edge
    # The dark modules end where the written lines end; the quiet zone lies outside.
    symbol_x = right - (symbol.side_mm - symbol.quiet_mm if symbol else 0.0)
    symbol_y = edge - (symbol.quiet_mm if symbol else 0.0)
    room = (symbol_x if symbol else right) - edge
    number_size = _number_size(label.grouped, room, 9.0, measure)
    small, small_size = _small_type(label, room, 2.6, measure)
    number_line = edge + CAPITALS * number_size
    lines = [TextLine(label.grouped, edge, number_line, number_size, bold=True)]
    lines += [
        TextLine(text, edge, number_line + 4.4 + 1.35 * small_size * index, small_size)
        for index, text in enumerate(small)
    ]
    cautions = _cautions(stock, edge, measure)
    first = 26.4
    pitch = (cautions[0].baseline_mm - 6.4 - first) / (len(PENCIL_WORDS) - 1)
    written = [first + pitch * index for index in range(len(PENCIL_WORDS))]
    lines += [TextLine(word, edge, y, 2.6) for word, y in zip(PENCIL_WORDS, written, strict=True)]
    start = edge + max(measure(word, False, 2.6) for word in PENCIL_WORDS) + 1.6
    rules = tuple(WritingLine(start, right, y + 0.4) for y in written)
    return Arrangement(symbol, symbol_x, symbol_y, (*lines, *cautions), rules)


def _cautions(stock: LabelStock, edge: float, measure: Measure) -> list[TextLine]:
    size = 2.1
    room = stock.label_width_mm - 2 * edge
    for text in CAUTIONS:
        _check_fits(text, measure(text, False, size), room)
    last = stock.label_height_mm - edge
    count = len(CAUTIONS)
    return [
        TextLine(text, edge, last - 1.35 * size * (count - 1 - index), size)
        for index, text in enumerate(CAUTIONS)
    ]


def _number_size(number: str, room: float, most: float, measure: Measure) -> float:
    """Set the number as large as its room allows, with a little air beside it."""
    size = min(most, 0.95 * room / measure(number, True, 1.0))
    if size < LEAST_NUMBER_MM - SLACK_MM:
        raise TextTooLong(number, room)
    return size


def _small_type(
    label: Label, room: float, preferred: float, measure: Measure
) -> tuple[tuple[str, ...], float]:
    """Set lake and season on one line, else on two, else on two in the smallest type."""
    together = f"{label.lake} {label.season}".strip()
    if measure(together, False, preferred) <= room:
        return (together,), preferred
    apart = (label.lake, label.season)
    for size in (preferred, LEAST_SMALL_MM):
        if all(measure(text, False, size) <= room for text in apart):
            return apart, size
    longest = max(apart, key=lambda text: measure(text, False, LEAST_SMALL_MM))
    raise TextTooLong(longest, room)


def _check_fits(text: str, width: float, room: float) -> None:
    if width > room + SLACK_MM:
        raise TextTooLong(text, room)


def _centred(line: TextLine, width: float, measure: Measure) -> TextLine:
    taken = measure(line.text, line.bold, line.size_mm)
    return TextLine(line.text, (width - taken) / 2, line.baseline_mm, line.size_mm, bold=line.bold)
