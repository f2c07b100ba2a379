"""Intervals of a growth curve, against a twin that looks for K anew at each Linf, and many fish."""

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar
from scipy.stats import f as f_distribution

from samples.science.growth.fit import Curve, fit_curve
from samples.science.growth.resample import resample_curves


def fish(n, *, decimal=True, cv=0.08, zero=-0.1):
    rng = np.random.default_rng(n)
    times = rng.integers(1, 9, n) + rng.uniform(0, 1, n) * decimal
    curve = Curve(320.0, 0.4, zero)
    lengths = np.round(curve.length_at(times) * (1 + cv * rng.normal(size=n)))
    return times, lengths, rng.uniform(0.2, 5, n)


def naive_interval(times, lengths, weights, fit, *, through_zero):
    """Return Linf's interval by its definition: where the best curve of that Linf is too bad."""
    weights = weights / weights.mean()
    most = fit.rss * (1 + f_distribution.ppf(0.95, 1, fit.df) / fit.df)
    rates = np.log(np.geomspace(0.05, 8, 60) * fit.curve.k)

    def over(whole):
        def rss(log_rate):
            left = np.exp(-np.exp(log_rate) * times)
            if through_zero:
                return weights @ (lengths - whole * (1 - left)) ** 2
            factor = weights @ (left * (lengths - whole)) / (weights @ left**2)
            return weights @ (lengths - whole - factor * left) ** 2

        best = int(np.argmin([rss(rate) for rate in rates]))
        around = rates[max(best - 1, 0)], rates[min(best + 1, rates.size - 1)]
        options = {"xatol": 1e-11}
        return minimize_scalar(rss, bounds=around, method="bounded", options=options).fun - most

    whole = fit.curve.linf_mm
    return [_crossing(over, whole, share * whole) for share in (0.3, 6)]


def _crossing(over, inside, outside):
    return brentq(over, inside, outside, xtol=1e-10, rtol=1e-13) if over(outside) > 0 else None


@pytest.mark.parametrize(
    ("n", "options", "through_zero"),
    [
        pytest.param(300, {"decimal": False}, False, id="whole years"),
        pytest.param(300, {}, False, id="decimal ages"),
        pytest.param(300, {"zero": 0.0}, True, id="through zero"),
        pytest.param(60, {"cv": 0.15}, False, id="few fish of many sizes"),
        pytest.param(20, {"cv": 0.15}, False, id="no upper end"),
    ],
)
def test_interval_of_linf_is_that_of_its_definition_to_ten_digits(n, options, through_zero):
    times, lengths, weights = fish(n, **options)

    found = fit_curve(times, lengths, weights=weights, through_zero=through_zero)

    expected = naive_interval(times, lengths, weights, found, through_zero=through_zero)
    interval = found.linf_interval
    assert [interval.lower, interval.upper] == [
        None if end is None else pytest.approx(end, rel=1e-10) for end in expected
    ]


def test_many_fish_set_the_interval_of_linf_closely():
    """A grid of K that is coarser than K's interval finds none at all."""
    times, lengths, _ = fish(30_000)

    found = fit_curve(times, lengths)

    middle, reach = found.curve.linf_mm, 1.96 * found.se.linf_mm
    # For so many fish the profile is a parabola: 1.96 standard errors to each side.
    assert found.linf_interval.lower == pytest.approx(middle - reach, abs=0.1)
    assert found.linf_interval.upper == pytest.approx(middle + reach, abs=0.1)


def test_more_fish_than_a_narrow_number_counts_are_resampled():
    times, lengths, _ = fish(2**16 + 500)

    drawn = resample_curves(times, lengths, rng=np.random.default_rng(5), draws=8)

    assert drawn.failed == 0
    assert drawn.linf_mm == pytest.approx(np.full(8, 320.0), abs=2.0)
