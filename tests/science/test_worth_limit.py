"""The width of a length limit's answer: against brute force, draws, and a two-stage bootstrap."""

import numpy as np
import pytest

from samples.science.errors import CannotEstimate
from samples.science.worth import (
    LimitQuestion,
    arm_precision,
    limit_answer,
    limit_worth,
    plan_by_worth,
    survey_of,
    worth_of_cells,
)
from tests.science.limit_by_force import (
    QUESTION,
    answer_of,
    drops_by_adding,
    small_survey,
)


@pytest.fixture(scope="module")
def small():
    """A survey of one arm, and the same as shares with the fish behind them."""
    counts, of_bin, truth, middles, ages = small_survey(np.random.default_rng(5), each=30)
    survey = survey_of(
        counts[None],
        (400 * of_bin)[None],
        truth[None],
        mid_lengths=middles,
        ages=ages,
        prior_weight=2,
    )
    alpha = survey.shares[0] * survey.information[0][:, None]
    return survey, alpha, of_bin, middles, ages


def test_one_more_fish_takes_off_what_adding_it_does(small):
    survey, *known = small
    answer = limit_answer(survey, 0, QUESTION)

    now, drops = drops_by_adding(*known)

    predicted = answer.from_cells / (answer.information + 1)
    assert answer.from_cells.sum() == pytest.approx(now, rel=0.01)
    # The fish also moves the estimate at which slopes are taken: of the order of 1 / A.
    assert predicted == pytest.approx(drops, rel=0, abs=0.06 * drops.max())
    assert np.argsort(-predicted)[:3].tolist() == np.argsort(-drops)[:3].tolist()


def test_variance_is_that_of_drawn_keys(small):
    survey, alpha, *others = small
    rng = np.random.default_rng(2)
    answer = limit_answer(survey, 0, QUESTION)

    drawn = [
        answer_of(np.array([rng.dirichlet(one) for one in 8 * alpha + 1e-9]), *others)
        for _ in range(200)
    ]

    # Eight times the fish, where the answer is near a straight line: 200 draws tell it to 20%.
    left = answer.from_cells * (answer.information + 1) / (8 * answer.information + 1)
    assert np.var(drawn) == pytest.approx(left.sum(), rel=0.3)


def test_more_fish_narrow_the_answer_and_m_bounds_it(small):
    survey, *_ = small
    answer = limit_answer(survey, 0, QUESTION)
    many = np.full(answer.information.size, 1e9)

    assert answer.half_width(many) < answer.half_width(0 * many) / 1.05
    assert answer.half_width(many) == pytest.approx(answer.half_width_at_best)


def test_only_open_arms_are_planned_for(small):
    survey, *_ = small
    worth = worth_of_cells(survey, ages_planned=[2, 3])
    unsure = limit_answer(
        survey, 0, LimitQuestion(limit_mm=254, kept_from_mm=200, m=0.35, m_sd=0.3)
    )
    sure = limit_answer(survey, 0, LimitQuestion(limit_mm=380, kept_from_mm=200, m=0.35, m_sd=0.01))

    assert (unsure.is_open, sure.is_open) == (True, False)
    assert limit_worth(worth, [sure]).from_limit.sum() == 0
    planned = limit_worth(worth, [unsure])
    plan = plan_by_worth(planned, budget=20, can_be_had=[[9] * 5], limit_weight=1)
    best = np.argmax(unsure.from_cells / (unsure.information + 1))
    assert plan.order[0] == best


@pytest.mark.parametrize(
    ("question", "code"),
    [
        (LimitQuestion(limit_mm=200, kept_from_mm=200, m=0.35, m_sd=0.05), "limit_below_kept"),
        (LimitQuestion(limit_mm=254, kept_from_mm=200, m=3.0, m_sd=0.05), "no_fishing"),
    ],
)
def test_what_cannot_be_answered_is_refused(small, question, code):
    with pytest.raises(CannotEstimate) as refused:
        limit_answer(small[0], 0, question)
    assert refused.value.code == code


def test_variance_of_shares_and_mean_lengths_is_that_of_a_two_stage_bootstrap():
    """Measured fish drawn again, then aged fish of each bin among them; Efron & Tibshirani 1993."""
    rng = np.random.default_rng(8)
    counts, of_bin, truth, middles, ages = small_survey(rng, each=60)
    measured = rng.multinomial(500, of_bin)
    known = arm_precision(survey_with(counts, measured, truth, middles, ages), ages_planned=[2, 3])
    drawn_shares, drawn_means = [], []
    share = counts / counts.sum(axis=1, keepdims=True)
    for _ in range(1_500):
        again = np.array([rng.multinomial(60, one) for one in share])
        lengths = rng.multinomial(500, measured / 500) / 500
        joint = lengths[:, None] * again / 60
        p = joint.sum(axis=0)
        drawn_shares.append(p)
        drawn_means.append(((joint * middles[:, None]).sum(axis=0) / p)[1:3])

    error = np.std(drawn_shares, axis=0)
    assert np.sqrt(known.share_variance[0]) == pytest.approx(error, rel=0.08)
    of_mean = np.sqrt(known.length_variance[0][1:3])
    assert of_mean == pytest.approx(np.std(drawn_means, axis=0), rel=0.08)


def survey_with(counts, measured, prior, middles, ages):
    return survey_of(
        counts[None],
        measured[None],
        prior[None],
        mid_lengths=middles,
        ages=ages,
        prior_weight=0.01,
    )
