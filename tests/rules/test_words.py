"""What people are asked and told by the rules that stages share, word for word."""

from datetime import date

import pytest

from samples.rules import vial_number
from samples.rules.ageing import (
    CannotAge,
    MonthDay,
    SpeciesCalendar,
    age_from_reading,
    decimal_age,
)
from samples.rules.plausible import (
    age_questions,
    date_questions,
    length_questions,
    spine_question,
)
from samples.rules.vial_number import VialNumberRefused
from samples.units import LengthUnit, parse_length

CALENDAR = SpeciesCalendar()
TODAY = date(2026, 5, 6)
SEASON = (date(2026, 3, 1), date(2026, 6, 30))


def sentences(questions):
    return [question.sentence for question in questions]


def asked_of_length(text, unit):
    length = parse_length(text, LengthUnit(unit))
    return length_questions(
        length.hundredths_mm, length.as_measured, length.unit, (7620, 43180), "White crappie"
    )


@pytest.mark.parametrize(
    ("text", "unit", "sentence"),
    [
        ("94", "in", "Is this 9.4 inches?"),
        ("240", "in", "Is this 240 mm?"),
        ("2394", "mm", "Is this 239.4 mm?"),
        ("10", "mm", "Is this 10.0 inches?"),
        ("20", "in", "White crappie here run from 3 to 17 inches. Is 20 right?"),
        ("500", "mm", "White crappie here run from 76.2 to 431.8 mm. Is 500 right?"),
    ],
)
def test_a_length_that_is_asked_about(text, unit, sentence):
    assert sentences(asked_of_length(text, unit)) == [sentence]


@pytest.mark.parametrize(
    ("season", "caught_on", "sentence"),
    [
        (SEASON, date(2026, 5, 7), "The date is after today."),
        (SEASON, date(2025, 11, 3), "November 3, 2025 is last year."),
        (SEASON, date(1990, 1, 1), "January 1, 1990 is 36 years ago."),
        (
            SEASON,
            date(2026, 2, 28),
            "February 28, 2026 is outside the season, March 1, 2026 to June 30, 2026.",
        ),
        (
            (date(2026, 3, 1), None),
            date(2026, 2, 28),
            "February 28, 2026 is outside the season, from March 1, 2026.",
        ),
        (
            (None, date(2026, 4, 30)),
            date(2026, 5, 1),
            "May 1, 2026 is outside the season, to April 30, 2026.",
        ),
    ],
)
def test_a_day_that_is_asked_about(season, caught_on, sentence):
    asked = date_questions(caught_on, TODAY, *season)

    assert sentences(asked) == [f"{sentence} When was the fish caught?"]


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [(5, 6, "5 to 6 spines"), (None, 6, "6 spines or fewer"), (9, None, "9 spines or more")],
)
def test_spines_that_are_asked_about(low, high, words):
    assert spine_question(8, low, high, "White crappie").sentence == (
        f"White crappie: {words} on the top fin, and 8 counted. "
        "The first is short and easily missed. Is the species right?"
    )


@pytest.mark.parametrize(
    ("age", "annuli", "said"),
    [
        (13, 12, "Age 13 is above 12, the maximum set for this lake. Is this the right vial?"),
        (None, 13, "13 annuli are more than 12"),
    ],
)
def test_an_age_that_is_asked_about(age, annuli, said):
    [sentence] = sentences(age_questions(age, 12, annuli))

    assert sentence.startswith(said)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "Enter the number on the vial's label."),
        ("26O1473", "A vial number has digits only. Type the digits on the label."),
        ("260147", "This vial number is too short: 6 of at least 7 digits. Read the label again."),
        (
            "2601473000",
            "This vial number is too long: 10 digits, and 9 is the most. Read the label again.",
        ),
        (
            "26 0147 8",
            "26 0147 8 is not one of our vial numbers. Check every digit against the label.",
        ),
    ],
)
def test_a_vial_number_that_is_none(text, sentence):
    with pytest.raises(VialNumberRefused) as refused:
        vial_number.parse(text)

    assert refused.value.sentence == sentence


def test_a_vial_number_beyond_the_sequence():
    with pytest.raises(VialNumberRefused) as refused:
        vial_number.make(2026, 10_000, 4)

    assert refused.value.sentence == "The vial numbers of 26 run from 0001 to 9999."


class TestAges:
    def test_which_row_decided(self):
        found = age_from_reading(4, 2, date(2026, 3, 10), CALENDAR)
        single = age_from_reading(1, 4, date(2026, 3, 10), CALENDAR)

        assert found.sentence == (
            "Caught before April 1, this year's annulus not formed yet: 4 annuli plus one, age 5."
        )
        assert found.flag_sentences == (
            "Little growth this early in the year: look at the edge again.",
        )
        assert single.sentence.endswith("1 annulus plus one, age 2.")

    def test_a_fish_that_had_not_hatched(self):
        with pytest.raises(CannotAge) as refused:
            decimal_age(2026, date(2026, 5, 14), CALENDAR)

        assert refused.value.sentence == (
            "The 2026 year class hatched on or after May 15, 2026; "
            "this fish was caught May 14, 2026."
        )

    @pytest.mark.parametrize(
        ("days", "sentence"),
        [
            ({"annulus_starts": MonthDay(7, 1)}, "The annulus window must start before it ends"),
            ({"growth_starts": MonthDay(10, 15)}, "Growth must start before it ends"),
            ({"hatch": MonthDay(10, 15)}, "Hatching must come before growth ends"),
        ],
    )
    def test_days_that_do_not_follow_each_other(self, days, sentence):
        with pytest.raises(ValueError, match=sentence):
            SpeciesCalendar(**days)
