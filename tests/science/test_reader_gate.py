"""The reader's gate: what passes, what fails, what cannot be said, and drift."""

import numpy as np
import pytest

from samples.science.errors import CannotEstimate
from samples.science.reader_gate import (
    chance_of_passing,
    difference_interval,
    drift_since_gate,
    exact_interval,
    judge_reader,
)

YOUNG, OLDER = np.tile([1, 2, 3, 4, 5], 10), np.tile([6, 7, 8, 9, 10], 10)


def off_by(ages, *changes):
    """Return the ages with (how many, years) of them changed, in turn from the first."""
    read = ages.copy()
    start = 0
    for count, years in changes:
        read[start : start + count] += years
        start += count
    return read


@pytest.mark.parametrize(
    ("read", "passes"),
    [
        (YOUNG, True),
        # Five of fifty, three up and two down: 90 % exact is enough.
        (off_by(YOUNG, (3, 1), (2, -1)), True),
        (off_by(YOUNG, (3, 1), (3, -1)), False),
        # As few, but all to one side.
        (off_by(YOUNG, (5, 1)), False),
    ],
)
def test_young_ages_are_held_to_90_percent_exact_and_no_bias(read, passes):
    assert judge_reader(YOUNG, read).passes is passes


def test_older_ages_are_held_to_one_year_and_the_cv():
    by_one = off_by(OLDER, (5, 1), (5, -1))
    by_two = off_by(OLDER, (3, 2), (3, -2))
    # All within a year, yet every one off: the CV is above 5 %.
    all_off = OLDER + np.tile([1, -1], 25)

    assert judge_reader(OLDER, by_one).passes is True
    assert judge_reader(OLDER, by_two).older.passes is False
    found = judge_reader(OLDER, all_off)
    assert (found.older.share, found.older.passes) == (1.0, False)
    assert found.older.cv > 5


def test_fewer_than_50_or_groups_too_small_say_nothing():
    assert judge_reader(YOUNG[:49], YOUNG[:49]).passes is None
    mixed = np.concatenate([YOUNG, OLDER[:4]])

    found = judge_reader(mixed, off_by(mixed, (0, 0)))

    assert (found.young.passes, found.older.passes, found.passes) == (True, None, True)
    assert judge_reader(YOUNG, YOUNG).older is None


def test_no_reference_otolith_is_refused():
    with pytest.raises(CannotEstimate) as refused:
        judge_reader([], [])
    assert refused.value.code == "no_fish"


@pytest.mark.parametrize(("n", "share"), [(50, 0.85), (100, 0.9), (57, 0.93)])
def test_the_chance_of_passing_is_that_of_many_readers(n, share):
    """A naive twin: 20,000 readers drawn; a standard deviation is at most 0.0036."""
    right = np.random.default_rng(5).binomial(n, share, 20_000)

    assert chance_of_passing(n, share) == pytest.approx((right >= 0.9 * n - 1e-9).mean(), abs=0.015)


def test_exact_intervals_end_at_none_and_all():
    assert exact_interval(0, 20)[0] == 0
    assert exact_interval(20, 20)[1] == 1


def test_drift_is_told_to_the_bad_side_alone():
    worse = drift_since_gate(YOUNG, YOUNG, YOUNG, off_by(YOUNG, (10, 1), (10, -1)))
    better = drift_since_gate(YOUNG, off_by(YOUNG, (10, 1), (10, -1)), YOUNG, YOUNG)
    biased = drift_since_gate(YOUNG, YOUNG, YOUNG, off_by(YOUNG, (6, 1)))

    assert (worse.drifts, round(worse.change, 2)) == (True, -0.4)
    assert (better.drifts, better.bias_lower) == (False, None)
    assert biased.drifts
    # Six of fifty a year too high: mean 0.12, sd 0.328, 2.0096 standard errors of 0.0464.
    assert (biased.bias, biased.bias_lower) == pytest.approx((0.12, 0.0267), abs=1e-4)


def test_a_change_lies_within_its_interval():
    lower, upper = difference_interval(45, 50, 30, 40)

    assert lower < 45 / 50 - 30 / 40 < upper
