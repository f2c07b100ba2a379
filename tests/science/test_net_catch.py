"""Catch per effort and sets needed, on simulated nets whose truth is known, and what is refused."""

import numpy as np
import pytest

from samples.science.errors import CannotEstimate
from samples.science.net_catch import catch_per_effort, sets_needed


def uneven(rng, sets, mean, k=1.0):
    return rng.poisson(rng.gamma(k, mean / k, sets))


def test_intervals_hold_the_truth_of_uneven_nets():
    rng = np.random.default_rng(5)
    held = 0
    for _ in range(200):
        nights = rng.integers(1, 4, 12)
        fish = rng.poisson(rng.gamma(1.5, 4.0, 12) * nights)
        found = catch_per_effort(fish, nights, rng=rng, draws=500)
        assert found.lower is not None
        assert found.upper is not None
        held += found.lower <= 6.0 <= found.upper

    assert held / 200 >= 0.88


def test_a_longer_set_counts_by_its_nights():
    found = catch_per_effort([10, 0, 2], [2, 1, 1], rng=np.random.default_rng(1))

    assert (found.value, found.sets, found.empty, found.fish, found.effort) == (3.0, 3, 1, 12, 4)


@pytest.mark.parametrize(("sets", "has_interval"), [(4, False), (5, True)])
def test_few_sets_give_no_interval(sets, has_interval):
    found = catch_per_effort(range(sets), [1] * sets, rng=np.random.default_rng(1))

    assert (found.lower is not None) is has_interval


def test_sets_needed_bring_the_number_as_often_as_promised():
    """Each time the lake gives the sets to plan from, and then those that are set."""
    rng = np.random.default_rng(3)
    filled = 0
    for _ in range(60):
        before = uneven(rng, 25, 4.0)[:, None]
        needed = sets_needed(before, [30], rng=rng, draws=300).sets
        filled += uneven(rng, needed, 4.0).sum() >= 30

    assert 0.68 <= filled / 60 <= 0.95


def test_few_sets_ask_for_more():
    many = [[2], [6], [1], [9], [0], [4]] * 5
    rng = np.random.default_rng(1)

    few, enough = (sets_needed(each, [40], rng=rng).sets for each in (many[:6], many))
    assert few is not None
    assert enough is not None
    assert few > enough


def test_bins_of_whole_sets_rise_together():
    """A net full of one size is full of the other: both bins are filled at once."""
    together = np.repeat([[0, 0], [8, 8]], 10, axis=0)
    apart = np.column_stack([together[:, 0], together[::-1, 1]])
    rng = np.random.default_rng(1)

    assert sets_needed(together, [8, 8], rng=rng).chance[0] > 0.4
    assert sets_needed(apart, [8, 8], rng=rng).chance[0] < 0.05


def test_more_sets_than_can_be_thought_of_are_no_number():
    found = sets_needed([[1], [0], [0], [1]] * 5, [500], rng=np.random.default_rng(1), most=10)

    assert found.sets is None
    assert found.chance.max() < 0.8


def test_catches_of_few_sets_have_their_mean():
    before = [[3, 1], [5, 0], [4, 2], [6, 1]] * 3
    found = sets_needed(before, [5, 5], rng=np.random.default_rng(1), most=10)

    assert not found.is_resampled
    assert np.median(found.catch[:, -1, 0]) == pytest.approx(45, rel=0.15)


@pytest.mark.parametrize(
    ("catches", "code"),
    [(np.zeros((0, 2)), "no_sets"), ([[0, 0], [1, 0]], "too_few_caught")],
)
def test_poor_nets_are_refused(catches, code):
    with pytest.raises(CannotEstimate) as refused:
        sets_needed(catches, [3, 3], rng=np.random.default_rng(1))

    assert refused.value.code == code
