"""The number of a vial: the season's two-digit year, a sequence and one check digit.

The check digit is that of ISO/IEC 7064 MOD 11,10. Numbers are digits only, so that a phone's
digit pad serves; they are printed in groups (26 0147 3) and never used twice.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from heapq import merge
from itertools import groupby
from urllib.parse import urlsplit

from stdnum.iso7064 import mod_11_10

YEAR_DIGITS = 2
SEQUENCE_DIGITS = (4, 5, 6)

_SHORTEST = YEAR_DIGITS + min(SEQUENCE_DIGITS) + 1
_LONGEST = YEAR_DIGITS + max(SEQUENCE_DIGITS) + 1
_DIGITS = re.compile("[0-9]+")
# Spaces and every hyphen or dash that a keyboard may put between the groups.
_BETWEEN_GROUPS = re.compile("[\\s\u00ad\u2010-\u2015\u2212-]+")
# The digits stand at the end of a scanned link; whose link it is, is asked of `link_host`.
_LINK = re.compile(r"/v/([^/?#]*)/?(?:[?#].*)?", re.IGNORECASE)


class VialNumberRefused(ValueError):
    """Say in a sentence fit to stand next to the field what is wrong with a vial number."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence


class VialNumberUnreadable(VialNumberRefused):
    """The text does not have the form of a vial number."""


class WrongCheckDigit(VialNumberRefused):
    """The text has the form of a vial number, but its last digit does not fit the others."""

    def __init__(self, number: str) -> None:
        super().__init__(
            "wrong_check_digit",
            f"{grouped(number)} is not one of our vial numbers. "
            "Check every digit against the label.",
        )
        self.number = number


class NoSuchNumber(VialNumberRefused):
    """The sequence has no such number: it starts at 1 and ends with its digits."""

    def __init__(self, year: int, digits: int) -> None:
        last = 10**digits - 1
        super().__init__(
            "no_such_number",
            f"The vial numbers of {year % 100:02d} run from {1:0{digits}d} to {last}.",
        )


@dataclass(frozen=True, slots=True)
class VialNumber:
    """The parts of a vial number whose check digit is right."""

    year2: int
    sequence: int
    digits: int
    check: int

    @property
    def number(self) -> str:
        """Return the number as stored, digits only."""
        return f"{self.year2:02d}{self.sequence:0{self.digits}d}{self.check}"

    def __str__(self) -> str:
        return grouped(self.number)


def make(year: int, sequence: int, digits: int) -> str:
    """Make the number of the vial that comes at a place in a year's sequence.

    :raises NoSuchNumber: if the sequence has no such place
    :raises ValueError: if a sequence cannot have so many digits
    """
    if digits not in SEQUENCE_DIGITS:
        msg = f"a sequence has {SEQUENCE_DIGITS} digits, not {digits}"
        raise ValueError(msg)
    if not 1 <= sequence < 10**digits:
        raise NoSuchNumber(year, digits)
    body = f"{year % 100:02d}{sequence:0{digits}d}"
    return body + mod_11_10.calc_check_digit(body)


def parse(text: str) -> VialNumber:
    """Read a vial number as typed, with spaces or hyphens, or as the whole link of its label.

    :raises VialNumberUnreadable: if the text does not have the form of a vial number
    :raises WrongCheckDigit: if the last digit does not fit the others
    """
    number = _plain_digits(text)
    body, check = number[:-1], number[-1]
    if check != mod_11_10.calc_check_digit(body):
        raise WrongCheckDigit(number)
    sequence = body[YEAR_DIGITS:]
    return VialNumber(int(body[:YEAR_DIGITS]), int(sequence), len(sequence), int(check))


@dataclass(frozen=True, slots=True)
class TypedVial:
    """A vial number as it was typed, and what it was read as: one of ours, or what is wrong."""

    text: str = ""
    number: str | None = field(default=None, compare=False)
    problem: VialNumberRefused | None = field(default=None, compare=False, repr=False)

    def __bool__(self) -> bool:
        return bool(self.text)

    @property
    def as_printed(self) -> str:
        """Return the number in groups as on its label, or the text where it is no number of
        ours.
        """
        return grouped(self.number) if self.number else self.text


def read_vial(text: str) -> TypedVial:
    """Read a vial number and keep what was typed beside it."""
    try:
        return TypedVial(text, number=parse(text).number)
    except VialNumberRefused as problem:
        return TypedVial(text, problem=problem)


def _plain_digits(text: str) -> str:
    """Take the digits out of what was typed or scanned; the check digit is not looked at."""
    typed = unicodedata.normalize("NFKC", text).strip()
    link = _LINK.search(typed)
    digits = _BETWEEN_GROUPS.sub("", link[1] if link else typed)
    if not digits:
        raise VialNumberUnreadable("empty", "Enter the number on the vial's label.")
    if not _DIGITS.fullmatch(digits):
        raise VialNumberUnreadable(
            "not_digits", "A vial number has digits only. Type the digits on the label."
        )
    if len(digits) < _SHORTEST:
        raise VialNumberUnreadable(
            "too_short",
            f"This vial number is too short: {len(digits)} of at least {_SHORTEST} digits. "
            "Read the label again.",
        )
    if len(digits) > _LONGEST:
        raise VialNumberUnreadable(
            "too_long",
            f"This vial number is too long: {len(digits)} digits, and {_LONGEST} is the most. "
            "Read the label again.",
        )
    return digits


