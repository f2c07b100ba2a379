from contextlib import suppress
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.units import (
    LengthUnit,
    LengthUnreadable,
    Measured,
    bin_lower,
    bin_name,
    parse_length,
    to_text,
)

INCH = LengthUnit.INCH
MM = LengthUnit.MILLIMETRE


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("9.4", Measured(23876, INCH, "9.4")),
        ("  9,4 ", Measured(23876, INCH, "9.4")),
        ("9 . 4", Measured(23876, INCH, "9.4")),
        ("09.40", Measured(23876, INCH, "9.4")),
        ("9.4in", Measured(23876, INCH, "9.4")),
        ("9.4 IN.", Measured(23876, INCH, "9.4")),
        ("9.4 inches", Measured(23876, INCH, "9.4")),
        ('9.4"', Measured(23876, INCH, "9.4")),
        ("9.4\u201d", Measured(23876, INCH, "9.4")),
        ("9.4\u2033", Measured(23876, INCH, "9.4")),
        ("9.4''", Measured(23876, INCH, "9.4")),
        ("9.4\u00a0in", Measured(23876, INCH, "9.4")),
        ("\uff19.\uff14", Measured(23876, INCH, "9.4")),
        ("10", Measured(25400, INCH, "10")),
        ("10.", Measured(25400, INCH, "10")),
        ("10.0", Measured(25400, INCH, "10.0")),
        (".9", Measured(2286, INCH, "0.9")),
        ("94", Measured(238760, INCH, "94")),
        ("240 mm", Measured(24000, MM, "240")),
        ("239.5mm", Measured(23950, MM, "239.5")),
        ("24 cm", Measured(24000, MM, "240")),
        ("24,5cm", Measured(24500, MM, "245")),
        ("24.55 cm", Measured(24550, MM, "245.5")),
    ],
)
def test_reads_a_length_typed_where_inches_are_expected(text, expected):
    assert parse_length(text, INCH) == expected


def test_reads_a_length_typed_where_millimetres_are_expected():
    assert parse_length("239", MM) == Measured(23900, MM, "239")
    assert parse_length("9.4 in", MM) == Measured(23876, INCH, "9.4")


@pytest.mark.parametrize(
    ("text", "unit", "code"),
    [
        ("", INCH, "empty"),
        ("  ", MM, "empty"),
        ("-9.4", INCH, "signed"),
        ("+9.4", INCH, "signed"),
        ("\u22129.4", INCH, "signed"),
        ("9.45", INCH, "too_fine"),
        ("9.45 in", MM, "too_fine"),
        ("239.45", MM, "too_fine"),
        ("1,255 mm", INCH, "too_fine"),
        ("0", INCH, "zero"),
        ("0.0 mm", INCH, "zero"),
        ("nine", INCH, "not_a_length"),
        ("in", INCH, "not_a_length"),
        (".", MM, "not_a_length"),
        ("9 4", INCH, "not_a_length"),
        ("9.4.1", INCH, "not_a_length"),
        ("9 1/2", INCH, "not_a_length"),
        ("9.4 ft", INCH, "unknown_unit"),
        ("12345", MM, "too_long"),
    ],
)
def test_says_why_a_length_cannot_be_read(text, unit, code):
    with pytest.raises(LengthUnreadable) as refused:
        parse_length(text, unit)

    assert refused.value.code == code
    assert str(refused.value) == refused.value.sentence


@pytest.mark.parametrize(
    ("hundredths", "unit", "text"),
    [
        (23876, INCH, "9.4"),
        (25400, INCH, "10.0"),
        (23900, INCH, "9.4"),
        (23900, MM, "239"),
        (23940, MM, "239.4"),
        (23876, MM, "239"),
        (23850 + 1, MM, "239"),
    ],
)
def test_writes_a_length_in_a_unit(hundredths, unit, text):
    assert to_text(hundredths, unit) == text


@given(st.integers(1, 99_999), st.sampled_from(LengthUnit))
def test_reads_back_what_it_wrote(tenths, unit):
    measured = parse_length(f"{Decimal(tenths) / 10}", unit)

    assert parse_length(to_text(measured.hundredths_mm, unit), unit).hundredths_mm == (
        measured.hundredths_mm
    )


@given(st.integers(1, 99_999), st.sampled_from(LengthUnit))
def test_keeps_the_number_on_the_measuring_board(tenths, unit):
    measured = parse_length(f"{Decimal(tenths) / 10}", unit)

    assert Decimal(measured.as_measured) * 10 == tenths


@given(st.text(max_size=12))
def test_reads_or_refuses_any_text(text):
    with suppress(LengthUnreadable):
        assert parse_length(text, INCH).hundredths_mm > 0


WIDTHS = [2540, 1270, 1000, 2000, 2500]


@given(st.integers(1, 200_000), st.sampled_from(WIDTHS))
def test_a_bin_holds_its_lower_edge_and_not_its_upper(length, width):
    lower = bin_lower(length, width)

    assert lower % width == 0
    assert lower <= length < lower + width
    assert bin_lower(lower, width) == lower


@pytest.mark.parametrize(
    ("lower", "width", "unit", "name"),
    [
        (25400, 2540, INCH, "10.0-10.9 in"),
        (25400, 1270, INCH, "10.0-10.4 in"),
        (26670, 1270, INCH, "10.5-10.9 in"),
        (0, 2540, INCH, "0.0-0.9 in"),
        (24000, 2000, MM, "240-259 mm"),
        (24000, 1000, MM, "240-249 mm"),
        (25000, 2500, MM, "250-274 mm"),
    ],
)
def test_names_a_bin_by_its_first_and_last_value(lower, width, unit, name):
    assert bin_name(lower, width, unit) == name


@pytest.mark.parametrize(
    ("lower", "width", "unit"),
    [(25400, 0, INCH), (25400, 2000, INCH), (24010, 2000, MM), (25400, 2540, MM)],
)
def test_a_bin_between_marks_of_the_board_has_no_name(lower, width, unit):
    with pytest.raises(ValueError, match=f" {lower}, {width} "):
        bin_name(lower, width, unit)


def test_a_bin_needs_a_width():
    with pytest.raises(ValueError, match="width above 0"):
        bin_lower(25400, 0)
