"""Values of a table's cells: what a page writes, and the numbers that a file holds instead.

``text`` is what a page shows, rounded; ``parts`` are what a file keeps, at full precision, each in
a column of its own; ``note`` says in words what no number can, such as why there is none.
"""

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

from samples.rules.number_text import PERCENT, number_text, with_unit
from samples.units import HUNDREDTHS_PER_INCH, LengthUnit, bin_name, to_text

Scalar: TypeAlias = float | int | str
DASH, DOT = "–", "·"
NO_END = "no end"


class Part(NamedTuple):
    """One value of a cell in a file; ``name`` is empty for the value itself, else such as "low"."""

    name: str
    value: Scalar
    unit: str = ""
    decimals: int | None = None
    signed: bool = False


class Cell(ABC):
    """A value of a table."""

    __slots__ = ()

    @property
    @abstractmethod
    def text(self) -> str:
        """Return what a page writes."""

    @property
    @abstractmethod
    def parts(self) -> tuple[Part, ...]:
        """Return what a file holds."""

    @property
    def note(self) -> str:
        """Return what no number says."""
        return ""


@dataclass(frozen=True, slots=True)
class Text(Cell):
    """Words; never a number."""

    words: str

    @property
    def text(self) -> str:
        return self.words

    @property
    def parts(self) -> tuple[Part, ...]:
        return (Part("", self.words),)


@dataclass(frozen=True, slots=True)
class Missing(Cell):
    """No number, and why: shown as a dash, or as the words that stand in its place."""

    reason: str = ""
    words: str = DASH

    @property
    def text(self) -> str:
        return self.words

    @property
    def parts(self) -> tuple[Part, ...]:
        return ()

    @property
    def note(self) -> str:
        return self.reason


def in_words(words: str) -> Missing:
    """Return words in the place of a number, such as "never" or "more than 5"."""
    return Missing(words, words)


@dataclass(frozen=True, slots=True)
class Number(Cell):
    """A number, rounded on the page; ``unit`` is written behind it there."""

    value: float
    decimals: int = 0
    unit: str = ""
    signed: bool = False

    @property
    def text(self) -> str:
        number = number_text(self.value, self.decimals, signed=self.signed)
        return with_unit(number, self.unit)

    @property
    def parts(self) -> tuple[Part, ...]:
        return (Part("", float(self.value), self.unit, self.decimals, self.signed),)


@dataclass(frozen=True, slots=True)
class Count(Cell):
    """A whole number: of fish, of years, an age, or a year. ``shown`` stands for a plain 0."""

    value: int
    shown: str = ""

    @property
    def text(self) -> str:
        return self.shown or str(self.value)

    @property
    def parts(self) -> tuple[Part, ...]:
        return (Part("", int(self.value), "", 0),)


@dataclass(frozen=True, slots=True)
class Share(Cell):
    """A share of 1, written in percent; with the sign where the head of the column has none.

    ``shown`` stands for a plain 0.
    """

    value: float
    decimals: int = 0
    with_sign: bool = False
    shown: str = ""

    @property
    def text(self) -> str:
        if self.shown:
            return self.shown
        number = number_text(100 * self.value, self.decimals)
        return with_unit(number, PERCENT if self.with_sign else "")

    @property
    def parts(self) -> tuple[Part, ...]:
        return (Part("", 100 * float(self.value), PERCENT, self.decimals),)


@dataclass(frozen=True, slots=True)
class PValue(Cell):
    """The p of a test: never written as 0."""

    value: float

    @property
    def text(self) -> str:
        return "< 0.001" if self.value < 0.001 else f"{self.value:.3f}"

    @property
    def parts(self) -> tuple[Part, ...]:
        return (Part("", float(self.value), "", 4),)


@dataclass(frozen=True, slots=True)
class Length(Cell):
    """A length of a fish, written to the tenth of an inch or the whole millimeter."""

    mm: float
    unit: LengthUnit
    with_unit: bool = False

    @property
    def text(self) -> str:
        number = to_text(round(self.mm * 100), self.unit)
        return f"{number} {self.unit.value}" if self.with_unit else number

    @property
    def parts(self) -> tuple[Part, ...]:
        return (_length_part("", self.mm, self.unit),)


@dataclass(frozen=True, slots=True)
class LengthBin(Cell):
    """A length bin, in hundredths of a millimeter: from its low up to below the next."""

    low: int
    width: int
    unit: LengthUnit

    @property
    def text(self) -> str:
        return bin_name(self.low, self.width, self.unit)

    @property
    def parts(self) -> tuple[Part, ...]:
        ends = (("low", self.low), ("below", self.low + self.width))
        return tuple(_length_part(name, end / 100, self.unit) for name, end in ends)


