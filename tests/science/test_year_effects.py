"""Growth over seasons: a naive twin, recovery of what lakes were drawn from, and cover."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from samples.science.errors import CannotEstimate
from samples.science.growth import year_model
from samples.science.growth.cells import MeanLengths, mean_lengths
from samples.science.growth.fit import Curve
from samples.science.growth.summaries import lengths_at
from samples.science.growth.year_effects import GrowthYear, YearEffects, fit_year_effects
from tests.science.estimators import CELLS, FIRST
from tests.science.growth_lakes import GrowthLake, fitted, true_length

AGES = np.array([2.0, 3.0, 4.0, 5.0])
START = Curve(330.0, 0.4, 0.0)


def two_groups():
    """Return a few cells of two groups, some of kept fish."""
    rng = np.random.default_rng(4)
    age = np.array([0, 1, 2, 3, 5, 2, 3, 4])
    return MeanLengths(
        group=np.array([0, 0, 0, 0, 0, 1, 1, 1]),
        year=np.array([2026, 2025, 2026, 2025, 2026, 2026, 2024, 2025]),
        age=age,
        part=rng.uniform(0, 1, 8),
        mean_mm=60 + 40.0 * age,
        se_mm=rng.uniform(2, 9, 8),
        kept_from_mm=np.array([0, 0, 180.0, 0, 0, 180.0, 0, 0]),
        cv=np.full(8, 0.09),
    )


def length_by_hand(cells, row, theta, years):
    """Return the mean of one cell, year by year lived, from the words of the model."""
    groups = int(cells.group.max()) + 1
    effects = dict(zip(years, theta[3 + 2 * groups :], strict=True))
    hatched = cells.year[row] - cells.age[row]
    tau = sum(np.exp(effects[year]) for year in range(hatched, cells.year[row]))
    tau += cells.part[row] * np.exp(effects[cells.year[row]])
    whole = np.exp(theta[0] + theta[3 + cells.group[row]])
    rate = np.exp(theta[1] + theta[3 + groups + cells.group[row]])
    mean = whole * (1 - np.exp(-rate * (tau - theta[2])))
    if cells.kept_from_mm[row] == 0:
        return mean
    sd = cells.cv[row] * mean
    z = (cells.kept_from_mm[row] - mean) / sd
    return mean + sd * norm.pdf(z) / norm.sf(z)


class TestLikelihood:
    def test_means_are_those_worked_out_by_hand(self):
        cells = two_groups()
        model = year_model.Model.of(cells, START)
        theta = np.random.default_rng(2).normal(0, 0.1, model.size) + np.concatenate(
            [model.centre, np.zeros(model.size - 3)]
        )

        mean, slopes = model.mean_and_slopes(theta)

        by_hand = [length_by_hand(cells, row, theta, model.years) for row in range(8)]
        assert mean == pytest.approx(by_hand)
        for place in range(model.size):
            step = np.zeros(model.size)
            step[place] = 1e-6
            above, below = (model.mean_and_slopes(theta + sign * step)[0] for sign in (1, -1))
            assert slopes[:, place] == pytest.approx((above - below) / 2e-6, rel=1e-4, abs=1e-4)

    def test_weights_of_spreads_are_the_integrals_that_they_stand_for(self):
        """Against the integral over all values by importance sampling."""
        cells = replace(CELLS, se_mm=np.full(6, 8.0))
        model = year_model.Model.of(cells, START)
        found = {}
        for years in (0.05, 0.1, 0.2):
            spreads = year_model.Spreads(years, 1.0, 0.012)
            start = np.append(model.centre, np.zeros(len(model.years)))
            mode = year_model.find_mode(model, start, spreads)
            assert mode is not None
            theta, root, log_weight = mode
            rng = np.random.default_rng(1)
            drawn = theta + np.linalg.solve(root.T, rng.normal(size=(theta.size, 4_000))).T
            logs = self._log_posterior(model, drawn, spreads)
            normal = -0.5 * np.sum(((drawn - theta) @ root) ** 2, axis=1)
            # Importance sampling: the mean of target over proposal, times the normal's constant.
            ratio = logs - normal
            total = np.log(np.mean(np.exp(ratio - ratio.max()))) + ratio.max()
            found[years] = (log_weight, total - np.log(np.diag(root)).sum())
        for years, (laplace, summed) in found.items():
            assert laplace - found[0.1][0] == pytest.approx(summed - found[0.1][1], abs=0.3), years

    def _log_posterior(self, model, drawn, spreads):
        cells = model.cells
        sd = np.hypot(cells.se_mm, spreads.cells * cells.mean_mm)
        loose = np.array([1.0] * 3 + [spreads.years] * len(model.years))
        middle = np.append(model.centre, [0.0] * len(model.years))
        logs = []
        for theta in drawn:
            mean, _ = model.mean_and_slopes(theta)
            logs.append(
                -0.5 * np.sum(((mean - cells.mean_mm) / sd) ** 2)
                - 0.5 * np.sum(((theta - middle) / loose) ** 2)
                - np.log(sd).sum()
                - np.log(loose).sum()
                + spreads.log_prior
            )
        return np.array(logs)


class TestRecovery:
    def test_finds_the_curve_and_the_good_year_of_a_long_series(self):
        lake = GrowthLake(seasons=8, effects=0.2, fish=1_200, trips=120, alike=0.05)
        found = fitted(lake, 3)

        [average] = found.average
        assert average.curve.length_at(AGES) == pytest.approx(true_length(lake, AGES), rel=0.06)
        assert found.year_sd == pytest.approx(0.2, abs=0.1)
        assert found.seasons == 8

    def test_a_good_year_is_told_from_the_average(self):
        age = np.tile(np.arange(1, 8), 4)
        year = np.repeat([2023, 2024, 2025, 2026], 7)
        pace = {2025: 1.4}
        tau = [
            sum(pace.get(one, 1.0) for one in range(born, born + years))
            for born, years in zip(year - age, age, strict=True)
        ]
        cells = MeanLengths(
            group=np.zeros(28, dtype=int), year=year, age=age, part=np.zeros(28),
            mean_mm=START.length_at(tau), se_mm=np.full(28, 2.0), kept_from_mm=np.zeros(28),
            cv=np.full(28, 0.08),
        )  # fmt: skip

        found = fit_year_effects(cells, START, rng=np.random.default_rng(1), draws=500)

        best = max(found.years, key=lambda one: one.ratio)
        assert best.year == 2025
        assert best.lower > 1
        assert found.recent_years == (2023, 2024, 2025)
        [average], [recent] = found.average, found.recent
        assert (recent.curve.length_at(AGES) > average.curve.length_at(AGES)).all()
        assert recent.curve.k / average.curve.k == pytest.approx(
            np.mean([one.ratio for one in found.years if one.year in found.recent_years])
        )

    def test_a_group_with_few_fish_borrows_from_the_others(self):
        few = np.array([3, 4, 5])
        many = np.arange(1, 9)
        longer = 1.3 * START.length_at(few)

        def of(groups):
            cells = [
                (place, age, mean, se)
                for place, (ages, means, se) in enumerate(groups)
                for age, mean in zip(ages, means, strict=True)
            ]
            group, age, mean, se = (np.array(column) for column in zip(*cells, strict=True))
            size = group.size
            return MeanLengths(
                group=group, year=np.full(size, 2026), age=age, part=np.zeros(size), mean_mm=mean,
                se_mm=se.astype(float), kept_from_mm=np.zeros(size), cv=np.full(size, 0.08),
            )  # fmt: skip

        rich = (many, START.length_at(many), 3.0)
        unsure, sure = (
            fit_year_effects(of([rich, rich, (few, longer, se)]), START,
                             rng=np.random.default_rng(1), draws=50)
            for se in (100.0, 2.0)
        )  # fmt: skip

        ours = [one.average[2].curve.length_at([4.0])[0] for one in (unsure, sure)]
        common, own = START.length_at([4.0])[0], longer[1]
        assert ours[0] - common < 0.4 * (own - common)
        assert ours[1] == pytest.approx(own, rel=0.05)

    def test_fish_kept_by_anglers_do_not_bend_the_curve(self):
        lake = GrowthLake(
            seasons=4, effects=0.05, kept_from=210.0, fish=1_500, trips=150, alike=0.0
        )

        cut_off, as_if_all = (fitted(lake, 1, cut=cut).average[0].curve for cut in (True, False))

        true = true_length(lake, 2.0)
        assert cut_off.length_at([2.0])[0] == pytest.approx(true, rel=0.07)
        assert as_if_all.length_at([2.0])[0] > 1.1 * true


class TestCover:
    @pytest.mark.parametrize(
        "lake", [GrowthLake(), GrowthLake(seasons=1)], ids=["3 seasons", "1 season"]
    )
    def test_intervals_hold_the_average_year_about_as_often_as_they_say(self, lake):
        held = []
        for seed in range(16):
            [one] = fitted(lake, seed, draws=300).average
            rows = lengths_at(one.curve, one.draws, AGES)
            true = true_length(lake, AGES)
            held += [row.lower <= t <= row.upper for row, t in zip(rows, true, strict=True)]

        # Lengths of a lake go together: 16 lakes that each hold in 95 % hold fewer than 13 once
        # in a hundred times.
        assert np.mean(held) >= 13 / 16

    def test_one_season_rests_on_the_prior(self):
        found = fitted(GrowthLake(seasons=1, effects=0.0), 1, draws=200)

        assert found.seasons == 1
        # The mean of the half-normal prior of scale 0.2.
        assert found.year_sd == pytest.approx(0.16, abs=0.03)


class TestClock:
    def test_good_years_count_for_more(self):
        years = tuple(
            GrowthYear(year, ratio, ratio, ratio) for year, ratio in ((2024, 1.5), (2025, 0.8))
        )
        found = YearEffects((), (), years, (), 0.2, 2)

        clock = found.clock_of([2025, 2025, 2026, 2024], [1, 0, 3, 2], [0.5, 0.5, 0.0, 0.2])

        by_hand = [1.5 + 0.5 * 0.8, 0.5 * 0.8, 1 + 1.5 + 0.8, 2 + 0.2 * 1.5]
        assert clock == pytest.approx(by_hand)


class TestMeanLengths:
    def of(self, length, trips, **changed):
        size = len(length)
        columns = {
            "group": np.zeros(size, dtype=int), "year": np.full(size, 2026),
            "age": np.full(size, 3), "part": np.zeros(size), "lengths_mm": length, "trips": trips,
            "weights": np.ones(size), "kept_from_mm": np.zeros(size),
        }  # fmt: skip
        return mean_lengths([FIRST, FIRST], **(columns | changed))

    def test_the_error_of_independent_fish_is_that_of_a_plain_mean(self):
        length = np.random.default_rng(1).normal(250, 20, 900)

        cells = self.of(length, np.arange(900) // 3)

        assert cells.mean_mm == pytest.approx([length.mean()])
        assert cells.se_mm[0] == pytest.approx(length.std() / 30, rel=0.1)

    def test_fish_of_trips_that_are_alike_count_for_less(self):
        rng = np.random.default_rng(1)
        trips = np.arange(900) // 15
        alike = 250 + rng.normal(0, 16, 60)[trips] + rng.normal(0, 12, 900)

        cells = self.of(alike, trips)

        assert cells.se_mm[0] == pytest.approx(16 / np.sqrt(60), rel=0.3)

    def test_ages_that_were_caught_together_err_together(self):
        """Against the covariance of means of many such samples."""
        trips, age = np.repeat(np.arange(60), 8), np.tile([3, 3, 3, 3, 3, 4, 4, 4], 60)
        drawn, told = [], []
        for seed in range(150):
            rng = np.random.default_rng(seed)
            off = 0.05 * rng.normal(size=60)[trips] + 0.06 * rng.normal(size=480)
            cells = self.of(FIRST.length_at(age) * (1 + off), trips, age=age)
            drawn.append(cells.mean_mm)
            told.append(cells.covariance_mm2)

        seen, expected = np.cov(np.transpose(drawn)), np.mean(told, axis=0)

        assert seen[0, 1] / np.sqrt(seen[0, 0] * seen[1, 1]) > 0.5
        assert expected == pytest.approx(seen, rel=0.35)

    def test_groups_caught_in_the_same_trips_err_together_and_others_apart(self):
        rng = np.random.default_rng(1)
        trips, group = np.arange(400) // 10, np.arange(400) % 2
        length = 250 + rng.normal(0, 15, 40)[trips] + rng.normal(0, 12, 400)

        same, other = (
            self.of(length, trips + 1_000 * apart * group, group=group).covariance_mm2
            for apart in (0, 1)
        )

        assert same[0, 1] > 0.3 * same[0, 0]
        assert other[0, 1] == 0

    def test_weights_move_the_mean_and_make_it_less_sure(self):
        length = np.random.default_rng(1).normal(250, 20, 400)
        heavy = np.where(length > 250, 5.0, 1.0)
        trips = np.arange(400)

        plain, weighted = self.of(length, trips), self.of(length, trips, weights=heavy)

        assert weighted.mean_mm == pytest.approx([np.average(length, weights=heavy)])
        assert weighted.se_mm[0] > plain.se_mm[0]

    def test_groups_that_grow_apart_do_not_make_their_fish_differ(self):
        rng = np.random.default_rng(1)
        small = replace(FIRST, linf_mm=200.0)
        group = np.repeat([0, 1], 400)
        means = np.array([one.length_at([3.0])[0] for one in (FIRST, small)])
        length = means[group] * rng.normal(1, 0.08, 800)
        cells = mean_lengths(
            [FIRST, small], group=group, year=np.full(800, 2026), age=np.full(800, 3),
            part=np.zeros(800), lengths_mm=length, trips=np.arange(800) // 2,
            weights=np.ones(800), kept_from_mm=np.zeros(800),
        )  # fmt: skip

        assert cells.cv == pytest.approx([0.08, 0.08], rel=0.1)

    def test_groups_seasons_ages_parts_and_kept_fish_have_cells_of_their_own(self):
        base = np.full(6, 250.0) + np.arange(6)
        cells = self.of(
            base,
            np.arange(6),
            group=[0, 1, 0, 0, 0, 0],
            year=[2026, 2026, 2025, 2026, 2026, 2026],
            age=[3, 3, 3, 4, 3, 3],
            part=[0.1, 0.1, 0.1, 0.1, 0.9, 0.1],
            kept_from_mm=[0, 0, 0, 0, 0, 200.0],
        )

        assert cells.mean_mm.size == 6
        assert sorted(cells.mean_mm) == pytest.approx(base)


class TestRefusals:
    def test_fewer_than_four_ages(self):
        with pytest.raises(CannotEstimate) as refused:
            fit_year_effects(_first(CELLS, 3), START, rng=np.random.default_rng(1))

        assert refused.value.code == "too_few_ages"

    def test_groups_with_a_gap(self):
        with pytest.raises(ValueError, match="gap"):
            fit_year_effects(
                replace(CELLS, group=np.full(6, 2)), START, rng=np.random.default_rng(1)
            )

    @pytest.mark.parametrize(
        "broken",
        [
            {"part": np.full(6, 1.2)},
            {"se_mm": np.zeros(6)},
            {"year": np.full(6, 9_999)},
            {"age": np.full(6, 2020)},
            {"cv": np.full(6, np.nan)},
            {"mean_mm": np.full(5, 100.0)},
        ],
    )
    def test_cells_that_are_none(self, broken):
        with pytest.raises(ValueError, match=r"."):
            replace(CELLS, **broken)


def _first(cells, count):
    names = ("group", "year", "age", "part", "mean_mm", "se_mm", "kept_from_mm", "cv")
    return replace(cells, **{name: getattr(cells, name)[:count] for name in names})
