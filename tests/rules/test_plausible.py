from datetime import date

import pytest

from samples.rules.plausible import (
    age_questions,
    date_questions,
    length_questions,
    spine_question,
)
from samples.units import LengthUnit, parse_length

CRAPPIE = (3 * 2540, 17 * 2540)
TODAY = date(2026, 5, 6)


def asked(text, unit, species_range=CRAPPIE):
    length = parse_length(text, LengthUnit(unit))
    return length_questions(
        length.hundredths_mm, length.as_measured, length.unit, species_range, "White crappie"
    )


def facts(questions):
    """Return what questions are about, and what each offers, without their words."""
    return [(one.code, one.field, one.suggestion) for one in questions]


class TestLengthQuestions:
    @pytest.mark.parametrize(
        ("text", "unit", "code", "suggestion"),
        [
            ("94", "in", "missing_point", "9.4"),
            ("104", "in", "missing_point", "10.4"),
            ("30", "in", "missing_point", "3.0"),
            ("240", "in", "millimetres_meant", "240 mm"),
            # A point that was typed was not forgotten, and 94 mm is a small crappie.
            ("94.0", "in", "millimetres_meant", "94 mm"),
            ("2390", "mm", "missing_point", "239"),
            ("2394", "mm", "missing_point", "239.4"),
            ("9.4", "mm", "inches_meant", "9.4 in"),
            ("10", "mm", "inches_meant", "10.0 in"),
            ("24", "mm", "centimetres_meant", "240"),
            ("24.5", "mm", "centimetres_meant", "245"),
        ],
    )
    def test_guesses_what_was_meant(self, text, unit, code, suggestion):
        assert facts(asked(text, unit)) == [(code, "length", suggestion)]

    @pytest.mark.parametrize(
        ("text", "unit"),
        [
            ("19.4", "in"),
            ("20", "in"),
            ("2.9", "in"),
            ("500", "mm"),
        ],
    )
    def test_asks_without_a_guess_where_no_slip_would_explain_it(self, text, unit):
        assert facts(asked(text, unit)) == [("length_out_of_range", "length", None)]

    @pytest.mark.parametrize("text", ["3.0", "9.4", "17.0"])
    def test_asks_nothing_within_the_range_and_at_its_ends(self, text):
        assert asked(text, "in") == ()

    @pytest.mark.parametrize("text", ["2.9", "17.1"])
    def test_asks_a_tenth_beyond_the_ends(self, text):
        assert len(asked(text, "in")) == 1

    def test_does_not_suggest_what_is_unlikely_too(self):
        assert asked("94", "in", (12 * 2540, 40 * 2540))[0].suggestion is None

    def test_asks_nothing_where_no_range_is_known(self):
        assert asked("94", "in", None) == ()

    @pytest.mark.parametrize(("text", "unit"), [("94", "in"), ("240", "in"), ("24", "mm")])
    def test_a_suggestion_can_be_typed_and_raises_no_question(self, text, unit):
        suggestion = asked(text, unit)[0].suggestion

        assert asked(suggestion, unit) == ()


class TestDateQuestions:
    SEASON = (date(2026, 3, 1), date(2026, 6, 30))

    @pytest.mark.parametrize("caught_on", [date(2026, 3, 1), TODAY])
    def test_asks_nothing_about_a_day_of_the_season_up_to_today(self, caught_on):
        assert date_questions(caught_on, TODAY, *self.SEASON) == ()

    @pytest.mark.parametrize("caught_on", [date(2026, 5, 7), date(2027, 1, 1)])
    def test_asks_about_the_future_once(self, caught_on):
        found = date_questions(caught_on, TODAY, *self.SEASON)

        assert facts(found) == [("date_in_future", "caught_on", None)]

    @pytest.mark.parametrize(
        ("season", "caught_on"),
        [
            (
                SEASON,
                date(2026, 2, 28),
            ),
            (
                (date(2026, 3, 1), date(2026, 4, 30)),
                date(2026, 5, 1),
            ),
            (
                (date(2026, 3, 1), None),
                date(2026, 2, 28),
            ),
            (
                (None, date(2026, 4, 30)),
                date(2026, 5, 1),
            ),
        ],
    )
    def test_asks_about_a_day_outside_the_season(self, season, caught_on):
        found = date_questions(caught_on, TODAY, *season)

        assert facts(found) == [("date_out_of_season", "caught_on", None)]

    @pytest.mark.parametrize("caught_on", [date(2026, 1, 1), date(2025, 11, 4)])
    def test_asks_nothing_about_the_last_half_year_where_no_season_is_given(self, caught_on):
        assert date_questions(caught_on, TODAY) == ()

    @pytest.mark.parametrize(
        ("caught_on", "meant"),
        [
            (date(2025, 11, 3), None),
            (date(2025, 5, 6), "2026-05-06"),
            (date(1990, 1, 1), "2026-01-01"),
            (date(2024, 2, 29), None),
        ],
    )
    def test_asks_about_a_slip_in_the_year_and_offers_the_day_meant(self, caught_on, meant):
        found = date_questions(caught_on, TODAY, *self.SEASON)

        assert facts(found) == [("date_last_year", "caught_on", meant)]


class TestSpineQuestion:
    def test_asks_for_a_second_look(self):
        found = spine_question(8, 5, 6, "White crappie")

        assert facts([found]) == [("spines_do_not_fit", "species", None)]

    @pytest.mark.parametrize(("low", "high"), [(None, 6), (9, None)])
    def test_a_range_may_be_open(self, low, high):
        assert spine_question(8, low, high, "White crappie").code == "spines_do_not_fit"

    @pytest.mark.parametrize(
        ("spines", "low", "high"),
        [(5, 5, 6), (6, 5, 6), (3, None, 6), (12, 9, None), (8, None, None), (None, 5, 6)],
    )
    def test_asks_nothing_where_the_count_fits_or_nothing_is_known(self, spines, low, high):
        assert spine_question(spines, low, high, "White crappie") is None


class TestAgeQuestions:
    def test_asks_about_an_age_above_the_highest(self):
        assert facts(age_questions(13, 12)) == [("age_above_highest", "annuli", None)]

    @pytest.mark.parametrize(("age", "highest"), [(12, 12), (0, 12), (None, 12), (40, None)])
    def test_asks_nothing_else(self, age, highest):
        assert age_questions(age, highest) == ()


@pytest.mark.parametrize(("age", "annuli"), [(13, 13), (13, 12), (12, 13), (None, 13)])
def test_a_count_above_the_highest_age_is_asked_about_also_while_the_age_is_open(age, annuli):
    assert facts(age_questions(age, 12, annuli)) == [("age_above_highest", "annuli", None)]


@pytest.mark.parametrize(("age", "annuli"), [(12, 12), (None, 12), (None, None)])
def test_a_count_up_to_the_highest_age_is_not(age, annuli):
    assert age_questions(age, 12, annuli) == ()
