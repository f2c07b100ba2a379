"""Year classes and total mortality in one model, on lakes whose truth is known."""

import numpy as np
import pytest
from statsmodels.genmod.bayes_mixed_glm import PoissonBayesMixedGLM

from samples.science.catch_at_age import SPREADS, CatchAtAge, Cells
from samples.science.errors import CannotEstimate
from samples.science.year_class_model import YearClassRating, effective_number, fit_catch_curve

Z, FIRST, BEYOND = 0.6, 2, 3
FIRST_YEAR, LAST_SEASON = 1990, 2026


def lake(seed, seasons, *, spread=0.3, fish=150, special=None):
    """Draw the catch at age of some seasons; give it with the true strengths by year."""
    rng = np.random.default_rng(seed)
    effects = rng.normal(0, spread, LAST_SEASON - FIRST_YEAR + 1)
    if special:
        effects[special[0] - FIRST_YEAR] = np.log(special[1])
    tables = []
    for season in range(LAST_SEASON - seasons + 1, LAST_SEASON + 1):
        ages = np.arange(FIRST, 26)
        mean = np.exp(effects[season - ages - FIRST_YEAR] - Z * ages)
        tables.append((season, ages, rng.poisson(mean * fish / mean.sum())))
    last = max(int(ages[counts > 0].max()) for _, ages, counts in tables) + BEYOND
    found = []
    for season, ages, counts in tables:
        kept = ages <= last
        numbers = counts[kept].astype(float)
        aged = int(numbers.sum())
        found.append(CatchAtAge(season, ages[kept], numbers, np.ones(numbers.size), aged))
    return found, effects


def fit(series, seed=1, draws=400):
    return fit_catch_curve(series, rng=np.random.default_rng(seed), draws=draws)


def of_year(found, year):
    [one] = [one for one in found.classes if one.year == year]
    return one


@pytest.mark.parametrize(("spread", "seasons"), [(0.3, 1), (0.6, 3)])
def test_intervals_hold_z_and_the_classes_about_as_often_as_they_say(spread, seasons):
    of_z, of_classes = [], []
    for seed in range(60):
        series, effects = lake(seed, seasons, spread=spread)
        found = fit(series, seed)
        low, high = found.interval
        of_z.append(low <= Z <= high)
        true = effects[np.array([one.year for one in found.classes]) - FIRST_YEAR]
        true = np.exp(true - true.mean())
        of_classes += [
            one.lower <= ratio <= one.upper
            for one, ratio in zip(found.classes, true, strict=True)
            if one.expected_aged >= 5
        ]

    # 60 lakes: 95 % held is 57; fewer than 51 would come once in 200 times.
    assert np.mean(of_z) >= 0.85
    assert 0.9 <= np.mean(of_classes) <= 1.0


def test_a_strong_class_is_named_over_three_seasons():
    named = [
        of_year(fit(lake(seed, 3, special=(2022, 2.8))[0]), 2022).strength for seed in range(15)
    ]

    assert named.count(YearClassRating.STRONG) >= 14


def test_one_season_names_no_class():
    series, _ = lake(1, 1, special=(2022, 5.0))

    assert {one.strength for one in fit(series).classes} <= {
        YearClassRating.NOT_DIFFERENT,
        YearClassRating.NOT_SAMPLED,
    }


def test_steady_recruitment_is_hardly_ever_flagged():
    flags = [
        one.strength in (YearClassRating.STRONG, YearClassRating.WEAK)
        for seed in range(20)
        for one in fit(lake(seed, 3, spread=0.0, fish=1_000)[0]).classes
    ]

    assert np.mean(flags) < 0.02


def test_a_class_without_fish_is_weak_where_fish_were_expected_and_else_not_sampled():
    series, _ = lake(2, 3, special=(2022, 1e-6))
    found = fit(series)

    assert of_year(found, 2022).strength is YearClassRating.WEAK
    oldest = found.classes[0]
    assert (oldest.seen, oldest.strength) == (0, YearClassRating.NOT_SAMPLED)


