import re
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.rules import vial_number
from samples.rules.vial_number import (
    NoSuchNumber,
    VialNumber,
    VialNumberUnreadable,
    WrongCheckDigit,
)

YEARS = st.integers(2000, 2099)
PLACES = st.sampled_from([4, 5, 6]).flatmap(
    lambda digits: st.tuples(st.integers(1, 10**digits - 1), st.just(digits))
)


class TestMake:
    def test_puts_year_sequence_and_check_digit_together(self):
        assert vial_number.make(2026, 147, 4) == "2601473"

    def test_takes_a_year_of_two_digits_too(self):
        assert vial_number.make(26, 147, 4) == "2601473"

    @pytest.mark.parametrize(("digits", "length"), [(4, 7), (5, 8), (6, 9)])
    def test_is_as_long_as_its_sequence_asks(self, digits, length):
        assert len(vial_number.make(2026, 1, digits)) == length

    @pytest.mark.parametrize("sequence", [0, -1, 10_000])
    def test_refuses_a_place_outside_the_sequence(self, sequence):
        with pytest.raises(NoSuchNumber) as refused:
            vial_number.make(2026, sequence, 4)

        assert refused.value.code == "no_such_number"

    @pytest.mark.parametrize("digits", [3, 7])
    def test_refuses_a_width_that_no_sequence_has(self, digits):
        with pytest.raises(ValueError, match=f" {digits}"):
            vial_number.make(2026, 1, digits)


class TestParse:
    @pytest.mark.parametrize(
        "text",
        [
            "2601473",
            " 26 0147 3 ",
            "26-0147-3",
            "26\u20130147\u20133",
            "26\u00a00147\u00a03",
            "\uff12\uff16\uff10\uff11\uff14\uff17\uff13",
            "HTTPS://ORRINBECK.EXAMPLE/V/2601473",
            "https://old-host.example:8000/v/2601473/",
            "http://localhost/V/2601473?from=scan",
            "https://v.example/V/2601473#top",
            "orrinbeck.example/V/2601473",
            "/V/2601473",
        ],
    )
    def test_reads_a_number_as_typed_or_scanned(self, text):
        assert vial_number.parse(text) == VialNumber(year2=26, sequence=147, digits=4, check=3)

    @pytest.mark.parametrize(
        ("text", "code"),
        [
            ("", "empty"),
            (" - ", "empty"),
            ("https://orrinbeck.example/V/", "empty"),
            (
                "26O1473",
                "not_digits",
            ),
            (
                "https://orrinbeck.example/2601473",
                "not_digits",
            ),
            (
                "260147",
                "too_short",
            ),
            (
                "2601473000",
                "too_long",
            ),
        ],
    )
    def test_says_why_a_text_is_no_vial_number(self, text, code):
        with pytest.raises(VialNumberUnreadable) as refused:
            vial_number.parse(text)

        assert refused.value.code == code

    def test_marks_no_digit_as_the_wrong_one(self):
        with pytest.raises(WrongCheckDigit) as refused:
            vial_number.parse("26 0147 8")

        assert refused.value.code == "wrong_check_digit"
        assert refused.value.number == "2601478"

    @given(YEARS, PLACES)
    def test_reads_back_every_number_made(self, year, place):
        sequence, digits = place
        number = vial_number.make(year, sequence, digits)

        read = vial_number.parse(number)

        assert (read.year2, read.sequence, read.digits) == (year % 100, sequence, digits)
        assert read.number == number
        assert vial_number.parse(vial_number.grouped(number)) == read
        assert vial_number.parse(vial_number.link("https://orrinbeck.example", number)) == read

    @given(st.text(max_size=12))
    def test_reads_or_refuses_any_text(self, text):
        with suppress(vial_number.VialNumberRefused):
            assert len(vial_number.parse(text).number) in {7, 8, 9}


class TestGrouped:
    @pytest.mark.parametrize(
        ("number", "shown"),
        [("2601473", "26 0147 3"), ("26001470", "26 00147 0"), ("260001470", "26 000147 0")],
    )
    def test_sets_year_sequence_and_check_digit_apart(self, number, shown):
        assert vial_number.grouped(number) == shown

    def test_is_how_a_number_read_is_shown(self):
        assert str(vial_number.parse("2601473")) == "26 0147 3"


class TestStep:
    def test_moves_on_by_one_with_a_new_check_digit(self):
        # The run of vials on the ramp page that was drawn for this product.
        assert vial_number.next_number("2601473") == "2601481"
        assert vial_number.next_number("2601481") == "2601490"
        assert vial_number.next_number("2601490") == "2601504"

    @given(YEARS, st.integers(500, 9000), st.integers(-499, 499))
    def test_goes_there_and_back(self, year, sequence, by):
        number = vial_number.make(year, sequence, 4)

        assert vial_number.step(vial_number.step(number, by), -by) == number

    def test_stops_at_the_end_of_the_sequence(self):
        with pytest.raises(NoSuchNumber):
            vial_number.next_number(vial_number.make(2026, 9999, 4))

    def test_stops_at_the_start_of_the_sequence(self):
        with pytest.raises(NoSuchNumber):
            vial_number.step(vial_number.make(2026, 1, 4), -1)


class TestEndsWith:
    @pytest.mark.parametrize("last_digits", ["147", "1473", "3", "7", "01 47-3", "2601473"])
    def test_matches_with_and_without_the_check_digit(self, last_digits):
        assert vial_number.ends_with("2601473", last_digits)

    @pytest.mark.parametrize("last_digits", ["14", "1474", "", " ", "47x", "02601473"])
    def test_matches_nothing_else(self, last_digits):
        assert not vial_number.ends_with("2601473", last_digits)


class TestLink:
    @pytest.mark.parametrize(
        ("address", "expected"),
        [
            ("https://orrinbeck.example", "HTTPS://ORRINBECK.EXAMPLE/V/2601473"),
            ("https://orrinbeck.example/", "HTTPS://ORRINBECK.EXAMPLE/V/2601473"),
            ("orrinbeck.example", "HTTPS://ORRINBECK.EXAMPLE/V/2601473"),
            ("http://localhost:8000", "HTTP://LOCALHOST:8000/V/2601473"),
        ],
    )
    def test_is_written_in_capitals(self, address, expected):
        assert vial_number.link(address, "2601473") == expected

    @pytest.mark.parametrize("address", ["", "https://", "https://orrinbeck.example/fish"])
    def test_needs_a_host_and_nothing_more(self, address):
        with pytest.raises(ValueError, match=re.escape(repr(address))):
            vial_number.link(address, "2601473")


@pytest.mark.parametrize("last_digits", ["7", "47", "147", "0147", "260147", "3", "473", "9999999"])
def test_numbers_ending_are_those_that_end_so_and_no_others(last_digits):
    every = [vial_number.make(2026, sequence, 4) for sequence in range(95, 420)]
    expected = [one for one in reversed(every) if vial_number.ends_with(one, last_digits)]

    found = vial_number.numbers_ending(last_digits, year=2026, digits=4, sequences=range(95, 420))

    assert list(found) == expected
