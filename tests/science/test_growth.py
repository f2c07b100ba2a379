"""Growth: naive twins, recovery of known truth, refusals in words."""

import os
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import curve_fit

from samples.science.errors import CannotEstimate
from samples.science.growth.compare import Group, compare_curves
from samples.science.growth.fit import Curve, find_curve, fit_curve
from samples.science.growth.resample import resample_curves
from samples.science.growth.straight import fit_line
from samples.science.growth.summaries import (
    SpreadModel,
    first_fully_kept,
    lengths_at,
    spread_about,
    years_to,
)

TRUE = Curve(320.0, 0.4, -0.1)
SETS = int(os.environ.get("EARSTONE_RECOVERIES", "40"))


def fish(rng, n=300, *, decimal=False, cv=0.08, curve=TRUE, oldest=8):
    ages = rng.integers(1, oldest + 1, n).astype(float)
    times = ages + rng.uniform(0, 1, n) * decimal
    return times, curve.length_at(times) * (1 + cv * rng.normal(size=n))


def plain(t, whole, rate, zero):
    return whole * (1 - np.exp(-rate * (t - zero)))


def by_library(times, lengths, weights=None, start=(320, 0.4, -0.1)):
    sigma = None if weights is None else 1 / np.sqrt(weights)
    values, _ = curve_fit(plain, times, lengths, p0=start, sigma=sigma, xtol=1e-14, ftol=1e-14)
    return values


def as_values(curve):
    return np.array([curve.linf_mm, curve.k, curve.t0])


def is_between(interval, value):
    """Return whether a value lies inside an interval that has both of its ends."""
    assert interval.lower is not None
    assert interval.upper is not None
    return interval.lower < value < interval.upper


class TestFit:
    def test_the_curve_alone_is_that_of_the_fit(self):
        times, lengths = fish(np.random.default_rng(1), decimal=True)

        assert find_curve(times, lengths) == fit_curve(times, lengths).curve

    @pytest.mark.parametrize("decimal", [False, True])
    def test_is_the_least_squares_of_a_library(self, decimal):
        rng = np.random.default_rng(1)
        times, lengths = fish(rng, decimal=decimal)
        weights = rng.uniform(0.2, 5, times.size)

        found = fit_curve(times, lengths, weights=weights)

        assert as_values(found.curve) == pytest.approx(
            by_library(times, lengths, weights), rel=1e-5, abs=1e-6
        )

    @given(st.floats(0.1, 10.0), st.floats(0.0, 5.0))
    def test_scales_with_length_and_shifts_with_time(self, scale, later):
        times, lengths = fish(np.random.default_rng(2), 60)
        before = fit_curve(times, lengths).curve

        after = fit_curve(times + later, lengths * scale).curve

        assert after.linf_mm == pytest.approx(before.linf_mm * scale, rel=1e-5)
        assert after.k == pytest.approx(before.k, rel=1e-4)
        assert after.t0 == pytest.approx(before.t0 + later, abs=1e-4)

    def test_a_profile_leaves_out_what_raises_the_sum_of_squares_too_much(self):
        times, lengths = fish(np.random.default_rng(3), 80)

        found = fit_curve(times, lengths)

        assert is_between(found.k_interval, found.curve.k)
        assert is_between(found.linf_interval, found.curve.linf_mm)
        # At an end of K's interval the best of the rest has an F of the 95 % point: about 3.97.
        held, _ = curve_fit(
            lambda t, whole, zero: plain(t, whole, found.k_interval.upper, zero),
            times,
            lengths,
            p0=[300, 0],
        )
        rss = np.sum((lengths - plain(times, held[0], found.k_interval.upper, held[1])) ** 2)
        assert (rss / found.rss - 1) * found.df == pytest.approx(3.97, abs=0.02)

    @pytest.mark.parametrize(
        ("times", "lengths", "code"),
        [
            ([1, 2, 3, 4] * 2, [1.0] * 8, "too_few_fish"),
            ([1, 2, 3] * 5, np.arange(15) + 100.0, "too_few_ages"),
            ([1, 2, 3, 4, 5] * 3, [200.0] * 15, "one_length"),
            ([1, 2, 3, 4, 5] * 3, [300, 250, 220, 200, 190] * 3, "does_not_rise"),
            ([1, 2, 3, 4, 5] * 3, [100, 250, 250, 250, 250] * 3, "too_fast"),
            ([1, 2, 3, 4, 5] * 3, [100, 200, 300, 400, 500] * 3, "straight"),
        ],
    )
    def test_says_what_is_missing_where_fish_carry_no_curve(self, times, lengths, code):
        with pytest.raises(CannotEstimate) as refused:
            fit_curve(times, lengths)

        assert refused.value.code == code
        assert refused.value.sentence.endswith(".")


