"""Catch per effort and clumping against published examples and scipy.

Cities: ten cities with people in 1920 and 1930, of Davison & Hinkley (1997), Bootstrap Methods and
Their Application (recalled); the ratio 1.520313, with a bootstrap bias of 0.0447 and a standard
error of 0.2137 from 999 resamples, *seen* in a printed run of the book's own software.
Mice: Efron & Tibshirani (1993), An Introduction to the Bootstrap, table 2.1: mean 86.86, standard
error 23.36 with no end of resamples (recalled, confirmed by the formula).
Mites: Bliss & Fisher (1953), Biometrics 9:176-200: red mites on 150 apple leaves, mean 1.1467, k
1.0246 by maximum likelihood (recalled).
"""

import numpy as np
import pytest
from scipy.stats import bootstrap, nbinom

from samples.science.net_catch import catch_per_effort, clumping_likelihood

PEOPLE_1920 = [138, 93, 61, 179, 48, 37, 29, 23, 30, 2]
PEOPLE_1930 = [143, 104, 69, 260, 75, 63, 50, 48, 111, 50]
TREATED_MICE = [94, 197, 16, 38, 99, 141, 23]
MITES = np.repeat(np.arange(8), [70, 38, 17, 10, 9, 3, 2, 1])


def test_the_cities():
    found = catch_per_effort(PEOPLE_1930, PEOPLE_1920, rng=np.random.default_rng(1), draws=20_000)

    assert found.value == pytest.approx(1.520313, abs=6e-7)
    # A standard error from 999 resamples is itself some 3% off; here three times that.
    assert found.se == pytest.approx(0.2137, rel=0.09)


@pytest.mark.parametrize("n", [7, 10])
def test_ends_are_those_of_scipy_at_the_expanded_level(n):
    """scipy's percentile interval, at the level that Hesterberg (2015) gives for n."""
    from scipy.stats import norm, t

    catch, effort = np.array(PEOPLE_1930[:n]), np.array(PEOPLE_1920[:n])
    level = 1 - 2 * norm.cdf(np.sqrt(n / (n - 1)) * t.ppf(0.025, n - 1))
    theirs = bootstrap(
        (catch, effort),
        lambda x, u, axis: x.sum(axis=axis) / u.sum(axis=axis),
        paired=True,
        confidence_level=level,
        n_resamples=20_000,
        method="percentile",
        random_state=np.random.default_rng(2),
    ).confidence_interval

    ours = catch_per_effort(catch, effort, rng=np.random.default_rng(1), draws=20_000)

    assert (ours.lower, ours.upper) == pytest.approx((theirs.low, theirs.high), rel=0.03)


def test_the_mice():
    found = catch_per_effort(TREATED_MICE, [1] * 7, rng=np.random.default_rng(1), draws=20_000)

    assert round(found.value, 2) == 86.86
    assert found.se == pytest.approx(23.36, rel=0.02)


def test_clumping_of_the_mites():
    sizes = np.arange(0.9, 1.15, 0.0001)
    log_likelihood = clumping_likelihood(MITES, [MITES.mean()], sizes)[0]

    assert round(MITES.mean(), 4) == 1.1467
    assert round(sizes[log_likelihood.argmax()], 4) == 1.0246


def test_likelihood_is_that_of_scipy():
    means, sizes = np.array([0.5, 1.2, 4.0]), np.array([0.3, 1.0, 8.0])
    theirs = [[nbinom.logpmf(MITES, k, k / (k + mean)).sum() for k in sizes] for mean in means]

    np.testing.assert_allclose(clumping_likelihood(MITES, means, sizes), theirs, rtol=1e-10)
