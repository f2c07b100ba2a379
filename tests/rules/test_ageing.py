"""The ageing rule row by row, at both ends of every part of the year.

Common practice, no source.
"""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.rules.ageing import (
    FLAGS,
    TABLE,
    CannotAge,
    MonthDay,
    SpeciesCalendar,
    age_from_reading,
    decimal_age,
    growing_seasons,
    margin_needed,
    year_class_of,
)
from samples.rules.ageing_table import AUTUMN_MINUS_ONE, Edge

CALENDAR = SpeciesCalendar()
NEW_YEAR = date(2026, 1, 1)
BEFORE_WINDOW = date(2026, 3, 31)
WINDOW_STARTS = date(2026, 4, 1)
WINDOW_ENDS = date(2026, 6, 30)
AFTER_WINDOW = date(2026, 7, 1)
LAST_LATE_DAY = date(2026, 7, 30)
NO_LONGER_LATE = date(2026, 7, 31)
LAST_OF_SUMMER = date(2026, 9, 30)
AUTUMN = date(2026, 10, 1)
YEARS_END = date(2026, 12, 31)

DAYS = st.dates(date(1990, 1, 1), date(2060, 12, 31))


@st.composite
def calendars(draw):
    days = st.dates(date(2001, 1, 1), date(2001, 12, 31)).map(lambda d: MonthDay(d.month, d.day))
    starts, ends = sorted(draw(st.tuples(days, days)))
    growth_starts, growth_ends = sorted(draw(st.tuples(days, days).filter(lambda d: d[0] != d[1])))
    return SpeciesCalendar(
        annulus_starts=starts,
        annulus_ends=ends,
        hatch=draw(days.filter(lambda day: day < growth_ends)),
        growth_starts=growth_starts,
        growth_ends=growth_ends,
    )


@pytest.mark.parametrize(
    ("caught_on", "margin", "age", "rule", "flags"),
    [
        (NEW_YEAR, 1, 4, "before_annulus", ("early_annulus",)),
        (NEW_YEAR, 2, 5, "before_narrow", ("narrow_before_window",)),
        (NEW_YEAR, 3, 5, "before_wide", ()),
        (NEW_YEAR, 4, 5, "before_wide", ()),
        (BEFORE_WINDOW, 1, 4, "before_annulus", ("early_annulus",)),
        (BEFORE_WINDOW, 2, 5, "before_narrow", ("narrow_before_window",)),
        (BEFORE_WINDOW, 3, 5, "before_wide", ()),
        (BEFORE_WINDOW, 4, 5, "before_wide", ()),
        (WINDOW_STARTS, 1, 4, "within_laid", ()),
        (WINDOW_STARTS, 2, 4, "within_laid", ()),
        (WINDOW_STARTS, 3, None, "within_middle", ("middle_in_window",)),
        (WINDOW_STARTS, 4, 5, "within_wide", ()),
        (WINDOW_ENDS, 1, 4, "within_laid", ()),
        (WINDOW_ENDS, 2, 4, "within_laid", ()),
        (WINDOW_ENDS, 3, None, "within_middle", ("middle_in_window",)),
        (WINDOW_ENDS, 4, 5, "within_wide", ()),
        (AFTER_WINDOW, 1, 4, "after", ()),
        (AFTER_WINDOW, 2, 4, "after", ()),
        (AFTER_WINDOW, 3, 4, "after", ()),
        (AFTER_WINDOW, 4, 4, "after_wide", ("late_annulus",)),
        (LAST_LATE_DAY, 4, 4, "after_wide", ("late_annulus",)),
        (NO_LONGER_LATE, 4, 4, "after", ()),
        (LAST_OF_SUMMER, 1, 4, "after", ()),
        (AUTUMN, 1, 4, "after_annulus_autumn", ("autumn_annulus",)),
        (AUTUMN, 2, 4, "after", ()),
        (AUTUMN, 4, 4, "after", ()),
        (YEARS_END, 1, 4, "after_annulus_autumn", ("autumn_annulus",)),
        (YEARS_END, 4, 4, "after", ()),
    ],
)
def test_every_margin_code_at_both_ends_of_its_part_of_the_year(
    caught_on, margin, age, rule, flags
):
    result = age_from_reading(4, margin, caught_on, CALENDAR)

    assert (result.age, result.rule, result.flags) == (age, rule, flags)
    assert result.year_class == (None if age is None else 2026 - age)


