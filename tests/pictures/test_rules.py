"""What a file's name says, and what two points and a distance make."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.pictures.rules import (
    UnlikelyScale,
    numbers_in_name,
    scale_between,
    side_in_name,
)
from samples.rules import vial_number

NUMBER = vial_number.make(2026, 147, 4)
SPACED = vial_number.grouped(NUMBER)
WRONG = NUMBER[:-1] + str((int(NUMBER[-1]) + 1) % 10)


class TestNumbersInName:
    @pytest.mark.parametrize(
        "name",
        [
            f"{NUMBER}.jpg",
            f"{SPACED}.tif",
            f"{SPACED.replace(' ', '-')} left.png",
            f"{SPACED.replace(' ', '_')}_20x.jpg",
            f"IMG_{NUMBER}R.jpg",
            f"20260406_{NUMBER}.jpg",
            f"12 {NUMBER} (2).jpg",
            f"crappie{NUMBER}section.TIFF",
        ],
    )
    def test_finds_the_number_however_it_is_written(self, name):
        assert NUMBER in numbers_in_name(name).numbers

    @pytest.mark.parametrize("name", ["IMG_0001.jpg", f"1{NUMBER}00.jpg", "", "left.png"])
    def test_finds_none_where_there_is_none(self, name):
        assert numbers_in_name(name).numbers == ()

    def test_a_wrong_check_digit_is_told_apart(self):
        assert numbers_in_name(f"{WRONG}.jpg").numbers == ()
        assert numbers_in_name(f"{WRONG}.jpg").wrong == (WRONG,)

    @given(
        st.integers(0, 99),
        st.integers(1, 9999),
        st.sampled_from("_- "),
        st.text("abLR _-", max_size=9),
    )
    def test_any_number_between_any_words(self, year, sequence, between, words):
        number = vial_number.make(2000 + year, sequence, 4)
        written = vial_number.grouped(number).replace(" ", between)

        assert number in numbers_in_name(f"{words}{written}{words}.jpg").numbers


class TestSideInName:
    @pytest.mark.parametrize(
        ("name", "side"),
        [
            (f"{NUMBER} left.jpg", "left"),
            (f"{NUMBER}R.jpg", "right"),
            (f"{NUMBER}_L_20x.jpg", "left"),
            (f"{NUMBER} left and right.jpg", ""),
            (f"{NUMBER} reflected.jpg", ""),
            ("light.r", ""),
        ],
    )
    def test_reads_the_side(self, name, side):
        assert side_in_name(name) == side


class TestScaleBetween:
    SIZE = (2000, 1500)

    def test_is_the_distance_over_the_pixels_between(self):
        # A right triangle of 3, 4 and 5: 1000 px apart.
        assert scale_between((100, 100), (700, 900), 500.0, size=self.SIZE) == pytest.approx(0.5)

    @pytest.mark.parametrize(
        ("first", "last", "um", "code"),
        [
            ((100, 100), (150, 100), 500.0, "points_too_close"),
            ((-1, 0), (900, 0), 500.0, "point_outside"),
            ((0, 0), (900, 1501), 500.0, "point_outside"),
            ((0, 0), (1000, 0), 1.0, "unlikely_scale"),
            ((0, 0), (1000, 0), 1_000_000.0, "unlikely_scale"),
            ((float("nan"), 0), (1000, 0), 500.0, "point_outside"),
        ],
    )
    def test_refuses_what_makes_no_scale(self, first, last, um, code):
        with pytest.raises(UnlikelyScale) as refused:
            scale_between(first, last, um, size=self.SIZE)

        assert refused.value.code == code
