"""Fishing by tags beside fishing by total mortality, and the reporting rate."""

import numpy as np
import pytest

from samples.science.errors import CannotEstimate
from samples.science.length_limit.inputs import Tags, taken_by_tags
from samples.science.tags import compare_fishing, draw_reporting_rate

OUT, HIGH = 600, 200
TAKEN, REPORTED = 0.35, 0.55


def rng(seed=1):
    return np.random.default_rng(seed)


def test_reporting_is_measured_against_high_reward_tags():
    """(33 / 300) / (40 / 200) = 0.55: the formula of Pollock et al. (2001), worked by hand."""
    drawn = draw_reporting_rate(
        rng(), 40_000, standard_out=300, standard_returned=33, high_out=200, high_returned=40
    )

    assert np.median(drawn) == pytest.approx(0.55, abs=0.02)


def test_intervals_of_a_measured_reporting_rate_hold_the_truth():
    held = []
    for seed in range(200):
        random = rng(seed)
        back = random.binomial(OUT, TAKEN * REPORTED)
        high = random.binomial(HIGH, TAKEN)
        drawn = draw_reporting_rate(
            random, 1_000, standard_out=OUT, standard_returned=back, high_out=HIGH,
            high_returned=high,
        )  # fmt: skip
        low, upper = np.quantile(drawn, (0.025, 0.975))
        held.append(low <= REPORTED <= upper)

    assert 0.91 <= np.mean(held) <= 0.99


def test_few_high_reward_returns_measure_nothing():
    with pytest.raises(CannotEstimate) as refused:
        draw_reporting_rate(
            rng(), 10, standard_out=300, standard_returned=33, high_out=20, high_returned=9
        )

    assert refused.value.code == "too_few_returns"


def test_measured_reporting_is_used_in_place_of_the_range_entered():
    entered = Tags(OUT, 120, 0.9, 1.0)
    measured = Tags(OUT, 120, 0.9, 1.0, high_out=HIGH, high_returned=80)

    assert np.median(taken_by_tags(rng(), 4_000, [entered])) == pytest.approx(0.21, abs=0.02)
    # Reported half as often as the high-reward tags: twice as many were caught.
    assert np.median(taken_by_tags(rng(), 4_000, [measured])) == pytest.approx(0.40, abs=0.03)


def test_tags_of_released_fish_tell_of_reporting_and_are_no_harvest():
    kept = Tags(OUT, 60, 0.5, 0.5, released=60, high_out=HIGH, high_returned=80)

    # 120 of 600 came back against 80 of 200: half is reported; 60 kept over half of 600.
    assert np.median(taken_by_tags(rng(), 4_000, [kept])) == pytest.approx(0.2, abs=0.02)


@pytest.mark.parametrize(("natural", "disagree"), [(0.4, False), (0.85, True)])
def test_ways_that_disagree_are_told_with_the_m_that_tags_imply(natural, disagree):
    """Z 1.0 and u 0.38: F = u Z / A = 0.6 and M = 0.4, by hand."""
    spread = rng().normal(1, 0.05, 4_000)
    found = compare_fishing(1.0 * spread, natural * rng(2).normal(1, 0.05, 4_000),
                            np.full(4_000, 0.3793))  # fmt: skip

    assert np.median(found.m_by_tags) == pytest.approx(0.4, abs=0.02)
    assert found.disagree is disagree
