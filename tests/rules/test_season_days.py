from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.rules.season_days import MonthDay, SpeciesCalendar, day_text


def test_a_date_is_written_as_people_read_it():
    assert day_text(date(2026, 5, 6)) == "May 6, 2026"


class TestMonthDay:
    def test_is_read_from_month_and_day(self):
        assert MonthDay.parse("04-01") == MonthDay(4, 1)
        assert MonthDay.parse(" 4-1 ") == MonthDay(4, 1)

    @given(st.dates(date(2000, 1, 1), date(2000, 12, 31)))
    def test_is_read_back_as_written(self, day):
        month_day = MonthDay(day.month, day.day)

        assert MonthDay.parse(str(month_day)) == month_day
        assert month_day.on(2000) == day

    @pytest.mark.parametrize("text", ["", "04", "0401", "april-1", "13-01", "02-30", "4-", "-4-1"])
    def test_refuses_what_is_no_day_of_the_year(self, text):
        with pytest.raises(ValueError, match=r"day|month"):
            MonthDay.parse(text)

    def test_the_29th_of_february_is_the_28th_where_there_is_none(self):
        assert MonthDay(2, 29).on(2028) == date(2028, 2, 29)
        assert MonthDay(2, 29).on(2026) == date(2026, 2, 28)

    def test_is_shown_as_people_say_it(self):
        assert MonthDay(4, 1).text() == "April 1"


class TestSpeciesCalendar:
    def test_has_the_usual_days_of_spring_spawners(self):
        calendar = SpeciesCalendar()

        assert str(calendar.annulus_starts) == "04-01"
        assert str(calendar.annulus_ends) == "06-30"
        assert str(calendar.hatch) == "05-15"
        assert str(calendar.growth_starts) == "04-15"
        assert str(calendar.growth_ends) == "10-15"

    @pytest.mark.parametrize(
        ("days", "first"),
        [
            ({"annulus_starts": MonthDay(7, 1)}, "annulus"),
            ({"growth_starts": MonthDay(10, 15)}, "Growth"),
            ({"growth_starts": MonthDay(2, 28), "growth_ends": MonthDay(2, 29)}, "Growth"),
            ({"hatch": MonthDay(10, 15)}, "Hatching"),
        ],
    )
    def test_refuses_days_that_do_not_follow_each_other(self, days, first):
        with pytest.raises(ValueError, match=rf"^(The )?{first}"):
            SpeciesCalendar(**days)

    def test_a_window_may_be_a_single_day(self):
        calendar = SpeciesCalendar(annulus_starts=MonthDay(6, 30))

        assert calendar.annulus_starts == calendar.annulus_ends
