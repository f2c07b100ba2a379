"""How many fish to age and to measure, against published tables."""

import math

import numpy as np
import pytest

from samples.science.errors import CannotEstimate
from samples.science.sample_size import (
    fish_to_age,
    fish_to_measure,
    hardest_shares,
    shares_within,
)


@pytest.mark.parametrize(
    ("alpha", "ages", "fish_times_square", "fish"),
    [(0.1, 3, 1.00635, 403), (0.05, 3, 1.27359, 510)],
)
def test_fish_so_that_all_shares_are_near(alpha, ages, fish_times_square, fish):
    """Thompson (1987), Sample size for estimating multinomial proportions, The American
    Statistician 41:42-46, table: d^2 n, the worst m, and n at d = 0.05. From memory; computed
    again."""
    hardest = hardest_shares(confidence=1 - alpha)

    assert hardest.ages == ages
    assert hardest.fish_times_square == pytest.approx(fish_times_square, abs=2e-5)
    assert fish_to_age(0.05, confidence=1 - alpha) == fish


def test_fewest_measured_fish():
    """Gerritsen & McGrath (2007), Fish. Bull. (U.S.) 105: ten for each length class."""
    assert fish_to_measure(12) == 120


@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.95, 0.99])
@pytest.mark.parametrize("within", [0.02, 0.05, 0.1])
def test_the_distance_of_so_many_fish_is_the_one_they_were_asked_for(within, confidence):
    fish = fish_to_age(within, confidence=confidence)

    assert shares_within(fish, confidence=confidence) <= within * (1 + 1e-9)
    assert shares_within(fish - 1, confidence=confidence) > within


def test_a_distance_that_comes_out_even_asks_for_no_fish_more():
    assert fish_to_age(shares_within(400)) == 400


def test_the_worst_shares_are_near_as_often_as_is_said():
    """Simulated: three ages of a third each, and shares of an ordinary stock, 510 fish."""
    rng = np.random.default_rng(1)
    for shares in ([1 / 3] * 3, [0.4, 0.3, 0.15, 0.1, 0.05]):
        drawn = rng.multinomial(510, shares, size=20_000) / 510
        near = (np.abs(drawn - shares) <= 0.05).all(axis=1).mean()
        assert near >= 0.95 - 4 * math.sqrt(0.95 * 0.05 / 20_000)


def test_one_fish_tells_nothing():
    assert shares_within(1) == 1.0


@pytest.mark.parametrize(
    ("call", "code"),
    [
        (lambda: shares_within(0), "no_fish"),
        (lambda: fish_to_measure(0), "no_bins"),
    ],
)
def test_says_what_is_wrong(call, code):
    with pytest.raises(CannotEstimate) as refused:
        call()

    assert refused.value.code == code
    assert refused.value.sentence.endswith(".")


@pytest.mark.parametrize(
    "call",
    [
        lambda: fish_to_age(0.0),
        lambda: fish_to_age(1.0),
        lambda: fish_to_age(math.nan),
        lambda: fish_to_age(0.05, confidence=1.0),
        lambda: fish_to_age(0.05, confidence=math.nan),
        lambda: shares_within(100, confidence=0.0),
    ],
)
def test_shares_that_are_none_are_bad_arguments(call):
    with pytest.raises(ValueError, match="between 0 and 1"):
        call()
