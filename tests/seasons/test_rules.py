"""Weeks of a season, and which season came before it."""

from dataclasses import dataclass
from datetime import date

import pytest

from samples.seasons.rules import SeasonWeeks, moved, season_before

WEEKS = SeasonWeeks(date(2026, 2, 15), date(2026, 3, 10))  # 24 days: three weeks and three days


@dataclass(frozen=True)
class Dates:
    starts_on: date
    ends_on: date


def test_a_last_week_may_be_shorter():
    assert (WEEKS.days, WEEKS.count, WEEKS.whole) == (24, 4, 3)


@pytest.mark.parametrize(
    ("day", "week"),
    [
        (date(2026, 2, 1), 0),
        (date(2026, 2, 15), 0),
        (date(2026, 2, 21), 0),
        (date(2026, 2, 22), 1),
        (date(2026, 3, 10), 3),
        (date(2026, 4, 1), 3),
    ],
)
def test_days_beside_the_season_are_of_its_first_and_last_week(day, week):
    assert WEEKS.week_of(day) == week


@pytest.mark.parametrize(
    ("day", "full", "left"),
    [
        pytest.param(date(2026, 2, 1), 0, [1, 1, 1, 3 / 7], id="before it"),
        pytest.param(date(2026, 2, 15), 0, [6 / 7, 1, 1, 3 / 7], id="on its first day"),
        pytest.param(date(2026, 2, 21), 1, [1, 1, 3 / 7], id="at the end of a week"),
        pytest.param(date(2026, 3, 9), 3, [1 / 7], id="on its last day but one"),
        pytest.param(date(2026, 3, 10), 3, [], id="on its last day"),
        pytest.param(date(2026, 5, 1), 3, [], id="after it"),
    ],
)
def test_what_is_over_and_what_is_left_make_a_season(day, full, left):
    assert WEEKS.full_weeks_before(day) == full
    assert WEEKS.steps_left(day) == pytest.approx(left)
    assert WEEKS.days_before(day) + 7 * sum(left) == pytest.approx(24)


SPRING_25 = Dates(date(2025, 2, 15), date(2025, 6, 30))
SPRING_24 = Dates(date(2024, 2, 15), date(2024, 6, 30))
AUTUMN_25 = Dates(date(2025, 9, 1), date(2025, 11, 30))
WINTER_25 = Dates(date(2024, 11, 1), date(2025, 2, 28))
SPRING_26 = Dates(date(2026, 2, 15), date(2026, 6, 30))


@pytest.mark.parametrize(
    ("others", "before"),
    [
        pytest.param([SPRING_24, SPRING_25, AUTUMN_25], SPRING_25, id="of the same time of year"),
        pytest.param([SPRING_24, SPRING_26], SPRING_24, id="two years ago"),
        pytest.param([AUTUMN_25], None, id="none at this time of year"),
        pytest.param([SPRING_26], None, id="not itself"),
    ],
)
def test_the_season_before_is_of_an_earlier_year_at_the_same_time(others, before):
    assert season_before(SPRING_26, others) == before


def test_a_day_that_a_year_lacks_is_the_one_before():
    assert moved(date(2024, 2, 29), 1) == date(2025, 2, 28)
    assert moved(date(2024, 2, 28), 1) == date(2025, 2, 28)
