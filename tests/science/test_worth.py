"""What one more aged fish is worth: against brute force, simulated lakes and plain reason."""

import numpy as np
import pytest

from samples.science.errors import CannotEstimate
from samples.science.worth import (
    arm_precision,
    divide_by_length_shares,
    divide_equally,
    effective_number,
    likeness_of_trips,
    plan_by_worth,
    prior_shares,
    survey_of,
    worth_of_cells,
)
from tests.science.lake_of_arms import (
    AGES,
    BIN_MM,
    EDGES,
    draw_ages,
    draw_measured,
    lake_of_arms,
    survey_of_counts,
)

PLANNED = [2, 3, 4]
MIDDLES = EDGES + BIN_MM / 2


@pytest.fixture(scope="module")
def season():
    """A season half read: measured fish of five arms, and a few aged ones of most bins."""
    rng = np.random.default_rng(3)
    lake = lake_of_arms(rng)
    measured = draw_measured(rng, lake, 400)
    counts = draw_ages(rng, lake, np.minimum(measured, rng.integers(0, 12, measured.shape)))
    return counts, measured, survey_of_counts(counts, measured)


def naive_variances(alpha, of_bin, n):
    """Return by plain loops the variance of the age shares, and of mean length at the ages."""
    bins, ages = alpha.shape
    p = [sum(of_bin[i] * alpha[i, j] / alpha[i].sum() for i in range(bins)) for j in range(ages)]
    shares, lengths, weights = 0.0, 0.0, 0.0
    for j in range(ages):
        mean = (
            sum(of_bin[i] * alpha[i, j] / alpha[i].sum() * MIDDLES[i] for i in range(bins)) / p[j]
        )
        of_mean = 0.0
        for i in range(bins):
            total = alpha[i].sum()
            r = alpha[i, j] / total
            variance = r * (1 - r) / (total + 1)
            away = MIDDLES[i] - mean
            shares += of_bin[i] ** 2 * variance + of_bin[i] * (r - p[j]) ** 2 / n
            of_mean += (of_bin[i] * away) ** 2 * variance + of_bin[i] * (r * away) ** 2 / n
        if AGES[j] in PLANNED and p[j] >= 0.01:
            lengths += p[j] * of_mean / p[j] ** 2
            weights += p[j]
    return shares, lengths / weights


class TestAgainstBruteForce:
    """Add a fish, estimate again, and average over the ages that it may turn out to be."""

    @staticmethod
    def drops(survey, measured, what):
        """Return what one more fish of each cell takes off, by adding it."""
        alpha = survey.shares * survey.information[:, :, None]
        found = np.zeros(survey.aged.shape)
        for arm in range(alpha.shape[0]):
            of_bin, n = survey.length_shares[arm], measured[arm].sum()
            now = naive_variances(alpha[arm], of_bin, n)[what]
            for place in range(alpha.shape[1]):
                for age in range(alpha.shape[2]):
                    chance = alpha[arm, place, age] / alpha[arm, place].sum()
                    one_more = alpha[arm].copy()
                    one_more[place, age] += 1
                    then = naive_variances(one_more, of_bin, n)[what]
                    found[arm, place] += chance * (now - then)
        return found

    def test_the_ten_first_cells_for_age_shares_are_the_same_and_in_order(self, season):
        _, measured, survey = season
        worth = worth_of_cells(survey, ages_planned=PLANNED).taken_off(1, lengths_weight=0)
        total = arm_precision(survey, ages_planned=PLANNED).share_variance.sum()

        brute = self.drops(survey, measured, 0)

        first = np.argsort(-worth.ravel())[:10]
        assert first.tolist() == np.argsort(-brute.ravel())[:10].tolist()
        # What the fish tells also spreads the bins: 1 / N_i of the drop, left out of the formula.
        assert (worth * total).ravel()[first] == pytest.approx(brute.ravel()[first], rel=0.06)

    def test_the_first_cells_for_mean_length_are_nearly_the_same(self, season):
        _, measured, survey = season
        worth = worth_of_cells(survey, ages_planned=PLANNED).taken_off(1, lengths_weight=1)

        brute = self.drops(survey, measured, 1)

        first = np.argsort(-worth.ravel())[:10]
        # The ratio's own change with the fish is of second order; the order of near ties too.
        assert len(set(first) & set(np.argsort(-brute.ravel())[:10])) >= 9
        assert np.corrcoef(worth.ravel(), brute.ravel())[0, 1] > 0.98


