"""Worth of one more aged fish against published formulas.

The two-stage variance is that of Quinn & Deriso (1999), Quantitative Fish Dynamics, pp. 304-305,
after Kimura (1977), J. Fish. Res. Board Can. 34:317-324: that they set it out there is seen in an
abstract of the pages, the formula itself is recalled. Numbers are constructed.
"""

import numpy as np
import pytest

from samples.science.worth import (
    arm_precision,
    effective_number,
    plan_by_worth,
    survey_of,
    worth_of_cells,
)

MEASURED = np.array([40, 60, 50, 30, 20])
COUNTS = np.array(
    [[8, 2, 0, 0, 0], [3, 6, 1, 0, 0], [0, 5, 4, 1, 0], [0, 1, 4, 3, 0], [0, 0, 2, 2, 1]]
)


def survey(times=1):
    """Return an arm with so many times the aged fish, and next to no prior, which says the same."""
    return survey_of(
        [times * COUNTS],
        [MEASURED],
        [COUNTS / COUNTS.sum(axis=1)[:, None]],
        mid_lengths=np.array([7.5, 8.5, 9.5, 10.5, 11.5]) * 25.4,
        ages=[1, 2, 3, 4, 5],
        prior_weight=0.01,
    )


def test_standard_errors_of_age_shares_by_the_two_stage_formula():
    """With many aged fish a bin, dividing by A_i + 1 or by n_i - 1 is one: within 1% at 50 times
    the fish, where the published form is computed by hand."""
    times = 50
    of_bin = MEASURED / MEASURED.sum()
    n = times * COUNTS.sum(axis=1)
    r = COUNTS / COUNTS.sum(axis=1)[:, None]
    p = of_bin @ r
    variance = (of_bin[:, None] ** 2 * r * (1 - r) / (n - 1)[:, None]).sum(axis=0)
    variance += (of_bin[:, None] * (r - p) ** 2).sum(axis=0) / MEASURED.sum()

    found = arm_precision(survey(times), ages_planned=[2, 3])

    assert found.shares[0] == pytest.approx(p, rel=1e-3)
    assert np.sqrt(found.share_variance[0]) == pytest.approx(np.sqrt(variance), rel=0.01)


def test_one_more_fish_takes_off_what_the_first_term_says():
    """sum_j l_i^2 r_ij (1 - r_ij) [1 / (n_i - 1) - 1 / n_i], worked apart for these counts:
    bins of 8, 9, 11, 10 and 7 in in this order; the sizes agree where there are many fish."""
    order = np.argsort(
        -worth_of_cells(survey(), ages_planned=[2, 3]).taken_off(1, lengths_weight=0)
    )
    times, total = 50, arm_precision(survey(50), ages_planned=[2, 3]).share_variance.sum()
    n = times * COUNTS.sum(axis=1)
    r = COUNTS / COUNTS.sum(axis=1)[:, None]
    first_term = (MEASURED / 200) ** 2 * (r * (1 - r)).sum(axis=1) * (1 / (n - 1) - 1 / n)

    gain = worth_of_cells(survey(times), ages_planned=[2, 3]).taken_off(1, lengths_weight=0)

    assert (7 + order[0]).tolist() == [8, 9, 11, 10, 7]
    assert gain[0] * total == pytest.approx(first_term, rel=0.015)


def test_mean_length_is_weighted_by_the_measured_fish():
    """Bettoli & Miranda (2001), N. Am. J. Fish. Manage. 21:425-428: the means of these counts, as
    in the test of the key."""
    found = arm_precision(survey(), ages_planned=[1, 2, 3, 4, 5])

    assert found.mean_length[0] / 25.4 == pytest.approx(
        [7.86, 8.8367698, 10.010204, 10.623711, 11.5], rel=1e-6
    )


def test_large_budgets_are_divided_as_neyman_did():
    """n_h in proportion to N_h S_h: Neyman (1934), J. R. Stat. Soc. 97:558-625; Cochran (1977),
    Sampling Techniques, 5.5. Seen, as a worked question: N of 500, 300, 200 and S of 1, 5, 5
    give 1, 3 and 2 parts of 6."""
    # Two ages alike in number have S = 1/2; r = (1 +- sqrt(0.96)) / 2 has S = 1/10, a fifth.
    lopsided = (1 + np.sqrt(0.96)) / 2
    arm = survey_of(
        np.zeros((1, 3, 2)),
        [[500, 300, 200]],
        [[[lopsided, 1 - lopsided], [0.5, 0.5], [0.5, 0.5]]],
        mid_lengths=[200, 225, 250],
        ages=[2, 3],
        prior_weight=0.01,
    )
    worth = worth_of_cells(arm, ages_planned=[])

    plan = plan_by_worth(worth, budget=600, can_be_had=[[999] * 3], lengths_weight=0)

    assert plan.more.tolist() == [[100, 300, 200]]


def test_fish_of_a_trip_by_the_design_effect():
    """Kish (1965), Survey Sampling: 1 + (m - 1) rho, here 2.8 with 10 fish a trip and rho 0.2."""
    assert effective_number([10] * 20, rho=0.2) == pytest.approx(200 / 2.8)