def test_more_fish_alone_raise_no_alarm():
    """The overdispersion of a catch curve grows with the fish; the change of Z does not."""
    moved = [
        fit(lake(seed, 3, spread=0.3, fish=fish)[0]).z for seed in range(6) for fish in (4_000,)
    ]

    assert np.std(moved) < 0.15


def test_says_which_class_moves_z_most():
    series, _ = lake(3, 3, spread=0.0, fish=400, special=(2021, 6.0))
    found = fit(series)

    assert found.moved_by is not None
    assert found.most_moved > 0.3


def test_the_share_that_is_kept_is_made_up_for():
    """Fish of the first age of which 60 % are kept are not taken for fish that died."""
    series, _ = lake(4, 3, spread=0.0, fish=3_000)
    cut = []
    for one in series:
        kept = np.ones(one.ages.size)
        kept[0] = 0.6
        cut.append(CatchAtAge(one.season_year, one.ages, one.numbers * kept, kept, one.aged))

    assert fit(cut).z == pytest.approx(fit(series).z, abs=0.02)


@pytest.mark.filterwarnings("ignore::RuntimeWarning")  # of the library, on its way
def test_the_mode_is_that_of_the_library():
    """statsmodels' PoissonBayesMixedGLM, its spread of the classes held at 1 by a tight prior."""
    series, _ = lake(5, 3, spread=0.6)
    ages = np.concatenate([one.ages for one in series])
    numbers = np.concatenate([one.numbers for one in series])
    place = np.concatenate([np.full(one.ages.size, k) for k, one in enumerate(series)])
    born = np.concatenate([one.season_year - one.ages for one in series])
    middle = np.average(ages, weights=numbers)
    fixed = np.column_stack([*(place == k for k in range(3)), -(ages - middle)]).astype(float)
    random = (born[:, None] == np.unique(born)).astype(float)
    library = PoissonBayesMixedGLM(
        numbers, fixed, random, np.zeros(random.shape[1], dtype=int), vcp_p=0.02, fe_p=1e3
    ).fit_map()

    theta, _, _ = Cells.of(series).mode_at(
        np.concatenate([np.ones(3), [0.5], np.zeros(random.shape[1])]), 1.0
    )

    assert theta[3] == pytest.approx(library.fe_mean[3], abs=2e-3)
    assert theta[4:] == pytest.approx(library.vc_mean, abs=5e-3)


@pytest.mark.parametrize(
    ("numbers", "aged", "code"),
    [([40.0, 0, 0], 60, "too_few_ages"), ([40.0, 20, 10], 12, "too_few_fish")],
)
def test_minimums_hold_for_aged_fish(numbers, aged, code):
    """12 aged fish of 400 measured ones are 12, whatever their key expands them to."""
    one = CatchAtAge(2026, np.arange(2, 5), np.array(numbers), np.ones(3), aged)

    with pytest.raises(CannotEstimate) as refused:
        fit([one])

    assert refused.value.code == code


def test_alike_fish_are_worth_fewer():
    rng = np.random.default_rng(1)
    shares = np.array([0.5, 0.3, 0.2])
    alone = rng.multinomial(200, shares, 4_000) / 200

    assert effective_number(shares, alone) == pytest.approx(200, rel=0.05)
    assert effective_number(shares, rng.multinomial(50, shares, 4_000) / 50) < 60


def test_the_spreads_tried_reach_from_steady_to_wild():
    assert SPREADS[0] < 0.05
    assert SPREADS[-1] > 2


def test_without_leaving_classes_out_all_else_is_the_same():
    series, _ = lake(3, 3)

    whole, plain = (
        fit_catch_curve(series, rng=np.random.default_rng(1), draws=200, leave_out=leave_out)
        for leave_out in (True, False)
    )

    assert whole.moved_by in {one.year for one in whole.classes}
    assert (plain.moved_by, plain.most_moved) == (None, 0.0)
    assert (plain.z, plain.interval, plain.classes) == (whole.z, whole.interval, whole.classes)
