"""Verdicts as the page shows them: each change as a dot with its interval, on one scale."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from samples.findings.page_model import (
    DASH,
    Cell,
    End,
    Estimate,
    GroupVerdict,
    Missing,
    Verdicts,
)
from samples.rules.number_text import MINUS, number_text

WIDTH, MIDDLE, PAD = 220.0, 11.0, 8.0
Place = Callable[[float], str]
STEP, LEAST, MOST = 50.0, -100.0, 200.0


@dataclass(frozen=True, slots=True)
class HtmlTick:
    """A number of the scale and where it stands, in units of the drawing."""

    text: str
    x: str
    anchor: str


@dataclass(frozen=True, slots=True)
class HtmlChange:
    """A change: its interval from ``low`` to ``high`` and its dot, in units of the drawing."""

    low: str
    high: str
    dot: str


@dataclass(frozen=True, slots=True)
class HtmlVerdict:
    """A row of ``findings/verdicts.html``."""

    row: GroupVerdict
    change: HtmlChange | None
    value: str
    interval: str
    others: list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class HtmlVerdicts:
    """What ``findings/verdicts.html`` writes."""

    what: str
    question: str
    change_head: str
    other_heads: Sequence[str]
    start: str
    zero: str
    end: str
    ticks: list[HtmlTick]
    rows: list[HtmlVerdict]


def verdicts_as_html(found: Verdicts) -> HtmlVerdicts:
    """Return verdicts as text, and as places on a scale from a loss of all to the largest gain."""
    highest = max((_highest(row.change) for row in found.rows), default=0.0)
    most = min(MOST, max(STEP, STEP * math.ceil(highest / STEP)))

    def at(value: float) -> str:
        share = (min(max(value, LEAST), most) - LEAST) / (most - LEAST)
        return f"{PAD + share * (WIDTH - 2 * PAD):.1f}".removesuffix(".0")

    rows = [
        HtmlVerdict(
            row,
            _change(row.change, at),
            *_in_words(row.change),
            [
                (head, _percent(cell))
                for head, cell in zip(found.other_heads, row.others, strict=True)
            ],
        )
        for row in found.rows
    ]
    ticks = [
        HtmlTick(f"{MINUS}{-LEAST:.0f}%", "2", "start"),
        HtmlTick("0", at(0), "middle"),
        HtmlTick(f"+{most:.0f}%", f"{WIDTH - 2:.0f}", "end"),
    ]
    return HtmlVerdicts(
        found.what, found.question, found.change_head, found.other_heads,
        at(LEAST), at(0), at(most), ticks, rows,
    )  # fmt: skip


def _highest(change: Cell) -> float:
    ends = [part.value for part in change.parts if not isinstance(part.value, str)]
    return max(map(float, ends), default=0.0)


def _change(change: Estimate | Missing, at: Place) -> HtmlChange | None:
    values = {part.name: float(part.value) for part in change.parts}
    if not values.keys() >= {"", "low", "high"}:
        return None
    return HtmlChange(at(values["low"]), at(values["high"]), at(values[""]))


def _in_words(change: Estimate | Missing) -> tuple[str, str]:
    """Return a change and its interval."""
    if isinstance(change, Missing) or isinstance(change.value, Missing):
        return change.text, ""
    return _percent(change), f"({_signed(change.low)} to {_signed(change.high)})"


def _percent(cell: Cell) -> str:
    """Return the value of a change alone; a cell without one as it is."""
    if not isinstance(cell, Estimate) or isinstance(cell.value, Missing):
        return cell.text
    return f"{_signed(cell.value)}%"


def _signed(end: End) -> str:
    if end is None or isinstance(end, Missing):
        return DASH if end is None else end.text
    return number_text(end, signed=True)
