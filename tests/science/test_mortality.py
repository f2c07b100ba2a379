"""Death rates: recovery of known truth, draws, and what is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.science.errors import CannotEstimate
from samples.science.mortality import chapman_robson, drawn_rates, weighted_regression
from samples.science.rates import (
    exploitation_from_tags,
    fishing_left,
    natural_from_growth,
    natural_from_oldest,
    rates_from_shares,
    rates_of,
)

AGES = np.arange(1, 13)


def sample(rng, rate, n=2_000):
    share = np.exp(-rate * AGES)
    return rng.multinomial(n, share / share.sum())


@pytest.mark.parametrize("rate", [0.4, 0.8, 1.2])
def test_a_known_rate_is_found_again(rate):
    rng = np.random.default_rng(3)

    found = [chapman_robson(AGES, sample(rng, rate), first_age=1) for _ in range(40)]

    assert np.mean([one.z for one in found]) == pytest.approx(rate, abs=0.03)
    held = [abs(one.z - rate) < 1.96 * one.se for one in found]
    assert np.mean(held) >= 0.8
    assert all(one.a == pytest.approx(1 - np.exp(-one.z)) for one in found)


def test_draws_lie_about_the_estimate():
    rng = np.random.default_rng(4)
    numbers = sample(rng, 0.7)
    drawn = rng.multinomial(2_000, numbers / 2_000, size=500)

    rates = drawn_rates(AGES, drawn, first_age=1)

    assert rates.size == 500
    assert np.median(rates) == pytest.approx(chapman_robson(AGES, numbers, first_age=1).z, abs=0.01)


def test_draws_without_older_fish_are_left_out():
    drawn = np.array([[10, 5, 2], [10, 0, 0]])

    assert drawn_rates([1, 2, 3], drawn, first_age=1).size == 1


def test_an_age_without_weight_is_left_out_and_told():
    found = weighted_regression(range(1, 8), [600, 150, 40, 9, 1, 1, 1])

    assert [code for code, _ in found.warnings] == ["age_left_out"]
    assert found.warnings[0][1].startswith("Age 7 ")


@pytest.mark.parametrize(
    ("ages", "numbers", "code"),
    [
        ([], [], "no_fish"),
        ([1, 2, 3], [90, 50, 40], "too_few_ages"),
        ([1, 2, 3, 4], [90, 10, 5, 3], "too_few_fish"),
    ],
)
def test_too_little_is_refused_in_words(ages, numbers, code):
    with pytest.raises(CannotEstimate) as refused:
        chapman_robson(ages, numbers)

    assert refused.value.code == code
    assert refused.value.sentence.endswith(".")


@pytest.mark.parametrize(
    ("ages", "numbers", "words"),
    [([1, 2, 3], [5, -1, 2], "negative"), ([1, 2, 4], [50, 40, 30], "follow one")],
)
def test_numbers_that_are_none_are_a_bad_argument(ages, numbers, words):
    with pytest.raises(ValueError, match=words):
        chapman_robson(ages, numbers)


@given(st.floats(0.01, 3), st.floats(0.01, 3))
def test_rates_convert_there_and_back(fishing, natural):
    there = rates_of(fishing, natural)
    back = rates_from_shares(there.a, there.u)

    assert back.f == pytest.approx(fishing, rel=1e-6)
    assert back.m == pytest.approx(natural, rel=1e-6)
    assert there.u + there.v == pytest.approx(float(there.a))


class TestTags:
    def test_what_is_reported_lost_and_dead_is_made_up_for(self):
        found = exploitation_from_tags(200, 24, reporting=(0.5, 0.7), tags_kept=0.9, survived=0.95)

        assert found.u == pytest.approx(24 / (200 * 0.9 * 0.95 * 0.6))
        assert found.lower < 24 / (200 * 0.9 * 0.95 * 0.7) < found.u
        assert found.u < 24 / (200 * 0.9 * 0.95 * 0.5) < found.upper

    def test_no_tag_back_is_a_share_of_0_with_an_upper_end(self):
        found = exploitation_from_tags(100, 0, reporting=(1, 1))

        # The exact 95 % interval of 0 in 100 ends at 3.62 %.
        assert (found.u, found.lower) == (0, 0)
        assert found.upper == pytest.approx(0.0362, abs=0.0001)

    @pytest.mark.parametrize(
        ("out", "back", "reporting"), [(10, 11, (0.5, 0.5)), (10, 5, (0.0, 0.5))]
    )
    def test_what_cannot_be_is_a_bad_argument(self, out, back, reporting):
        with pytest.raises(ValueError, match=r"must (lie|be)"):
            exploitation_from_tags(out, back, reporting=reporting)

    def test_tags_that_contradict_are_refused(self):
        with pytest.raises(CannotEstimate) as refused:
            exploitation_from_tags(10, 9, reporting=(0.2, 0.3))

        assert refused.value.code == "more_taken_than_tagged"


def test_what_is_left_below_nought_is_counted_and_kept():
    found = fishing_left([0.8, 0.5, 0.4], [0.5, 0.5, 0.6])

    assert found.f == pytest.approx([0.3, 0, -0.2])
    assert found.not_above_zero == pytest.approx(2 / 3)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: natural_from_oldest(0),
        lambda: natural_from_growth(-1, 0.4),
        lambda: rates_of(-0.1, 0.3),
        lambda: rates_from_shares(0.5, 0.6),
    ],
)
def test_rates_that_cannot_be_are_bad_arguments(ask):
    with pytest.raises(ValueError, match="must"):
        ask()
