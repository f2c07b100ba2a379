"""Rules beside a minimum limit, and averages over a cohort, against lives followed one by one."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import integrate, stats

from samples.science.errors import CannotEstimate
from samples.science.length_limit.axes import axes
from samples.science.length_limit.cases import break_even, change
from samples.science.length_limit.fish_lives import Lives
from samples.science.length_limit.per_recruit import Rule, per_recruit
from samples.science.length_limit.rules import creel_share, one_over_share

LINF, K, T0, M, F, CV = 330.0, 0.4, -0.1, 0.4, 0.6, 0.09
KEPT, LIMIT, LAST = 203.0, 254.0, 25.0
LOG10_A, B = -5.642, 3.332
FISHING = np.array([F])


def fish(spread=CV, length_max=LINF, draws=1):
    linf, rate, zero, natural = (np.full(draws, one) for one in (length_max, K, T0, M))
    return Lives(linf, rate, zero, natural, spread, LOG10_A, B)


def followed(rule_at, preferred, *, steps=20_000, scale=1.0, release=0.1):
    """Follow fish of one scale in small steps: number, weight, length and large fish, a recruit.

    ``rule_at(length)`` gives how often it is caught against F, and the share kept.
    """
    ages = np.linspace(1.0, LAST, steps + 1)
    middle = (ages[1:] + ages[:-1]) / 2
    length = scale * LINF * -np.expm1(-K * (middle - T0))
    caught, kept = (np.array(one) for one in zip(*map(rule_at, length), strict=True))
    rate = F * caught
    dying = (M + rate * (kept + (1 - kept) * release)) * np.diff(ages)
    alive = np.exp(-np.concatenate([[0.0], np.cumsum(dying)[:-1]]) - dying / 2)
    in_all = alive * rate * np.diff(ages)
    taken = in_all * kept
    weight = 10**LOG10_A * length**B
    return np.array(
        [
            taken.sum(),
            (taken * weight).sum(),
            (taken * length).sum(),
            in_all[length > preferred].sum(),
        ]
    )


RULES = {
    "minimum": (
        Rule(KEPT, LIMIT, 0.1, 0.7),
        lambda length: (0, 0) if length < KEPT else (0.7, 0) if length < LIMIT else (1, 1),
    ),
    "slot": (
        Rule(KEPT, release_death=0.1, slot_mm=(LIMIT, 290.0)),
        lambda length: (0, 0) if length < KEPT else (1, 0) if LIMIT <= length < 290 else (1, 1),
    ),
    "one over": (
        Rule(KEPT, release_death=0.1, over_mm=LIMIT, share_over=0.4),
        lambda length: (0, 0) if length < KEPT else (1, 0.4) if length >= LIMIT else (1, 1),
    ),
    "creel limit": (
        Rule(KEPT, release_death=0.1, share_kept=0.6),
        lambda length: (0, 0) if length < KEPT else (1, 0.6),
    ),
}


@pytest.mark.parametrize("name", RULES)
def test_a_rule_does_what_it_does_to_a_fish_followed_through_its_life(name):
    rule, rule_at = RULES[name]

    found = per_recruit(fish(spread=0.0), FISHING, rule, preferred_mm=250.0)

    number, weight, length, large = followed(rule_at, 250.0)
    assert found.number[0] == pytest.approx(number, rel=2e-3)
    assert found.weight_g[0] == pytest.approx(weight, rel=2e-3)
    assert found.mean_length_mm[0] == pytest.approx(length / number, rel=2e-3)
    assert found.preferred[0] == pytest.approx(large, rel=2e-3)


@pytest.mark.parametrize("name", RULES)
def test_the_average_of_a_cohort_is_that_of_many_fish(name):
    rule, rule_at = RULES[name]
    shares = (np.arange(101) + 0.5) / 101
    each = [
        followed(rule_at, 250.0, steps=1_500, scale=1 + CV * one) for one in stats.norm.ppf(shares)
    ]
    number, weight, length, large = np.mean(each, axis=0)

    found = per_recruit(fish(), FISHING, rule, preferred_mm=250.0)

    assert found.number[0] == pytest.approx(number, rel=5e-3)
    assert found.weight_g[0] == pytest.approx(weight, rel=5e-3)
    assert found.mean_length_mm[0] == pytest.approx(length / number, rel=2e-3)
    assert found.preferred[0] == pytest.approx(large, rel=5e-3)


def test_axes_of_a_cohort_to_more_than_the_third_decimal():
    """SciPy's adaptive quadrature of the same integrals over a normal length at age."""
    linf = 270.0
    lives = fish(length_max=linf)
    found = axes(lives, FISHING, kept_from_mm=KEPT, limit_mm=LIMIT)
    ends = [(length / linf - 1) / CV for length in (KEPT, LIMIT)]

    def way(normal):
        top = (1 + CV * normal) * linf
        end = T0 - np.log1p(-LIMIT / top) / K
        start = T0 - np.log1p(-KEPT / top) / K
        return end - start if end <= LAST else None

    def whole(rate):
        def inner(normal):
            years = way(normal)
            return 0.0 if years is None else stats.norm.pdf(normal) * np.exp(-rate * years)

        return integrate.quad(inner, ends[1] + 1e-12, 8, limit=400)[0]

    reach = whole(0.0)
    assert found.reach[0] == pytest.approx(stats.norm.sf(ends[1]), abs=5e-4)
    assert found.survival[0] == pytest.approx(whole(M) / reach, abs=2e-4)
    assert found.taken[0] == pytest.approx(1 - whole(M + F) / whole(M), abs=2e-4)
    assert found.arrived[0] == pytest.approx(whole(M + F) / stats.norm.sf(ends[0]), abs=2e-4)


