"""Inches in hundredths of a millimetre.

Source: international yard and pound agreement, 1959: 1 yard = 0.9144 m, so 1 inch is
25.4 mm exactly.
"""

from fractions import Fraction

import pytest

from samples.units import LengthUnit, bin_lower, bin_name, parse_length, to_text

MM_PER_INCH = Fraction(9144, 10) / 36
INCH_BIN = 2540
HALF_INCH_BIN = 1270


def test_the_inch_of_1959():
    assert Fraction(254, 10) == MM_PER_INCH
    assert parse_length("1", LengthUnit.INCH).hundredths_mm == MM_PER_INCH * 100


@pytest.mark.parametrize("tenths", range(10, 401))
def test_every_tenth_of_an_inch_is_exact_and_in_its_own_bin(tenths):
    whole, tenth = divmod(tenths, 10)
    text = f"{whole}.{tenth}"

    length = parse_length(text, LengthUnit.INCH).hundredths_mm

    assert Fraction(length, 100) == Fraction(tenths, 10) * MM_PER_INCH
    assert to_text(length, LengthUnit.INCH) == text
    lower = bin_lower(length, INCH_BIN)
    assert Fraction(lower, 100) == whole * MM_PER_INCH
    assert bin_name(lower, INCH_BIN, LengthUnit.INCH) == f"{whole}.0-{whole}.9 in"
    half = bin_name(bin_lower(length, HALF_INCH_BIN), HALF_INCH_BIN, LengthUnit.INCH)
    assert half == (f"{whole}.0-{whole}.4 in" if tenth < 5 else f"{whole}.5-{whole}.9 in")


def test_a_fish_just_under_ten_inches_stays_below_in_either_unit():
    # 253.9 mm is 9.996 in: rounding before binning would lift it into the next bin.
    length = parse_length("253.9 mm", LengthUnit.INCH).hundredths_mm

    assert bin_name(bin_lower(length, INCH_BIN), INCH_BIN, LengthUnit.INCH) == "9.0-9.9 in"
