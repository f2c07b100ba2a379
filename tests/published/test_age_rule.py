"""Ages from count, margin and date on worked cases.

Source of the rule: the 1 January birthdate of VanderKooy (ed.), Gulf States Marine Fisheries
Commission, A Practical Handbook for Determining the Ages of Gulf of Mexico Fishes (Publ. 111, 2003;
2nd ed. Publ. 167, 2009), with a window that has a start as well as an end. The window's start, its
unsettled middle and all numbers here are common practice, no source: constructed cases.
"""

from datetime import date

import pytest

from samples.rules.ageing import (
    MonthDay,
    SpeciesCalendar,
    age_from_reading,
    decimal_age,
    growing_seasons,
    year_class_of,
)
from samples.rules.growth_clock import growth_clock

CALENDAR = SpeciesCalendar(
    annulus_starts=MonthDay.parse("04-01"),
    annulus_ends=MonthDay.parse("06-30"),
    hatch=MonthDay.parse("05-15"),
    growth_starts=MonthDay.parse("04-15"),
    growth_ends=MonthDay.parse("10-15"),
)


# Check T1: age from count, margin and date. Cases 7 and 8 are one cohort over New Year.
@pytest.mark.parametrize(
    ("annuli", "margin", "caught_on", "age", "year_class", "flagged"),
    [
        (2, 4, date(2024, 2, 15), 3, 2021, False),
        (3, 1, date(2024, 5, 10), 3, 2021, False),
        (3, 2, date(2024, 6, 20), 3, 2021, False),
        (2, 4, date(2024, 10, 15), 2, 2022, False),
        (2, 3, date(2024, 9, 1), 2, 2022, False),
        (0, None, date(2024, 3, 1), 1, 2023, False),
        (4, 4, date(2023, 12, 31), 4, 2019, False),
        (4, 4, date(2024, 1, 1), 5, 2019, False),
        (4, 2, date(2026, 3, 10), 5, 2021, True),
        (4, 3, date(2026, 6, 28), None, None, True),
        (4, 1, date(2026, 4, 14), 4, 2022, False),
        (11, 3, date(2026, 10, 15), 11, 2015, False),
        (5, 4, date(2025, 7, 10), 5, 2020, True),
    ],
)
def test_with_a_margin_code(annuli, margin, caught_on, age, year_class, flagged):
    result = age_from_reading(annuli, margin, caught_on, CALENDAR)

    assert (result.age, result.year_class) == (age, year_class)
    assert bool(result.flags) is flagged
    assert result.settled is (age is not None)


# Check T3: count and date without a margin code. In the first case no annulus shows at the edge.
@pytest.mark.parametrize(
    ("annuli", "annulus_at_edge", "caught_on", "age", "year_class", "flagged"),
    [
        (3, False, date(2024, 2, 10), 4, 2020, True),
        (3, None, date(2024, 9, 10), 3, 2021, True),
        (4, None, date(2026, 4, 14), None, None, True),
        (0, None, date(2026, 3, 5), 1, 2025, False),
    ],
)
def test_without_a_margin_code(annuli, annulus_at_edge, caught_on, age, year_class, flagged):
    result = age_from_reading(annuli, None, caught_on, CALENDAR, annulus_at_edge=annulus_at_edge)

    assert (result.age, result.year_class) == (age, year_class)
    assert bool(result.flags) is flagged


# Check T4: decimal age and growing seasons; tolerance 0.001. The growth clock of the same fish is
# worked by hand: before growth starts 4 whole seasons, on its last day 12.
@pytest.mark.parametrize(
    ("age", "caught_on", "year_class", "decimal", "seasons", "clock"),
    [
        (4, date(2026, 4, 14), 2022, 3.915, 4, 4.0),
        (11, date(2026, 10, 15), 2015, 11.42, 12, 12.0),
    ],
)
def test_decimal_age_and_growing_seasons(age, caught_on, year_class, decimal, seasons, clock):
    assert year_class_of(age, caught_on, CALENDAR) == year_class
    assert decimal_age(year_class, caught_on, CALENDAR) == pytest.approx(decimal, abs=0.001)
    assert growing_seasons(age, caught_on, CALENDAR) == seasons
    assert growth_clock(age, caught_on, CALENDAR) == pytest.approx(clock, abs=1e-12)


# Worked in the description of the rule (common practice, no source): from the reading onwards.
@pytest.mark.parametrize(
    ("annuli", "margin", "caught_on", "age", "decimal", "seasons"),
    [
        (4, 1, date(2026, 4, 14), 4, 3.9, 4),
        (11, 3, date(2026, 10, 15), 11, 11.4, 12),
    ],
    ids=["mid-April, the fourth annulus on the edge", "mid-October, eleven annuli"],
)
def test_worked_from_the_reading(annuli, margin, caught_on, age, decimal, seasons):
    result = age_from_reading(annuli, margin, caught_on, CALENDAR)

    assert result.age == age
    assert result.year_class == caught_on.year - age
    assert decimal_age(result.year_class, caught_on, CALENDAR) == pytest.approx(decimal, abs=0.05)
    assert growing_seasons(age, caught_on, CALENDAR) == seasons


# Worked example of growth on two scales (own simulation, no source): Linf 320, K 0.4, t0 -0.1, all
# growth from 15 May to 15 October. A fish is 257.4 mm at 3.41 years and 257.9 mm at 3.91.
@pytest.mark.parametrize(
    ("age", "caught_on", "decimal", "length_mm"),
    [(3, date(2025, 10, 12), 3.41, 257.4), (4, date(2026, 4, 12), 3.91, 257.9)],
)
def test_the_growth_clock_stands_still_in_winter(age, caught_on, decimal, length_mm):
    summer = SpeciesCalendar(growth_starts=MonthDay(5, 15))
    clock = growth_clock(age, caught_on, summer)

    assert decimal_age(2022, caught_on, summer) == pytest.approx(decimal, abs=0.01)
    grown_mm = 320 * (1 - 2.718281828459045 ** (-0.4 * (clock + 0.1)))
    assert grown_mm == pytest.approx(length_mm, abs=0.1)