End: TypeAlias = float | Missing | None


@dataclass(frozen=True, slots=True)
class Interval(Cell):
    """The ends of an interval; an end may be open (None) or said in words."""

    low: End
    high: End
    decimals: int = 1
    unit: str = ""
    reason: str = ""

    @property
    def text(self) -> str:
        if self.low is None and self.high is None:
            return DASH
        if isinstance(self.low, Missing) and self.low == self.high:
            return self.low.text
        return f"{self._end(self.low)} to {self._end(self.high)}"

    def _end(self, end: End) -> str:
        if end is None:
            return NO_END
        if isinstance(end, Missing):
            return end.text
        return number_text(end, self.decimals)

    @property
    def parts(self) -> tuple[Part, ...]:
        return _ends(self.low, self.high, self.unit, self.decimals)

    @property
    def note(self) -> str:
        if self.low is None and self.high is None:
            return self.reason
        if isinstance(self.low, Missing) and self.low == self.high:
            return self.low.reason
        return _said((("low", self.low), ("high", self.high)))


@dataclass(frozen=True, slots=True)
class Estimate(Cell):
    """A value with its interval in one cell, such as +12 (-2 to +22)."""

    value: float | Missing
    low: End
    high: End
    decimals: int = 0
    unit: str = ""
    signed: bool = False

    @property
    def text(self) -> str:
        value, low, high = (self._one(one) for one in (self.value, self.low, self.high))
        if isinstance(self.value, Missing) and value == low == high:
            return value
        return f"{with_unit(value, self.unit)} ({low} to {high})"

    def _one(self, one: End) -> str:
        if one is None:
            return NO_END
        if isinstance(one, Missing):
            return one.text
        return number_text(one, self.decimals, signed=self.signed)

    @property
    def parts(self) -> tuple[Part, ...]:
        ends = _ends(self.low, self.high, self.unit, self.decimals, signed=self.signed)
        if isinstance(self.value, Missing):
            return ends
        return (Part("", float(self.value), self.unit, self.decimals, self.signed), *ends)

    @property
    def note(self) -> str:
        return _said((("", self.value), ("low", self.low), ("high", self.high)))


@dataclass(frozen=True, slots=True)
class Joined(Cell):
    """Several values that a page writes in one cell: ``pattern`` holds a {} for each."""

    pattern: str
    named: tuple[tuple[str, Cell], ...]

    @property
    def text(self) -> str:
        return self.pattern.format(*(cell.text for _, cell in self.named))

    @property
    def parts(self) -> tuple[Part, ...]:
        return tuple(
            part._replace(name=f"{name} {part.name}".strip())
            for name, cell in self.named
            for part in cell.parts
        )

    @property
    def note(self) -> str:
        return "; ".join(cell.note for _, cell in self.named if cell.note)


def _length_part(name: str, mm: float, unit: LengthUnit) -> Part:
    inches = unit is LengthUnit.INCH
    value = float(mm) * 100 / HUNDREDTHS_PER_INCH if inches else float(mm)
    return Part(name, value, unit.value, 1 if inches else 0)


def _ends(
    low: End, high: End, unit: str, decimals: int, *, signed: bool = False
) -> tuple[Part, ...]:
    return tuple(
        Part(name, float(end), unit, decimals, signed)
        for name, end in (("low", low), ("high", high))
        if end is not None and not isinstance(end, Missing)
    )


def _said(ends: tuple[tuple[str, End], ...]) -> str:
    """Return what of an interval is said in words, such as "high: never"."""
    words = [(name, end.reason) for name, end in ends if isinstance(end, Missing)]
    if len(words) == len(ends) and len({reason for _, reason in words}) == 1:
        return words[0][1]
    return "; ".join(f"{name}: {reason}" if name else reason for name, reason in words)


def interval(lower: float | None, upper: float | None, digits: int = 1) -> Interval:
    """Return an interval as 9.1 to 9.8; a dash where the data set no end."""
    return Interval(lower, upper, digits)


def percent_interval(lower: float | None, upper: float | None, digits: int = 1) -> Interval:
    """Return an interval of shares of 1, in percent; the head of its column has the sign."""
    low, high = (None if end is None else 100 * end for end in (lower, upper))
    return Interval(low, high, digits)
