"""Numbers as an office writes them down to be printed again: 12-20, 25."""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass

from samples.rules import vial_number

MOST_PARTS = 200
_BETWEEN_PARTS = re.compile(r"[,;\n]+|\band\b")
_BETWEEN_ENDS = re.compile(r"\s*(?:[-\u2010-\u2015\u2212]|\bto\b)\s*", re.IGNORECASE)


class NumbersRefused(ValueError):
    """What is wrong with the numbers, in a sentence fit to stand beside their field."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class NumberedYear:
    """A year of numbers: how many digits a place in its sequence has."""

    year: int
    digits: int

    def named(self, sequence: int) -> str:
        """Return the number at a place, as on its label."""
        return vial_number.grouped(vial_number.make(self.year, sequence, self.digits))


def parse_numbers(text: str, year: NumberedYear) -> list[tuple[int, int]]:
    """Return the first and last place of each range of a year, in order and apart.

    Whole numbers are welcome, and their places alone: 26 0012 5 - 26 0020 8 is 12-20.

    :raises NumbersRefused: if a part cannot be read, is backwards, or is there twice
    """
    parts = [part.strip() for part in _BETWEEN_PARTS.split(text) if part.strip()]
    if not parts:
        raise NumbersRefused("required", "Enter the numbers to print, such as 12-20, 25.")
    if len(parts) > MOST_PARTS:
        raise NumbersRefused("too_many", f"Enter {MOST_PARTS} ranges at most.")
    ranges = sorted(_range(part, year) for part in parts)
    for (first, last), (following, end) in itertools.pairwise(ranges):
        if following <= last:
            overlap = written([(following, min(last, end))])
            whole = written([(first, max(last, end))])
            raise NumbersRefused(
                "overlap", f"{overlap} would be printed twice. Enter {whole} once."
            )
    return ranges


def written(ranges: list[tuple[int, int]]) -> str:
    """Write ranges as they are typed."""
    return ", ".join(f"{first}-{last}" if first != last else f"{first}" for first, last in ranges)


def _range(part: str, year: NumberedYear) -> tuple[int, int]:
    """Read one part: a number, a place, or two of them with a dash between."""
    ends = [part] if "/" in part else _BETWEEN_ENDS.split(part)
    if len(ends) == 2:
        first, last = (_place(end, year) for end in ends)
        if first > last:
            raise NumbersRefused(
                "backwards",
                f"{part}: the last number comes before the first. Enter {last}-{first}.",
            )
        return first, last
    only = _place(part, year)
    return only, only


def _place(text: str, year: NumberedYear) -> int:
    """Return the place in its year of a number, or of the digits that count there."""
    digits = "".join(text.split())
    if digits.isdecimal() and digits.isascii() and len(digits) <= year.digits:
        place = int(digits)
    else:
        try:
            read = vial_number.parse(text)
        except vial_number.VialNumberRefused as problem:
            raise NumbersRefused(problem.code, problem.sentence) from problem
        if (read.year2, read.digits) != (year.year % 100, year.digits):
            raise NumbersRefused(
                "other_year", f"{read} is not a number of {year.year}. Choose its season."
            )
        place = read.sequence
    if not place:
        raise NumbersRefused("no_such_number", "Vial numbers start at 1.")
    return place
