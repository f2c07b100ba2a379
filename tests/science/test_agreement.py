"""Agreement: bias, tables, sentences, and what is refused."""

import numpy as np
import pytest

from samples.science.agreement import agreement, precision, symmetry
from samples.science.errors import CannotEstimate


def test_a_fish_that_all_call_0_agrees():
    found = precision([[0, 0], [0, 1]])

    assert found.ape_by_fish.tolist() == [0, 100]
    assert found.all_agree == 50


def test_the_table_and_the_bias_by_age():
    found = agreement([1, 1, 2, 2, 2, 4], [1, 2, 2, 2, 3, 3])

    assert found.ages == (1, 2, 3, 4)
    assert found.table.tolist() == [[1, 1, 0, 0], [0, 2, 1, 0], [0, 0, 0, 0], [0, 0, 1, 0]]
    first, second, last = found.by_age
    assert (first.age, first.n, first.mean, first.exact, first.within_1) == (1, 2, 1.5, 50, 100)
    # Mean 7/3, sd 0.5774 of three: 4.303 standard errors of 0.3333 to either side.
    assert second.lower == pytest.approx(7 / 3 - 4.30265 / 3, rel=1e-5)
    assert second.upper == pytest.approx(7 / 3 + 4.30265 / 3, rel=1e-5)
    assert (last.n, last.lower, last.upper) == (1, None, None)


def test_who_reads_older_is_said():
    one = np.repeat([2, 3, 4, 5], 20)

    higher = agreement(one, one + (np.arange(80) % 2), names=("Vesk", "Aubrey"))
    alike = agreement(one, one, names=("Vesk", "Aubrey"))
    by_chance = agreement(one, one + np.tile([1, -1, 0, 0], 20), names=("Vesk", "Aubrey"))

    assert higher.symmetry[0].meaning.startswith("Aubrey ")
    assert higher.symmetry[0].p < 0.05
    assert (alike.symmetry[0].df, alike.symmetry[0].p) == (0, 1)
    assert by_chance.symmetry[0].p == 1


def test_readers_swapped_give_the_same_tests():
    table = np.random.default_rng(1).poisson(4, (6, 6))

    for one, other in zip(symmetry(table), symmetry(table.T), strict=True):
        assert (one.chi2, one.df, one.p) == (other.chi2, other.df, other.p)


@pytest.mark.parametrize(
    ("one", "other", "words"),
    [
        ([1, 2], [1], "shapes differ"),
        ([1, -2], [1, 2], "negative"),
        ([1.5, 2], [1, 2], "whole"),
    ],
)
def test_what_cannot_be_compared_is_a_bad_argument(one, other, words):
    with pytest.raises(ValueError, match=words):
        agreement(one, other)


def test_without_fish_there_is_no_agreement():
    with pytest.raises(CannotEstimate) as refused:
        agreement([], [])

    assert refused.value.code == "no_fish"
    assert refused.value.sentence.endswith(".")
