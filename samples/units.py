"""Lengths in inches and millimetres, held exactly as hundredths of a millimetre.

One inch is 25.4 mm by definition, so a tenth of an inch is 254 hundredths of a millimetre and
no length that can be read off a measuring board is ever rounded when it is stored.
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

HUNDREDTHS_PER_INCH = 2540
HUNDREDTHS_PER_MILLIMETRE = 100


class LengthUnit(StrEnum):
    """The unit in which a fish was measured."""

    INCH = "in"
    MILLIMETRE = "mm"


class LengthUnreadable(ValueError):
    """Say in a sentence fit to stand next to the field why a length could not be read."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class Measured:
    """A length as stored, beside what the measuring board said."""

    hundredths_mm: int
    unit: LengthUnit
    as_measured: str


@dataclass(frozen=True, slots=True)
class _Scale:
    """What one unit is worth, how it is spoken of, and the sentence for a value too fine for it."""

    hundredths: int
    name: str
    example: str
    too_fine: str


_SCALES = {
    LengthUnit.INCH: _Scale(
        HUNDREDTHS_PER_INCH, "inches", "10.1", "Enter inches to the tenth, such as 10.1."
    ),
    LengthUnit.MILLIMETRE: _Scale(
        HUNDREDTHS_PER_MILLIMETRE, "mm", "257", "Enter mm to the tenth at most, such as 257."
    ),
}

# Every way of writing a unit, with the unit that is kept and the factor to come to it.
_SPELLINGS = {
    **dict.fromkeys(('"', "in", "in.", "inch", "inches"), (LengthUnit.INCH, 1)),
    **dict.fromkeys(
        ("mm", "mm.", "millimetre", "millimetres", "millimeter", "millimeters"),
        (LengthUnit.MILLIMETRE, 1),
    ),
    **dict.fromkeys(
        ("cm", "cm.", "centimetre", "centimetres", "centimeter", "centimeters"),
        (LengthUnit.MILLIMETRE, 10),
    ),
}

# Phones put curly quotes and primes where an inch mark was meant; two single ones are one mark.
_INCH_MARKS = re.compile("[\u2033\u201c\u201d\u201e\u02ba]|[\u2032\u2018\u2019']{2}")
_SIGNS = re.compile("[-+\u2010-\u2015\u2212]")
_LENGTH = re.compile(
    r"(?P<whole>[0-9]*)(?:\s*[.,]\s*(?P<part>[0-9]*))?\s*(?P<unit>\"|[a-z]+\.?)?", re.ASCII
)
# Longer than any fish even where the point was left out (39.4 in typed as 394).
_MOST_WHOLE_DIGITS = 4


def parse_length(text: str, unit: LengthUnit) -> Measured:
    """Read a typed length; a unit written in the value wins over the one that was expected.

    A decimal comma and stray spaces are accepted. Inches and millimetres are kept to the tenth;
    centimetres become millimetres. Whether the length is likely is not judged here.

    :raises LengthUnreadable: if it is not one positive number that the unit can hold
    """
    cleaned = unicodedata.normalize("NFKC", _INCH_MARKS.sub('"', text)).strip().lower()
    if not cleaned:
        raise LengthUnreadable(
            "empty", f"Enter length in {_SCALES[unit].name}, such as {_SCALES[unit].example}."
        )
    if _SIGNS.search(cleaned):
        raise LengthUnreadable("signed", "Enter length without a plus or minus sign.")
    match = _LENGTH.fullmatch(cleaned)
    if match is None or not (match["whole"] or match["part"]):
        raise LengthUnreadable(
            "not_a_length", f"Enter length as one number, such as {_SCALES[unit].example}."
        )
    measured_in, factor = _unit_of(match["unit"], unit)
    value = _decimal(match["whole"], match["part"])
    return _measured(value if factor == 1 else _without_spare_tenth(value * factor), measured_in)


def _decimal(whole: str, part: str | None) -> Decimal:
    digits = whole.lstrip("0") or "0"
    if len(digits) > _MOST_WHOLE_DIGITS:
        raise LengthUnreadable("too_long", "This length has too many digits. Measure again.")
    return Decimal(f"{digits}.{part}") if part else Decimal(digits)


def _without_spare_tenth(value: Decimal) -> Decimal:
    """Leave out the tenth that multiplying brought in: 24.5 cm is 245 mm, not 245.0."""
    return value.quantize(Decimal(1)) if value % 1 == 0 else value


def _unit_of(spelling: str | None, expected: LengthUnit) -> tuple[LengthUnit, int]:
    if spelling is None:
        return expected, 1
    try:
        return _SPELLINGS[spelling]
    except KeyError:
        raise LengthUnreadable(
            "unknown_unit", "Enter length in inches (in) or millimeters (mm)."
        ) from None


def _measured(value: Decimal, unit: LengthUnit) -> Measured:
    scale = _SCALES[unit]
    if value * 10 % 1:
        raise LengthUnreadable("too_fine", scale.too_fine)
    if not value:
        raise LengthUnreadable("zero", "Enter a length above 0.")
    # 9.40 says no more than 9.4, but 10.0 says that the tenth was read.
    shown = str(value.quantize(Decimal("0.1"))) if value.as_tuple().exponent else str(value)
    return Measured(int(value * scale.hundredths), unit, shown)


def to_text(hundredths_mm: int, unit: LengthUnit) -> str:
    """Write a stored length in a unit: inches to the tenth, millimetres whole.

    A tenth of a millimetre is written where the length has one. A length that was measured in the
    other unit is rounded to the nearest: take its bin from the stored length, never from this text.
    """
    if unit is LengthUnit.INCH:
        return _rounded(Decimal(hundredths_mm) / HUNDREDTHS_PER_INCH, "0.1")
    exact_tenth = hundredths_mm % HUNDREDTHS_PER_MILLIMETRE and hundredths_mm % 10 == 0
    return _rounded(
        Decimal(hundredths_mm) / HUNDREDTHS_PER_MILLIMETRE, "0.1" if exact_tenth else "1"
    )


def _rounded(value: Decimal, step: str) -> str:
    return str(value.quantize(Decimal(step), rounding=ROUND_HALF_UP))


def bin_lower(length_hundredths: int, width_hundredths: int) -> int:
    """Return the lower edge of the length bin that holds a length; the edge belongs to its bin.

    :raises ValueError: if the width is not above 0
    """
    if width_hundredths <= 0:
        msg = f"a bin needs a width above 0, not {width_hundredths}"
        raise ValueError(msg)
    return length_hundredths - length_hundredths % width_hundredths


def bin_name(lower_hundredths: int, width_hundredths: int, unit: LengthUnit) -> str:
    """Name a bin by the first and last value that a measuring board can show in it.

    10.0-10.9 in holds every length from 10.0 in to just under 11.0 in; 240-259 mm likewise.

    :raises ValueError: if the edges are no whole tenths of an inch or no whole millimetres
    """
    step = HUNDREDTHS_PER_INCH // 10 if unit is LengthUnit.INCH else HUNDREDTHS_PER_MILLIMETRE
    if width_hundredths <= 0 or lower_hundredths % step or width_hundredths % step:
        msg = f"a bin from {lower_hundredths}, {width_hundredths} wide, has no name in {unit}"
        raise ValueError(msg)
    last = lower_hundredths + width_hundredths - step
    return f"{to_text(lower_hundredths, unit)}-{to_text(last, unit)} {unit}"
