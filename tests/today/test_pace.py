"""Fish collected against an even pace, reckoned by hand."""

from datetime import date

import pytest

from samples.models import Season
from samples.targets.queries.set_targets import WantedByBin
from samples.today.presenters.coverage_pace import pace_of

# 100 days from the first to the last.
SEASON = Season(name="2026", starts_on=date(2026, 3, 1), ends_on=date(2026, 6, 9))
HALFWAY = date(2026, 4, 20)
ARM, OTHER_ARM, BIN, NEXT_BIN = 1, 2, 10, 11


def test_counts_what_fills_a_bin_and_no_fish_beyond():
    wanted: WantedByBin = {(None, BIN): 10, (None, NEXT_BIN): 10}
    rows = [(ARM, BIN, HALFWAY, 14), (OTHER_ARM, NEXT_BIN, HALFWAY, 3), (ARM, 99, HALFWAY, 50)]

    pace = pace_of(rows, wanted, SEASON, HALFWAY)

    assert (pace.collected, pace.wanted, pace.even) == (13, 20, 10)


def test_goes_by_the_arms_where_the_lake_has_no_number_of_its_own():
    wanted: WantedByBin = {(ARM, BIN): 4, (OTHER_ARM, BIN): 4}

    pace = pace_of([(ARM, BIN, HALFWAY, 9)], wanted, SEASON, HALFWAY)

    assert (pace.collected, pace.wanted, pace.even) == (4, 8, 4)


def test_minimums_of_arms_lie_within_the_number_of_the_lake():
    wanted = {(None, BIN): 10, (ARM, BIN): 2}

    assert pace_of([], wanted, SEASON, HALFWAY).wanted == 10


def test_without_a_target_there_is_no_pace():
    assert pace_of([(ARM, BIN, HALFWAY, 9)], {}, SEASON, HALFWAY) is None


@pytest.mark.parametrize(
    ("day", "even"),
    [
        (date(2026, 2, 1), 0),
        (date(2026, 3, 1), 0),
        (HALFWAY, 10),
        (date(2026, 6, 9), 20),
        (date(2026, 9, 1), 20),
    ],
)
def test_an_even_pace_runs_from_the_first_day_of_the_season_to_its_last(day, even):
    assert pace_of([], {(None, BIN): 20}, SEASON, day).even == even


def test_the_line_rises_on_the_day_of_the_catch_and_ends_today():
    rows = [(ARM, BIN, date(2026, 3, 21), 5), (ARM, BIN, date(2026, 4, 10), 5), (ARM, BIN, None, 1)]

    pace = pace_of(rows, {(None, BIN): 10}, SEASON, HALFWAY)

    # 112 wide and 32 high inside an edge of 4: 20 days are 22.4, 5 fish are 16.
    assert pace.line == "M4 36H4V32.8H26.4V16.8H48.8V4H60V4"
    assert pace.end == (60.0, 4.0)
