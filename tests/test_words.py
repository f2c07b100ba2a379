"""What is said of a length that cannot be read, on the phone and in the office, word for word."""

import pytest

from samples.units import LengthUnit, LengthUnreadable, parse_length


@pytest.mark.parametrize(
    ("text", "unit", "sentence"),
    [
        ("", "in", "Enter length in inches, such as 10.1."),
        ("  ", "mm", "Enter length in mm, such as 257."),
        ("-9.4", "in", "Enter length without a plus or minus sign."),
        ("9.45", "in", "Enter inches to the tenth, such as 10.1."),
        ("239.45", "mm", "Enter mm to the tenth at most, such as 257."),
        ("0", "in", "Enter a length above 0."),
        ("nine", "in", "Enter length as one number, such as 10.1."),
        (".", "mm", "Enter length as one number, such as 257."),
        ("9.4 ft", "in", "Enter length in inches (in) or millimeters (mm)."),
        ("12345", "mm", "This length has too many digits. Measure again."),
    ],
)
def test_a_length_that_cannot_be_read(text, unit, sentence):
    with pytest.raises(LengthUnreadable) as refused:
        parse_length(text, LengthUnit(unit))

    assert refused.value.sentence == sentence
