"""The reader's gate against published intervals and binomial tables."""

import pytest
from scipy.stats import binomtest

from samples.science.reader_gate import chance_of_passing, difference_interval, exact_interval


@pytest.mark.parametrize(
    ("right", "n", "lower", "upper"),
    [
        (81, 263, 0.2527, 0.3676),
        (15, 148, 0.0578, 0.1617),
        (0, 20, 0, 0.1684),
        (1, 29, 0.0009, 0.1776),
    ],
)
def test_exact_interval_of_a_share(right, n, lower, upper):
    """Newcombe (1998), Stat. Med. 17:857-872, table I, method 5 (Clopper-Pearson); from memory,
    confirmed by scipy."""
    assert exact_interval(right, n) == pytest.approx((lower, upper), abs=5e-5)
    confirmed = binomtest(right, n).proportion_ci(0.95, method="exact")
    assert exact_interval(right, n) == pytest.approx((confirmed.low, confirmed.high), abs=1e-9)


@pytest.mark.parametrize(
    ("counts", "lower", "upper"),
    [
        ((56, 70, 48, 80), 0.0524, 0.3339),
        ((9, 10, 3, 10), 0.1705, 0.8090),
        ((10, 10, 0, 20), 0.6791, 1.0),
    ],
)
def test_interval_of_a_difference_of_shares(counts, lower, upper):
    """Newcombe (1998), Stat. Med. 17:873-890, table II, method 10; from memory."""
    assert difference_interval(*counts) == pytest.approx((lower, upper), abs=1e-4)


def test_how_often_a_gate_of_90_percent_lets_a_reader_through():
    """The binomial distribution, tables of which give these for n = 50."""
    assert chance_of_passing(50, 0.85) == pytest.approx(0.2194, abs=1e-4)
    assert chance_of_passing(50, 0.9) == pytest.approx(0.6161, abs=1e-4)