class TestPlan:
    def test_giving_out_one_by_one_is_no_worse_than_any_other_way(self):
        found = survey_of(
            [[[3, 1], [1, 4], [0, 0]]],
            [[8, 12, 20]],
            [[[0.5, 0.5], [0.1, 0.9], [0.3, 0.7]]],
            mid_lengths=[212, 237, 262],
            ages=[2, 3],
            prior_weight=2,
        )
        worth = worth_of_cells(found, ages_planned=[2, 3])
        plan = plan_by_worth(worth, budget=9, can_be_had=[[8, 12, 20]]).more
        every = [(a, b, 9 - a - b) for a in range(9) for b in range(10 - a)]

        best = max(worth.taken_off([way], lengths_weight=0.5).sum() for way in every)

        assert worth.taken_off(plan, lengths_weight=0.5).sum() == pytest.approx(best)

    def test_predicted_drop_is_what_the_precision_says(self, season):
        _, measured, survey = season
        worth = worth_of_cells(survey, ages_planned=PLANNED)
        plan = plan_by_worth(worth, budget=60, can_be_had=measured, lengths_weight=0)
        now = arm_precision(survey, ages_planned=PLANNED)
        then = arm_precision(survey, ages_planned=PLANNED, more=plan.more)

        drop = 1 - then.share_variance.sum() / now.share_variance.sum()

        assert worth.taken_off(plan.more, lengths_weight=0).sum() == pytest.approx(drop)
        assert (then.mean_cv <= now.mean_cv).all()

    def test_no_fish_are_asked_for_that_the_arm_does_not_have(self, season):
        _, _, survey = season
        worth = worth_of_cells(survey, ages_planned=PLANNED)
        can_be_had = np.zeros(survey.aged.shape)
        can_be_had[2, 4] = 7

        plan = plan_by_worth(worth, budget=60, can_be_had=can_be_had)

        assert (plan.more.sum(), plan.more[2, 4], plan.unused) == (7, 7, 53)

    def test_the_plan_of_a_smaller_budget_is_the_beginning_of_the_larger(self, season):
        _, measured, survey = season
        worth = worth_of_cells(survey, ages_planned=PLANNED)

        large = plan_by_worth(worth, budget=60, can_be_had=measured)
        small = plan_by_worth(worth, budget=25, can_be_had=measured)

        assert (large.first(25) == small.more).all()

    @pytest.mark.parametrize("budget", [-1, 6_000])
    def test_a_budget_that_nobody_reads_is_a_bad_argument(self, budget):
        with pytest.raises(ValueError, match="budget"):
            divide_equally([[1, 2]], budget=budget, can_be_had=[[5, 5]])

    def test_equal_shares_fill_the_emptiest_bins_first(self):
        assert divide_equally([[9, 0, 4]], budget=6, can_be_had=[[20, 3, 20]]).more.tolist() == [
            [0, 3, 3]
        ]

    def test_shares_of_the_lengths_make_up_for_what_is_read_already(self):
        plan = divide_by_length_shares([[6, 0]], [[0.5, 0.5]], budget=6, can_be_had=[[9, 9]])

        assert plan.more.tolist() == [[0, 6]]


