"""Lengths as old spreadsheets have them: finer than a measuring board, and with quarters."""

import re
from decimal import ROUND_HALF_UP, Decimal

from samples.units import (
    HUNDREDTHS_PER_INCH,
    HUNDREDTHS_PER_MILLIMETRE,
    LengthUnit,
    LengthUnreadable,
    Measured,
    parse_length,
)

_WITH_FRACTION = re.compile(
    r"(?:(?P<whole>\d{1,3})[ -]?)??(?P<over>\d)/(?P<under>2|4|8|16)\s*(?:\"|in)?", re.ASCII
)
_FINE = re.compile(r"(?P<value>\d{0,4}[.,]\d{2,})\s*(?P<unit>mm|cm|in)?", re.ASCII)
_HUNDREDTHS = {
    LengthUnit.INCH: HUNDREDTHS_PER_INCH,
    LengthUnit.MILLIMETRE: HUNDREDTHS_PER_MILLIMETRE,
}
_MOST_CHARACTERS = 10


def read_length(text: str, unit: str) -> tuple[Measured, bool]:
    """Read a length of a spreadsheet; the second value says that it had to be rounded.

    A length is kept in hundredths of a millimetre, so millimetres to the hundredth and
    quarters of an inch are kept exactly. What is finer is rounded to the nearest.

    :raises LengthUnreadable: if it is no length
    """
    plain = " ".join(text.split())
    try:
        return _as_at_the_ramp(plain, unit), False
    except LengthUnreadable:
        # Finer than any measuring board shows: what the ramp refuses, a spreadsheet may hold.
        if fraction := _WITH_FRACTION.fullmatch(plain):
            return _of_fraction(fraction)
        fine = _FINE.fullmatch(plain)
        if fine is None:
            raise
        value = Decimal(fine["value"].replace(",", "."))
        measured_in = fine["unit"] or unit
        return _kept(value * 10, "mm") if measured_in == "cm" else _kept(value, measured_in)


def _as_at_the_ramp(plain: str, unit: str) -> Measured:
    if unit == "cm":
        return parse_length(f"{plain} cm" if plain else plain, LengthUnit.MILLIMETRE)
    return parse_length(plain, LengthUnit(unit))


def _of_fraction(found: re.Match[str]) -> tuple[Measured, bool]:
    """Quarters and the like are of inches: nobody writes half a millimetre as a fraction."""
    value = Decimal(int(found["whole"] or 0)) + Decimal(found["over"]) / Decimal(found["under"])
    return _kept(value, "in")


def _kept(value: Decimal, measured_in: str) -> tuple[Measured, bool]:
    unit = LengthUnit(measured_in)
    exact = value * _HUNDREDTHS[unit]
    hundredths = exact.quantize(Decimal(1), rounding=ROUND_HALF_UP)
    if not hundredths:
        raise LengthUnreadable("zero", "Give a length above 0.")
    trimmed = value.normalize()
    shown = trimmed if trimmed.as_tuple().exponent < 0 else trimmed.quantize(Decimal("0.1"))
    return Measured(int(hundredths), unit, f"{shown:f}"[:_MOST_CHARACTERS]), exact != hundredths
