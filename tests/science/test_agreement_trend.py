"""Agreement over time, against the same table put to another library and against simulation."""

import numpy as np
import pytest
from statsmodels.stats.contingency_tables import Table

from samples.science.agreement_trend import agreement_by_day, agreement_trend
from samples.science.errors import CannotEstimate


def test_days_are_described_apart():
    one, other = agreement_by_day([9, 2, 9, 9], [3, 4, 5, 5], [4, 4, 5, 4])

    assert (one.day, one.n, one.exact, one.difference) == (2, 1, 1.0, 0.0)
    assert (other.day, other.n) == (9, 3)
    assert other.exact == pytest.approx(1 / 3)
    # Two readers: CV = sqrt 2 times APE (Campana 2001), fish by fish, on 3 and 4, 5 and 5, 5 and 4.
    ape = np.mean([0.5 / 3.5, 0, 0.5 / 4.5])
    assert other.cv == pytest.approx(100 * np.sqrt(2) * ape)
    assert other.lower < other.exact < other.upper


def test_the_test_of_a_trend_is_that_of_armitage():
    """statsmodels (linear-by-linear) takes n - 1 in the variance where Armitage (1955) takes n."""
    days, read, agreed = [0, 10, 45, 60], [20, 15, 25, 30], [18, 12, 20, 19]
    same = [one for n, x in zip(read, agreed, strict=True) for one in [1] * x + [0] * (n - x)]
    table = np.column_stack([np.subtract(read, agreed), agreed])
    theirs = Table(table, shift_zeros=False).test_ordinal_association(
        row_scores=np.array(days), col_scores=np.array([0, 1])
    )

    ours = agreement_trend(np.repeat(days, read), same)

    assert ours.spread == 1
    n = sum(read)
    half = (ours.upper - ours.lower) / 2 / 1.959964
    assert ours.change / half == pytest.approx(theirs.zscore * np.sqrt(n / (n - 1)))


def test_days_that_differ_beyond_chance_widen_the_interval():
    days = np.repeat([0, 20, 40, 60], 20)
    calm = [1] * 15 + [0] * 5
    wild = [1] * 20 + ([1] * 8 + [0] * 12) + [1] * 20 + ([1] * 8 + [0] * 12)

    assert agreement_trend(days, calm * 4).spread == 1
    assert agreement_trend(days, wild).spread > 5
    assert agreement_trend(days, wild).p > 0.2


def test_the_interval_holds_a_known_change_about_as_often_as_it_says():
    rng = np.random.default_rng(26)
    days = np.repeat([0, 12, 30, 41, 60], 40)
    held = 0
    for _ in range(300):
        same = (rng.random(days.size) < 0.9 - 0.002 * days).astype(int)
        found = agreement_trend(days, same)
        held += found.lower <= -0.06 <= found.upper
    assert 0.92 <= held / 300 <= 0.99


@pytest.mark.parametrize(
    ("days", "same", "code"),
    [
        ([0, 1] * 20, [1, 0] * 20, "few_days"),
        ([0, 1, 2] * 6, [1, 0, 1] * 6, "few_fish"),
        ([0, 1, 2] * 10, [1, 1, 1] * 10, "no_spread"),
    ],
)
def test_poor_data_give_no_trend(days, same, code):
    with pytest.raises(CannotEstimate) as refused:
        agreement_trend(days, same)
    assert refused.value.code == code
