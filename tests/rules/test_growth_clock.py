"""The growth clock against seasons worked by hand. Common practice, no source."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.rules.ageing import CannotAge, MonthDay, SpeciesCalendar
from samples.rules.growth_clock import growth_clock

CALENDAR = SpeciesCalendar()


@pytest.mark.parametrize(
    ("age", "caught_on", "clock"),
    [
        (0, date(2026, 5, 15), 0.0),
        (0, date(2026, 6, 14), 30 / 153),
        (0, date(2026, 10, 15), 1.0),
        (0, date(2026, 12, 31), 1.0),
        (1, date(2027, 1, 1), 1.0),
        (1, date(2027, 4, 15), 1.0),
        (1, date(2027, 5, 15), 1 + 30 / 183),
        (1, date(2027, 10, 14), 1 + 182 / 183),
        (1, date(2027, 10, 15), 2.0),
        (2, date(2028, 1, 1), 2.0),
        (4, date(2026, 7, 15), 4 + 91 / 183),
    ],
)
def test_counts_whole_seasons_and_the_part_of_this_one(age, caught_on, clock):
    assert growth_clock(age, caught_on, CALENDAR) == pytest.approx(clock, abs=1e-12)


def test_the_first_season_starts_with_growth_where_hatching_is_earlier():
    early = SpeciesCalendar(hatch=MonthDay(3, 1))

    assert growth_clock(0, date(2026, 3, 1), early) == 0.0
    assert growth_clock(0, date(2026, 4, 15), early) == 0.0
    assert growth_clock(0, date(2026, 5, 15), early) == pytest.approx(30 / 183)


@given(st.integers(1990, 2060), st.integers(0, 3000))
def test_never_runs_back_and_never_leaps_along_the_life_of_a_fish(hatch_year, days):
    today = date(hatch_year, 5, 15) + timedelta(days=days)
    tomorrow = today + timedelta(days=1)

    now = growth_clock(today.year - hatch_year, today, CALENDAR)
    later = growth_clock(tomorrow.year - hatch_year, tomorrow, CALENDAR)

    assert -1e-12 <= later - now <= 1 / 153 + 1e-12


@pytest.mark.parametrize(
    ("age", "caught_on", "code"),
    [
        (-1, date(2026, 7, 1), "negative_age"),
        (0, date(2026, 5, 14), "not_hatched_yet"),
    ],
)
def test_is_refused_for_a_fish_that_cannot_be(age, caught_on, code):
    with pytest.raises(CannotAge) as refused:
        growth_clock(age, caught_on, CALENDAR)

    assert refused.value.code == code
