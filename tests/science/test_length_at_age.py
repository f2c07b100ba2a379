"""Mean length at age against a naive twin, and its refusals."""

import math
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.science.errors import CannotEstimate
from samples.science.length_at_age import length_at_age, t_quantile, t_within


def counted(lengths):
    return {length: lengths.count(length) for length in set(lengths)}


class TestLengthAtAge:
    @given(st.lists(st.integers(1_000, 200_000), min_size=2, max_size=60))
    def test_agrees_with_a_naive_twin(self, lengths):
        found = length_at_age(counted(lengths))

        sd = statistics.stdev(lengths)
        half = t_quantile(len(lengths) - 1) * sd / math.sqrt(len(lengths))
        assert found.n == len(lengths)
        assert found.mean == pytest.approx(statistics.fmean(lengths))
        assert found.sd == pytest.approx(sd)
        assert found.lower == pytest.approx(found.mean - half)
        assert found.upper == pytest.approx(found.mean + half)

    def test_long_lengths_that_hardly_differ_keep_their_sd(self):
        found = length_at_age({199_999: 500, 200_000: 500})

        assert found.sd == pytest.approx(math.sqrt(250 / 999), rel=1e-12)

    def test_one_fish_has_no_sd_and_no_interval(self):
        found = length_at_age({25_400: 1})

        assert (found.mean, found.sd, found.lower, found.upper) == (25_400, None, None, None)

    def test_no_fish_have_no_mean(self):
        with pytest.raises(CannotEstimate) as refused:
            length_at_age({})
        assert refused.value.code == "no_fish"


class TestStudent:
    @pytest.mark.parametrize("df", [1, 2, 3, 7, 30, 299])
    def test_the_quantile_is_where_the_probability_says(self, df):
        assert t_within(t_quantile(df), df) == pytest.approx(0.95, abs=1e-12)

    def test_it_nears_the_normal_one(self):
        assert t_quantile(5_000) == pytest.approx(statistics.NormalDist().inv_cdf(0.975), abs=1e-3)
