"""Ageing error: found from two readers, and taken out again, on fish whose ages are known."""

import numpy as np
import pytest
from scipy import stats

from samples.science.ageing_error import (
    agreed_shares,
    fit_reading_error,
    reading_shares,
    true_age_shares,
)
from samples.science.errors import CannotEstimate

CV = 0.08
# A strong class of age 4 among fish of ages 1 to 8.
TRUE = np.array([0, 0.2, 0.17, 0.14, 0.225, 0.105, 0.075, 0.05, 0.035, 0, 0, 0])


def pairs(seed, count=300, cv=CV):
    rng = np.random.default_rng(seed)
    ages = rng.choice(TRUE.size, count, p=TRUE / TRUE.sum())
    return tuple(np.maximum(np.rint(rng.normal(ages, cv * ages)), 0).astype(int) for _ in range(2))


def test_readings_are_a_normal_in_whole_years():
    """SciPy's normal: at age 5 with a CV of 10 %, 4.5 to 5.5 is 1 sd to either side."""
    shares = reading_shares(0.1, 10)

    assert shares[5, 5] == pytest.approx(2 * stats.norm.cdf(1) - 1, abs=1e-6)
    assert shares[5, 4] == pytest.approx(stats.norm.cdf(-1) - stats.norm.cdf(-3), abs=1e-6)
    assert shares[0, 0] == 1
    assert shares.sum(axis=1) == pytest.approx(np.ones(11))


def test_ages_that_two_agree_on_err_less():
    assert agreed_shares(CV, 10)[6, 6] > reading_shares(CV, 10)[6, 6]


def test_interval_of_the_cv_holds_the_truth():
    """Of 60 samples of 100 fish; chance alone leaves fewer than 52 in 3 of 1,000."""
    found = [fit_reading_error(*pairs(seed, 100)) for seed in range(60)]

    held = sum(one.lower <= CV <= one.upper for one in found)
    assert held >= 52
    assert np.mean([one.cv for one in found]) == pytest.approx(CV, rel=0.05)


def test_a_strong_class_is_drawn_back_from_what_was_read():
    table = reading_shares(CV, TRUE.size - 1)
    read = TRUE / TRUE.sum() @ table

    found = true_age_shares(1000 * read, table, steps=500)

    assert read[4] < 0.215  # smeared over its neighbors
    assert found[4] == pytest.approx(0.225, abs=0.002)
    assert found.sum() == pytest.approx(1)


def test_rows_of_resamples_are_drawn_back_one_by_one():
    table = reading_shares(CV, TRUE.size - 1)
    rows = np.vstack([TRUE @ table, np.zeros(TRUE.size), 3 * TRUE @ table])

    found = true_age_shares(rows, table)

    assert found[0] == pytest.approx(found[2])
    assert found[1].sum() == 0
    assert found[0] == pytest.approx(true_age_shares(rows[0], table))


def test_readers_who_never_differ_have_a_cv_near_none():
    ages = np.tile([1, 2, 3, 4], 20)

    assert fit_reading_error(ages, ages).cv < 0.08


def test_fewer_than_fifty_pairs_are_too_few():
    with pytest.raises(CannotEstimate) as refused:
        fit_reading_error([1] * 49, [1] * 49)

    assert refused.value.code == "few_pairs"


def test_shares_are_nearer_the_truth_than_as_read():
    """400 fish read with a CV of 11 %, 60 times: the sum of what the shares are off."""
    rng = np.random.default_rng(2)
    true, table = TRUE / TRUE.sum(), reading_shares(0.11, TRUE.size - 1)
    read = rng.multinomial(400, true @ table, 60) / 400

    off = {name: np.abs(one - true).sum(axis=1).mean() for name, one in
           {"read": read, "back": true_age_shares(read, table),
            "exhausted": true_age_shares(read, table, steps=500)}.items()}  # fmt: skip

    assert off["back"] < off["read"]
    assert off["back"] < off["exhausted"]
