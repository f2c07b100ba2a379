"""True ages of fish, drawn back from what was read, on fish whose ages are known."""

import numpy as np
import pytest

from samples.science.ageing_error import reading_shares
from samples.science.errors import CannotEstimate
from samples.science.true_ages import draw_true_ages, true_age_chances

CV = 0.09
# A strong class of age 4 among fish of ages 1 to 8.
TRUE = np.array([0, 0.2, 0.17, 0.14, 0.225, 0.105, 0.075, 0.05, 0.035, 0, 0, 0])
TABLE = reading_shares(CV, TRUE.size - 1)


def lake(seed, count=400):
    """Return true ages, lengths and ages as read of fish drawn at random from one lake."""
    rng = np.random.default_rng(seed)
    ages = rng.choice(TRUE.size, count, p=TRUE)
    lengths = 320 * (1 - np.exp(-0.4 * (ages + 0.1))) * np.exp(rng.normal(0, 0.09, count))
    read = (TABLE[ages].cumsum(axis=1) < rng.random((count, 1))).sum(axis=1)
    return ages, lengths, read


def share_of_4(ages):
    return float(np.mean(ages == 4))


def test_a_strong_class_comes_back_and_more_error_would_take_it_further_away():
    """In 25 lakes of 400 fish.

    Shares in many fish: .225 true, .206 read, .192 with the same error added to what was read.
    """
    shares = []
    for seed in range(25):
        ages, lengths, read = lake(seed)
        chances = true_age_chances(TABLE[:, read].T, lengths)
        order = np.lexsort((lengths, read))
        drawn = draw_true_ages(chances[order], np.random.default_rng(seed))
        shares.append([share_of_4(one) for one in (ages, read, drawn)])
    true, as_read, back = np.mean(shares, axis=0)

    assert (TRUE @ TABLE)[4] == pytest.approx(0.206, abs=0.001)
    assert (TRUE @ TABLE @ TABLE)[4] == pytest.approx(0.192, abs=0.001)
    assert as_read < true - 0.012
    assert back == pytest.approx(true, abs=0.005)


def test_length_tells_more_than_the_reading_alone():
    """Fish by fish: the true age gets a higher chance where length is taken into account."""
    ages, lengths, read = lake(1, 1000)
    likely = TABLE[:, read].T
    fish = np.arange(ages.size)

    by_both = true_age_chances(likely, lengths)[fish, ages]
    by_reading = true_age_chances(likely, np.full(ages.size, 200.0))[fish, ages]

    assert np.log(by_both).mean() > np.log(by_reading).mean() + 0.02


def test_classes_have_their_own_shares_of_ages():
    """The same reading means another age in a season that has no fish of that age."""
    read = np.concatenate([np.full(50, 3), np.full(50, 4), np.full(2, 3)])
    season = np.repeat([1, 2], [50, 52])
    likely = reading_shares(0.15, 6)[:, read].T

    chances = true_age_chances(likely, np.full(read.size, 200.0), classes=season)

    assert chances[0, 3] > 0.95
    assert chances[-1, 4] > 0.5


def test_ages_without_error_stay_as_they_are():
    _, lengths, read = lake(2)

    chances = true_age_chances(np.eye(TRUE.size)[read], lengths)

    assert chances.argmax(axis=1).tolist() == read.tolist()
    assert draw_true_ages(chances, np.random.default_rng(1)).tolist() == read.tolist()


def test_numbers_drawn_follow_the_chances_more_closely_than_by_lot():
    """By lot the sd of the number of one age would be about 9 of 400 fish."""
    _, lengths, read = lake(3)
    order = np.lexsort((lengths, read))
    chances = true_age_chances(TABLE[:, read].T, lengths)[order]
    wanted = chances.sum(axis=0)

    off = [
        np.bincount(draw_true_ages(chances, np.random.default_rng(seed)), minlength=12) - wanted
        for seed in range(20)
    ]

    assert np.abs(off).max() < 5


def test_refuses_fish_that_carry_nothing():
    with pytest.raises(CannotEstimate) as none:
        true_age_chances(np.zeros((0, 4)), [])
    with pytest.raises(CannotEstimate) as never:
        true_age_chances([[0.0, 0.0], [0.5, 0.5]], [200, 210])

    assert (none.value.code, never.value.code) == ("no_fish", "no_such_reading")
