"""Age-length keys against published formulas, worked data and libraries."""

import re

import numpy as np
import pytest

from samples.science.age_length_key import (
    age_structure,
    draw_ages,
    key_from_counts,
    multinomial_logit,
    resample_fish,
)
from samples.science.weighted_mean import weighted_mean

IN = 25.4
EDGES = np.array([7.0, 8, 9, 10, 11]) * IN
MEASURED = [40, 60, 50, 30, 20]
COUNTS = [[8, 2, 0, 0, 0], [3, 6, 1, 0, 0], [0, 5, 4, 1, 0], [0, 1, 4, 3, 0], [0, 0, 2, 2, 1]]


@pytest.fixture
def key():
    return key_from_counts(COUNTS, MEASURED, lower_edges=EDGES, ages=[1, 2, 3, 4, 5])


def test_age_structure_and_its_standard_error(key):
    """Quinn & Deriso (1999), after Kimura (1977), J. Fish. Res. Board Can. 34:317-324: formula
    from memory, values computed apart."""
    found = age_structure(key, prior_weight=0)

    assert found.shares == pytest.approx([0.25, 0.36375, 0.245, 0.12125, 0.02], abs=1e-12)
    assert found.numbers == pytest.approx([50, 72.75, 49, 24.25, 4], abs=1e-10)
    assert found.standard_errors == pytest.approx(
        [0.0572155, 0.0737661, 0.0644408, 0.0458564, 0.020445], abs=1e-6
    )


def test_the_variance_agrees_with_resampling(key):
    """The closed form against Efron's bootstrap, which divides by n_i as Kimura (1977) did:
    0.0547037, 0.0700911, 0.0606259, 0.0427334, 0.0183848."""
    drawn = resample_fish(key, np.random.default_rng(1), draws=40_000)

    assert drawn.shares.std(axis=0) == pytest.approx(
        [0.0547037, 0.0700911, 0.0606259, 0.0427334, 0.0183848], rel=0.025
    )
    assert drawn.shares.mean(axis=0) == pytest.approx(
        [0.25, 0.36375, 0.245, 0.12125, 0.02], abs=0.002
    )


def test_mean_length_at_age_from_the_key_against_the_plain_mean():
    """Bettoli & Miranda (2001), N. Am. J. Fish. Manage. 21:425-428: title seen, formula from
    memory; lengths are the middles of the bins."""
    counts, measured = np.array(COUNTS), np.array(MEASURED)
    middles = np.array([7.5, 8.5, 9.5, 10.5, 11.5])
    weights = measured / counts.sum(axis=1)
    weighted, plain = [], []
    for age in range(5):
        lengths = np.repeat(middles, counts[:, age])
        weighted.append(weighted_mean(lengths, np.repeat(weights, counts[:, age])).mean)
        plain.append(weighted_mean(lengths, np.ones_like(lengths)).mean)

    assert weighted == pytest.approx([7.86, 8.8367698, 10.010204, 10.623711, 11.5], rel=1e-6)
    assert plain == pytest.approx([7.7727273, 8.8571429, 10.136364, 10.666667, 11.5], rel=1e-6)


@pytest.mark.parametrize("seed", range(20))
def test_ages_drawn_within_the_bin(key, seed):
    """Isermann & Knight (2005), N. Am. J. Fish. Manage. 25:1153-1160: what holds however the fish
    left over are drawn."""
    lengths = np.repeat(EDGES + 1, MEASURED)

    ages = draw_ages(lengths, key, np.random.default_rng(seed)).ages

    given = np.array(
        [[np.sum((lengths == edge + 1) & (ages == age)) for age in range(1, 6)] for edge in EDGES]
    )
    floors = [[32, 8, 0, 0, 0], [18, 36, 6, 0, 0], [0, 25, 20, 5, 0], [0, 3, 15, 11, 0]]
    floors.append([0, 0, 8, 8, 4])
    assert (given >= floors).all()
    assert given.sum(axis=1).tolist() == MEASURED
    assert (given[np.array(COUNTS) == 0] == 0).all()
    assert (given - floors).sum(axis=1).tolist() == [0, 0, 0, 1, 0]


ALLIGATORS = """1.24I 1.30I 1.30I 1.32F 1.32F 1.40F 1.42I 1.42F 1.45I 1.45O 1.47I 1.47F 1.50I 1.52I
1.55I 1.60I 1.63I 1.65O 1.65I 1.65F 1.65F 1.68F 1.70I 1.73O 1.78I 1.78I 1.78O 1.80I 1.80F 1.85F
1.88I 1.93I 1.98I 2.03F 2.03F 2.16F 2.26F 2.31F 2.31F 2.36F 2.36F 2.39F 2.41F 2.44F 2.46F 2.56O
2.67F 2.72I 2.79F 2.84F 3.25O 3.28O 3.33F 3.56F 3.58F 3.66F 3.68O 3.71F 3.89F"""


def test_the_food_of_59_alligators():
    """Agresti (1996), An Introduction to Categorical Data Analysis, p. 207: log odds of fish and
    of invertebrates over other food by length; more digits by R's multinom."""
    rows = re.findall(r"([\d.]+)([IFO])", ALLIGATORS)
    lengths = [float(length) for length, _ in rows]
    food = ["OFI".index(letter) for _, letter in rows]

    found = multinomial_logit(food, lengths)

    assert len(rows) == 59
    printed = [[1.618, -0.110], [5.697, -2.465]]
    assert found.coefficients == pytest.approx(np.array(printed), abs=0.0005)
    assert found.standard_errors == pytest.approx(
        np.array([[1.307275, 0.517082], [1.793808, 0.89965]]), rel=1e-4
    )
    assert found.log_likelihood == pytest.approx(-49.170622, abs=1e-5)