class TestTrips:
    def test_a_fish_of_a_new_trip_is_worth_more_than_one_of_the_same(self):
        now = effective_number([4, 4], rho=0.3)

        new, same = effective_number([4, 4, 1], rho=0.3), effective_number([5, 4], rho=0.3)

        assert new - now > 2 * (same - now) > 0

    def test_alike_trips_of_a_cell_leave_less_known(self, season):
        counts, measured, _ = season
        aged = counts.sum(axis=2)
        alike = survey_of(
            counts,
            measured,
            np.full(counts.shape, 1 / AGES.size),
            mid_lengths=MIDDLES,
            ages=AGES,
            prior_weight=2,
            effective=aged / 3,
        )
        independent = survey_of(
            counts,
            measured,
            np.full(counts.shape, 1 / AGES.size),
            mid_lengths=MIDDLES,
            ages=AGES,
            prior_weight=2,
        )

        assert (
            arm_precision(alike, ages_planned=PLANNED).mean_cv
            > arm_precision(independent, ages_planned=PLANNED).mean_cv
        ).all()

    @pytest.mark.parametrize("rho", [0.0, 0.3])
    def test_correlation_within_trips_is_recovered(self, rho):
        rng = np.random.default_rng(5)
        cells = np.repeat(np.arange(20), 40)
        trips = np.repeat(np.arange(200), 4)
        values = 3 + np.sqrt(rho) * rng.normal(size=200)[trips]
        values += np.sqrt(1 - rho) * rng.normal(size=800)

        assert likeness_of_trips(values, cells, trips).correlation == pytest.approx(rho, abs=0.07)

    def test_a_fish_a_trip_says_nothing_of_how_alike_they_are(self):
        with pytest.raises(CannotEstimate) as refused:
            likeness_of_trips(np.arange(40) % 4, np.zeros(40), np.arange(40))
        assert refused.value.code == "too_few_trips"


class TestEmptyCells:
    def test_an_empty_cell_takes_its_ages_from_the_other_arms(self):
        prior = prior_shares([[0, 0, 0], [0, 8, 2], [0, 0, 0]])

        assert prior[1] == pytest.approx([0, 0.8, 0.2])
        assert prior[0] == pytest.approx([0, 0.8, 0.2])

    def test_an_empty_cell_is_worth_more_than_the_same_cell_with_fish(self):
        prior = np.full((1, 2, 2), 0.5)
        found = survey_of(
            [[[0, 0], [5, 5]]],
            [[30, 30]],
            prior,
            mid_lengths=[200, 225],
            ages=[2, 3],
            prior_weight=2,
        )

        worth = worth_of_cells(found, ages_planned=[2, 3]).taken_off(1, lengths_weight=0)

        assert worth[0, 0] > 4 * worth[0, 1]

    def test_no_age_anywhere_leaves_nothing_to_expect(self):
        with pytest.raises(CannotEstimate) as refused:
            prior_shares([[0, 0], [0, 0]])
        assert refused.value.code == "no_fish"


def test_real_error_falls_as_predicted_and_faster_than_by_equal_shares():
    """Read 150 more of a lake that is known: the squared error left, against what was predicted."""
    rng = np.random.default_rng(11)
    predicted: list[float] = []
    by_worth: list[float] = []
    equal: list[float] = []
    for _ in range(40):
        lake = lake_of_arms(rng)
        measured = draw_measured(rng, lake, 600)
        begun = np.minimum(measured, 3)
        counts = draw_ages(rng, lake, begun)
        survey = survey_of_counts(counts, measured)
        worth = worth_of_cells(survey, ages_planned=PLANNED)
        limits = measured - begun
        plan = plan_by_worth(worth, budget=150, can_be_had=limits, lengths_weight=0).more
        even = divide_equally(begun, budget=150, can_be_had=limits).more
        then = arm_precision(survey, ages_planned=PLANNED, more=plan)
        predicted.append(then.share_variance.sum())
        for more, errors in ((plan, by_worth), (even, equal)):
            read = survey_of_counts(counts + draw_ages(rng, lake, more), measured)
            p = arm_precision(read, ages_planned=PLANNED).shares
            errors.append(((p - lake.age_shares) ** 2).sum())

    assert np.mean(by_worth) < np.mean(equal)
    assert np.mean(by_worth) == pytest.approx(np.mean(predicted), rel=0.25)