@pytest.mark.parametrize(
    ("caught_on", "at_edge", "age", "rule", "flags"),
    [
        (NEW_YEAR, False, 5, "before_no_code", ("no_margin_code",)),
        (NEW_YEAR, True, 4, "before_no_code_annulus", ("no_margin_code", "early_annulus")),
        (NEW_YEAR, None, 5, "before_edge_not_said", ("no_margin_code", "edge_not_said")),
        (BEFORE_WINDOW, False, 5, "before_no_code", ("no_margin_code",)),
        (BEFORE_WINDOW, True, 4, "before_no_code_annulus", ("no_margin_code", "early_annulus")),
        (BEFORE_WINDOW, None, 5, "before_edge_not_said", ("no_margin_code", "edge_not_said")),
        (WINDOW_STARTS, None, None, "within_no_code", ("no_margin_code",)),
        (WINDOW_STARTS, True, None, "within_no_code", ("no_margin_code",)),
        (WINDOW_ENDS, False, None, "within_no_code", ("no_margin_code",)),
        (AFTER_WINDOW, None, 4, "after_no_code", ("no_margin_code",)),
        (AFTER_WINDOW, True, 4, "after_no_code", ("no_margin_code",)),
        (YEARS_END, False, 4, "after_no_code", ("no_margin_code",)),
    ],
)
def test_a_reading_without_a_margin_code(caught_on, at_edge, age, rule, flags):
    result = age_from_reading(4, None, caught_on, CALENDAR, annulus_at_edge=at_edge)

    assert (result.age, result.rule, result.flags) == (age, rule, flags)


@pytest.mark.parametrize(
    ("caught_on", "margin", "age", "rule"),
    [
        (LAST_OF_SUMMER, 1, 4, "after"),
        (AUTUMN, 1, 3, "after_annulus_autumn_minus_one"),
        (YEARS_END, 1, 3, "after_annulus_autumn_minus_one"),
        (AUTUMN, 2, 4, "after"),
        (BEFORE_WINDOW, 1, 4, "before_annulus"),
    ],
)
def test_an_autumn_annulus_is_next_years_only_where_switched_on(caught_on, margin, age, rule):
    result = age_from_reading(4, margin, caught_on, CALENDAR, early_annulus_minus_one=True)

    assert (result.age, result.rule) == (age, rule)
    assert ("autumn_annulus" in result.flags) is (rule == "after_annulus_autumn_minus_one")


class TestWithoutAnnuli:
    @pytest.mark.parametrize("caught_on", [NEW_YEAR, BEFORE_WINDOW, date(2026, 5, 14)])
    def test_hatched_last_year_until_hatching_begins(self, caught_on):
        result = age_from_reading(0, None, caught_on, CALENDAR)

        assert (result.age, result.year_class, result.rule) == (1, 2025, "none_before_hatch")
        assert result.flags == ()

    @pytest.mark.parametrize("caught_on", [date(2026, 5, 15), AFTER_WINDOW, YEARS_END])
    @pytest.mark.parametrize(
        ("length", "age", "rule"),
        [(9999, 0, "none_short"), (10000, 0, "none_short"), (10001, 1, "none_long")],
    )
    def test_is_told_by_length_from_the_day_of_hatching(self, caught_on, length, age, rule):
        result = age_from_reading(
            0,
            None,
            caught_on,
            CALENDAR,
            length_hundredths_mm=length,
            age0_max_length_hundredths_mm=10000,
        )

        assert (result.age, result.year_class, result.rule) == (age, 2026 - age, rule)
        assert result.flags == ("told_by_length",)

    @pytest.mark.parametrize(("length", "longest"), [(None, 10000), (9000, None), (None, None)])
    def test_is_not_settled_where_a_length_is_not_known(self, length, longest):
        result = age_from_reading(
            0,
            None,
            AFTER_WINDOW,
            CALENDAR,
            length_hundredths_mm=length,
            age0_max_length_hundredths_mm=longest,
        )

        assert not result.settled
        assert (result.age, result.year_class) == (None, None)
        assert result.flags == ("length_cannot_tell",)


@pytest.mark.parametrize(
    ("annuli", "margin", "at_edge", "code"),
    [
        (-1, None, None, "negative_count"),
        (4, 0, None, "unknown_margin"),
        (4, 5, None, "unknown_margin"),
        (0, 1, None, "margin_without_annuli"),
        (0, None, True, "margin_without_annuli"),
        (4, 1, False, "margin_contradicts_edge"),
        (4, 2, True, "margin_contradicts_edge"),
    ],
)
def test_refuses_what_cannot_be_one_reading(annuli, margin, at_edge, code):
    with pytest.raises(CannotAge) as refused:
        age_from_reading(annuli, margin, AFTER_WINDOW, CALENDAR, annulus_at_edge=at_edge)

    assert refused.value.code == code
    assert refused.value.sentence.endswith(".")


def test_an_edge_that_says_the_same_as_the_code_changes_nothing():
    said = age_from_reading(4, 1, NEW_YEAR, CALENDAR, annulus_at_edge=True)

    assert said == age_from_reading(4, 1, NEW_YEAR, CALENDAR)


def test_every_flag_has_its_words_and_every_row_its_own_code():
    rows = [*TABLE, AUTUMN_MINUS_ONE]

    assert {flag for row in rows for flag in row.flags} <= set(FLAGS)
    assert len({row.code for row in rows}) == len(rows)
    assert {edge for row in TABLE for edge in row.edges} == set(Edge)