class TestResamples:
    @pytest.mark.parametrize("decimal", [False, True])
    def test_each_is_the_least_squares_of_its_own_fish(self, decimal):
        from samples.science.growth.resample import _Cells

        times, lengths = fish(np.random.default_rng(1), decimal=decimal)
        whole = fit_curve(times, lengths).curve
        cells = _Cells.of(times, lengths, np.ones(300), np.arange(300))
        counts = cells.draw(np.random.default_rng(3), 40)

        found = cells.fit(counts, whole)

        assert counts.sum(axis=1) == pytest.approx(np.full(40, 300))
        for place in range(40):
            drawn = np.repeat(np.arange(cells.time.size), counts[place].astype(int))
            exact = fit_curve(cells.time[drawn], cells.length[drawn]).curve
            assert found[:2, place] == pytest.approx(as_values(exact)[:2], rel=1e-5)
            assert found[2, place] == pytest.approx(exact.t0, abs=1e-5)

    def test_parties_drawn_first_make_wider_intervals(self):
        rng = np.random.default_rng(5)
        parties = np.repeat(np.arange(30), 10)
        times, lengths = fish(rng)
        lengths = lengths * (1 + 0.06 * rng.normal(size=30))[parties]

        alone = resample_curves(times, lengths, rng=np.random.default_rng(1), draws=1_000)
        together = resample_curves(
            times, lengths, rng=np.random.default_rng(1), draws=1_000, parties=parties
        )

        assert np.ptp(together.interval(together.k)) > 1.2 * np.ptp(alone.interval(alone.k))

    def test_one_seed_gives_one_answer(self):
        times, lengths = fish(np.random.default_rng(6), 50)
        one, other = (
            resample_curves(times, lengths, rng=np.random.default_rng(9), draws=200).k
            for _ in range(2)
        )

        assert (one == other).all()

    def weak(self, seed):
        rng = np.random.default_rng(seed)
        times = rng.integers(1, 6, 40).astype(float)
        lengths = Curve(400.0, 0.15, -0.5).length_at(times) * (1 + 0.16 * rng.normal(size=40))
        return {"times": times, "lengths_mm": lengths, "rng": rng, "draws": 500}

    def test_fish_that_hardly_carry_a_curve_are_counted_out_and_told(self):
        found = resample_curves(**self.weak(0))

        assert found.failed > 25
        assert found.failed + found.k.size == 500
        assert [code for code, _ in found.warnings] == ["resamples_fail"]

    def test_fish_that_carry_none_more_often_than_not_are_refused(self):
        with pytest.raises(CannotEstimate) as refused:
            resample_curves(**self.weak(6))

        assert refused.value.code == "resamples_fail"

    def test_intervals_hold_the_truth_about_as_often_as_they_say(self):
        held = []
        for seed in range(SETS):
            rng = np.random.default_rng(1_000 + seed)
            times, lengths = fish(rng, 200, decimal=True)
            draws = resample_curves(times, lengths, rng=rng, draws=400)
            lower, upper = draws.interval(draws.k)
            held.append(lower <= TRUE.k <= upper)

        assert 0.85 <= np.mean(held) <= 1.0
        if SETS >= 200:
            assert 0.90 <= np.mean(held) <= 0.98

    def test_fish_picked_by_length_need_their_weights(self):
        rng = np.random.default_rng(8)
        times, lengths = fish(rng, 6_000)
        bins = (lengths // 25.4).astype(int)
        picked = np.concatenate(
            [rng.permutation(np.flatnonzero(bins == one))[:12] for one in np.unique(bins)]
        )
        measured = np.bincount(bins)[bins[picked]]
        aged = np.bincount(bins[picked])[bins[picked]]

        raw = fit_curve(times[picked], lengths[picked]).curve
        weighted = fit_curve(times[picked], lengths[picked], weights=measured / aged).curve

        assert abs(weighted.linf_mm - 320) < 12
        assert raw.linf_mm > weighted.linf_mm + 5

    def test_fish_kept_above_a_length_show_too_fast_a_start(self):
        times, lengths = fish(np.random.default_rng(9), 4_000, decimal=True)
        kept = lengths >= 229

        biased = fit_curve(times[kept], lengths[kept]).curve
        spread = spread_about(TRUE, times, lengths)
        first = first_fully_kept(TRUE, spread, 229.0, oldest=8)

        assert biased.length_at(2.0) > TRUE.length_at(2.0) + 15
        assert first in {5, 6}
        assert (lengths[np.floor(times) >= first] >= 229).mean() > 0.97


@cache
def grown():
    times, lengths = fish(np.random.default_rng(1))
    draws = resample_curves(times, lengths, rng=np.random.default_rng(2), draws=1_000)
    return fit_curve(times, lengths).curve, draws


class TestTold:
    def test_lengths_at_birthdays(self):
        curve, draws = grown()

        rows = lengths_at(curve, draws, [1, 2, 3])

        assert [row.time for row in rows] == [1, 2, 3]
        for row in rows:
            assert row.lower < row.mean < row.upper
            assert row.lower < float(TRUE.length_at(row.time)) < row.upper

    def test_years_to_a_length_come_back_to_it(self):
        curve, draws = grown()

        found = years_to(curve, draws, 254.0)

        assert found.years is not None
        assert float(curve.length_at(found.years)) == pytest.approx(254)
        assert is_between(found.interval, found.years)
        assert found.never == 0

    def test_a_length_that_no_fish_comes_to_has_no_years(self):
        curve, draws = grown()

        found = years_to(curve, draws, 500.0)

        assert (found.years, found.interval.lower, found.interval.upper) == (None, None, None)
        assert found.never == 1

    @pytest.mark.parametrize("model", list(SpreadModel))
    def test_spread_is_told_as_it_was_drawn(self, model):
        rng = np.random.default_rng(4)
        times = rng.integers(1, 9, 2_000).astype(float)
        mean = TRUE.length_at(times)
        sd = 0.08 * mean if model is SpreadModel.IN_PROPORTION else np.full_like(mean, 18.0)

        found = spread_about(TRUE, times, mean + sd * rng.normal(size=2_000))

        assert found.model is model
        assert found.sd_at(250.0) == pytest.approx(0.08 * 250 if "prop" in model else 18, rel=0.05)


class TestGroups:
    def test_groups_of_one_kind_are_called_different_about_as_often_as_they_may(self):
        rejected = 0
        for seed in range(60):
            rng = np.random.default_rng(seed)
            groups = [Group(name, *fish(rng, 80)) for name in "AB"]
            rejected += compare_curves(groups).tests["coincident"].p < 0.05

        assert rejected <= 9

    def test_the_value_that_differs_is_named(self):
        rng = np.random.default_rng(3)
        groups = [
            Group("Brindle", *fish(rng, 400, curve=Curve(340.0, 0.4, -0.1))),
            Group("Cutbank", *fish(rng, 400, curve=Curve(280.0, 0.4, -0.1))),
        ]

        tests = compare_curves(groups).tests

        assert tests["linf"].p < 0.001
        assert tests["t0"].p > 0.05

    def test_a_group_that_carries_no_curve_is_named(self):
        rng = np.random.default_rng(3)

        with pytest.raises(CannotEstimate) as refused:
            compare_curves([Group("Brindle", *fish(rng)), Group("Hobbin", [1, 2], [90, 150])])

        assert refused.value.sentence.startswith("Hobbin: ")


def test_a_line_is_that_of_the_library():
    rng = np.random.default_rng(1)
    times, lengths = fish(rng, 50)
    weights = rng.uniform(0.5, 2, 50)

    found = fit_line(times, lengths, weights=weights)

    slope, start = np.polyfit(times, lengths, 1, w=np.sqrt(weights))
    assert (found.per_year, found.at_zero) == pytest.approx((slope, start))