def test_release_death_at_which_a_limit_gains_nothing_gains_nothing():
    lives, now, fishing = replace(fish(), m=np.array([0.2])), Rule(KEPT), np.array([1.0])

    death = break_even(lives, fishing, now, Rule(KEPT, LIMIT))[0]

    assert 0 < death < 1
    then = Rule(KEPT, LIMIT, float(death))
    assert change(lives, fishing, now, then).weight[0] == pytest.approx(0, abs=1e-4)


def test_release_death_that_a_higher_limit_bears_is_that_of_both_rules():
    lives, fishing = replace(fish(), m=np.array([0.05])), np.array([1.0])

    death = float(break_even(lives, fishing, Rule(KEPT, LIMIT), Rule(KEPT, LIMIT + 20))[0])

    assert 0 < death < 1
    now, then = Rule(KEPT, LIMIT, death), Rule(KEPT, LIMIT + 20, death)
    assert change(lives, fishing, now, then).weight[0] == pytest.approx(0, abs=1e-4)


def test_a_slot_that_is_lifted_gives_back_what_it_took():
    lives, slot = fish(), Rule(KEPT, release_death=0.1, slot_mm=(LIMIT, 290.0))
    there = change(lives, FISHING, Rule(KEPT), slot)
    back = change(lives, FISHING, slot, Rule(KEPT))

    assert (1 + there.number[0]) * (1 + back.number[0]) == pytest.approx(1)
    assert there.number[0] < 0 < there.preferred[0]


class TestTrips:
    """A geometric number of fish a trip, drawn and cut at the limit."""

    def drawn(self, mean, count=400_000):
        return np.random.default_rng(3).geometric(1 / (1 + mean), count) - 1

    def test_a_creel_limit_leaves_what_trips_below_it_keep(self):
        kept = self.drawn(6.0)

        expected = np.minimum(kept, 5).mean() / kept.mean()

        assert creel_share(6.0, 5) == pytest.approx(expected, abs=0.005)

    def test_a_lower_creel_limit_is_held_against_the_one_in_force(self):
        kept = np.minimum(self.drawn(12.0), 15)

        expected = np.minimum(kept, 8).mean() / kept.mean()

        assert creel_share(float(kept.mean()), 8, in_force=15) == pytest.approx(expected, abs=0.005)
        assert creel_share(3.0, 15, in_force=15) == 1

    def test_one_over_a_length(self):
        rng, kept = np.random.default_rng(4), self.drawn(4.0)
        over = rng.binomial(kept, 0.3)

        expected = np.minimum(over, 1).mean() / over.mean()

        found = one_over_share(4.0, np.array([0.3, 0.0]))
        assert found == pytest.approx([expected, 1.0], abs=0.005)

    def test_more_kept_than_the_limit_allows_is_refused(self):
        with pytest.raises(CannotEstimate) as refused:
            creel_share(20.0, 5, in_force=15)

        assert refused.value.code == "above_limit"


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ({"slot_mm": (250.0, 200.0)}, "in order"),
        ({"share_over": 1.5}, "share_over"),
        ({"over_mm": float("nan")}, "over_mm"),
    ],
)
def test_rules_that_cannot_be_are_bad_arguments(words, message):
    with pytest.raises(ValueError, match=message):
        Rule(KEPT, **words)