@pytest.mark.parametrize(
    ("caught_on", "needed"),
    [
        (BEFORE_WINDOW, False),
        (WINDOW_STARTS, True),
        (WINDOW_ENDS, True),
        (AFTER_WINDOW, False),
    ],
)
def test_a_margin_code_is_needed_inside_the_window(caught_on, needed):
    assert margin_needed(caught_on, CALENDAR) is needed


@given(DAYS, calendars(), st.integers(1, 40))
def test_without_a_code_there_is_an_age_just_where_none_is_needed(caught_on, calendar, annuli):
    result = age_from_reading(annuli, None, caught_on, calendar)

    assert result.settled is not margin_needed(caught_on, calendar)


@given(
    st.integers(1990, 2060),
    st.integers(1, 40),
    st.sampled_from([1, 2, 3, 4, None]),
)
def test_a_cohort_keeps_its_year_class_through_new_year(year, annuli, margin):
    # An annulus at the edge in December belongs to next year: only then do the days agree.
    december, january = (
        age_from_reading(annuli, margin, day, CALENDAR, early_annulus_minus_one=True)
        for day in (date(year, 12, 31), date(year + 1, 1, 1))
    )

    assert december.year_class == january.year_class
    assert december.age is not None
    assert january.age == december.age + 1


@given(st.integers(1990, 2060), st.integers(1, 10000))
def test_a_young_cohort_keeps_its_year_class_too(year, length):
    december, january = (
        age_from_reading(
            0,
            None,
            day,
            CALENDAR,
            length_hundredths_mm=length,
            age0_max_length_hundredths_mm=10000,
        )
        for day in (date(year, 12, 31), date(year + 1, 1, 1))
    )

    assert december.year_class == january.year_class == year


@given(
    DAYS,
    calendars(),
    st.integers(0, 40),
    st.sampled_from([1, 2, 3, 4, None]),
    st.none() | st.integers(1, 20000),
    st.booleans(),
)
def test_no_reading_comes_to_a_negative_decimal_age(
    caught_on, calendar, annuli, margin, length, minus_one
):
    result = age_from_reading(
        annuli,
        margin if annuli else None,
        caught_on,
        calendar,
        length_hundredths_mm=length,
        age0_max_length_hundredths_mm=10000,
        early_annulus_minus_one=minus_one,
    )

    if result.age is None:
        assert result.year_class is None
        assert result.flags
    else:
        assert result.age >= 0
        assert result.year_class == caught_on.year - result.age
        assert decimal_age(result.year_class, caught_on, calendar) >= 0
        assert growing_seasons(result.age, caught_on, calendar) >= result.age


def test_an_autumn_annulus_cannot_make_a_fish_younger_than_its_hatching():
    late = SpeciesCalendar(hatch=MonthDay(11, 1), growth_ends=MonthDay(12, 1))

    result = age_from_reading(1, 1, AUTUMN, late, early_annulus_minus_one=True)

    assert not result.settled
    assert result.flags == ("autumn_annulus", "not_hatched_yet")


class TestDecimalAge:
    def test_is_0_on_the_day_of_hatching(self):
        assert decimal_age(2026, date(2026, 5, 15), CALENDAR) == 0.0

    def test_counts_days_over_the_mean_length_of_a_year(self):
        assert decimal_age(2022, date(2026, 5, 15), CALENDAR) == 4.0
        assert decimal_age(2025, date(2026, 5, 15), CALENDAR) == pytest.approx(365 / 365.25)

    def test_is_refused_before_hatching(self):
        with pytest.raises(CannotAge) as refused:
            decimal_age(2026, date(2026, 5, 14), CALENDAR)

        assert refused.value.code == "not_hatched_yet"


class TestGrowingSeasons:
    @pytest.mark.parametrize(
        ("age", "caught_on", "seasons"),
        [
            (4, date(2026, 4, 14), 4),
            (4, date(2026, 4, 15), 5),
            (4, YEARS_END, 5),
            (5, date(2027, 1, 1), 5),
            (0, date(2026, 5, 15), 1),
            (1, date(2027, 1, 1), 1),
        ],
    )
    def test_moves_on_when_growth_starts(self, age, caught_on, seasons):
        assert growing_seasons(age, caught_on, CALENDAR) == seasons

    @pytest.mark.parametrize(
        ("age", "caught_on", "code"),
        [(-1, AFTER_WINDOW, "negative_age"), (0, date(2026, 5, 14), "not_hatched_yet")],
    )
    def test_is_refused_for_a_fish_that_cannot_be(self, age, caught_on, code):
        with pytest.raises(CannotAge) as refused:
            growing_seasons(age, caught_on, CALENDAR)

        assert refused.value.code == code


def test_year_class_is_the_year_of_capture_less_the_age():
    assert year_class_of(4, date(2026, 4, 14), CALENDAR) == 2022


@given(DAYS, calendars(), st.integers(1, 40))
def test_growing_seasons_never_fall_from_one_day_to_the_next(caught_on, calendar, age):
    next_day = caught_on + timedelta(days=1)
    next_age = age + next_day.year - caught_on.year

    step = growing_seasons(next_age, next_day, calendar) - growing_seasons(age, caught_on, calendar)
    assert step in {0, 1}