def link_host(text: str) -> str:
    """Return the host of a scanned link, or nothing where no link was typed."""
    typed = unicodedata.normalize("NFKC", text).strip()
    found = _LINK.search(typed)
    address = typed[: found.start()] if found else typed if "://" in typed else ""
    try:
        return urlsplit(address if "://" in address else f"//{address}").hostname or ""
    except ValueError:  # brackets that are no address
        return address


def grouped(number: str) -> str:
    """Write a number in groups as on its label: year, sequence, check digit.

    The check digit is not judged, so that a number under question can be shown too.

    :raises VialNumberUnreadable: if it does not have the form of a vial number
    """
    digits = _plain_digits(number)
    return f"{digits[:YEAR_DIGITS]} {digits[YEAR_DIGITS:-1]} {digits[-1]}"


def next_number(number: str) -> str:
    """Return the number that follows in the sequence, with its own check digit.

    :raises VialNumberRefused: if the number is not one, or is the last of its sequence
    """
    return step(number, 1)


def step(number: str, offset: int) -> str:
    """Return the number so many places further on (or back) in the same year's sequence.

    :raises VialNumberRefused: if the number is not one, or the sequence ends before
    """
    vial = parse(number)
    return make(vial.year2, vial.sequence + offset, vial.digits)


def number_after(number: str, offset: int) -> str | None:
    """Return the number so many places on, or None where the sequence ends before."""
    try:
        return step(number, offset)
    except VialNumberRefused:
        return None


def ends_with(number: str, last_digits: str) -> bool:
    """Return whether a number ends with these digits, its check digit counted or left out."""
    wanted = _BETWEEN_GROUPS.sub("", unicodedata.normalize("NFKC", last_digits))
    if not _DIGITS.fullmatch(wanted):
        return False
    return number.endswith(wanted) or number[:-1].endswith(wanted)


def numbers_ending(last_digits: str, *, year: int, digits: int, sequences: range) -> Iterator[str]:
    """Yield the numbers of a stretch of a year's sequence that end with these digits, last first.

    The check digit is counted or left out. Numbers are made, not looked up, so that a database
    is asked for whole numbers, which it finds by their index.
    """
    if not _DIGITS.fullmatch(last_digits):
        return
    places = (_places(tail[-digits:], sequences) for tail in (last_digits, last_digits[:-1]))
    for sequence, _ in groupby(merge(*places, reverse=True)):
        number = make(year, sequence, digits)
        if ends_with(number, last_digits):
            yield number


def _places(tail: str, sequences: range) -> Iterator[int]:
    """Return the places of a stretch whose last digits are these, the last place first."""
    every = 10 ** len(tail)
    first = sequences.start + (int(tail or 0) - sequences.start) % every
    return reversed(range(first, sequences.stop, every))


def near(typed: str, numbers: Iterable[str]) -> list[str]:
    """Return those numbers that one slip of a key turns into what was typed.

    A digit typed wrong, left out or typed twice, or two neighbours in the wrong order. A check
    digit that does not fit says that there is such a slip and not where it is.
    """
    digits = _BETWEEN_GROUPS.sub("", unicodedata.normalize("NFKC", typed))
    if not _DIGITS.fullmatch(digits):
        return []
    return sorted(number for number in numbers if _one_slip(digits, number))


def _one_slip(typed: str, number: str) -> bool:
    pairs = zip(typed, number, strict=False)
    start = next((place for place, (one, other) in enumerate(pairs) if one != other), None)
    if start is None:
        return abs(len(typed) - len(number)) == 1
    rest, due = typed[start:], number[start:]
    swapped = rest[:2] == due[1::-1] and rest[2:] == due[2:]
    return swapped or rest[1:] == due[1:] or rest[1:] == due or rest == due[1:]


def no_vial_ends_so(last_digits: str, example: str = "") -> str:
    """Return the message that no vial in somebody's hands ends in these digits."""
    such_as = f", such as {grouped(example)}" if example else " on the label"
    return f"No vial in your hands ends in {last_digits}. Enter the whole number{such_as}."


def link(public_address: str, number: str) -> str:
    """Write the link of a label in capitals, which a QR symbol holds in fewer modules.

    :raises ValueError: if the address is more than a scheme and a host, for a path in capitals
        is another path
    """
    address = public_address.strip()
    parts = urlsplit(address if "://" in address else f"https://{address}")
    if not parts.netloc or parts.path.strip("/") or parts.query or parts.fragment:
        msg = f"the public address must be a scheme and a host alone, not {public_address!r}"
        raise ValueError(msg)
    return f"{parts.scheme}://{parts.netloc}/V/{number}".upper()
