"""What a limit does to fish of known growth and death: limits of the model, axes, verdicts."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.science.errors import CannotEstimate
from samples.science.length_limit.axes import axes
from samples.science.length_limit.cases import (
    break_even,
    change,
    crowded,
    given_up,
    judge_limit,
    what_would_settle,
)
from samples.science.length_limit.fish_lives import Lives, fishing_rate
from samples.science.length_limit.per_recruit import Rule, per_recruit
from samples.science.length_limit.surface import quantiles
from samples.science.length_limit.verdict import Change, Lines, Verdict, judge

KEPT, LIMIT = 203.0, 254.0


def lives(length_max=350.0, rate=0.55, age_zero=-0.1, natural=0.36, *, spread=0.08, draws=1):
    return Lives(
        np.full(draws, length_max),
        np.full(draws, rate),
        np.full(draws, age_zero),
        np.full(draws, natural),
        spread,
        -5.642,
        3.332,
    )


def kept_weight(fish, fishing, *rule, **more):
    return per_recruit(fish, np.array([fishing]), Rule(*rule, **more)).weight_g[0]


class TestTheModelAtItsEnds:
    def test_nothing_is_taken_where_nobody_fishes(self):
        found = per_recruit(lives(), np.array([0.0]), Rule(KEPT, LIMIT))

        assert (found.weight_g[0], found.number[0], found.preferred[0]) == (0, 0, 0)
        assert found.mean_length_mm[0] == 0

    def test_a_limit_below_the_length_kept_changes_nothing(self):
        assert kept_weight(lives(), 0.6, KEPT, 150.0) == kept_weight(lives(), 0.6, KEPT)

    def test_a_limit_that_no_fish_comes_to_leaves_no_harvest(self):
        # Common practice, no source: such a limit only makes fish that can never be kept.
        found = per_recruit(lives(spread=0.05), np.array([0.6]), Rule(KEPT, 460.0))

        assert found.weight_g[0] == 0
        assert found.preferred[0] > 0

    def test_a_limit_is_useless_where_every_fish_put_back_dies(self):
        for limit in (210.0, LIMIT, 300.0):
            assert kept_weight(lives(), 0.6, KEPT, limit, 1.0) < kept_weight(lives(), 0.6, KEPT)

    def test_fish_that_are_not_caught_below_the_limit_do_not_die_of_release(self):
        spared = kept_weight(lives(), 0.6, KEPT, LIMIT, 1.0, caught_below=0.0)

        assert spared == kept_weight(lives(), 0.6, KEPT, LIMIT, 0.0)

    def test_what_is_kept_is_longer_under_a_limit(self):
        fishing = np.array([0.6])
        now = per_recruit(lives(), fishing, Rule(KEPT)).mean_length_mm[0]
        then = per_recruit(lives(), fishing, Rule(KEPT, LIMIT)).mean_length_mm[0]

        assert KEPT < now < then
        assert then > LIMIT


@given(
    st.floats(0.05, 2.0),
    st.floats(0.0, 0.9),
    st.floats(0.05, 0.1),
    st.floats(180.0, 320.0),
)
def test_more_deaths_after_release_never_raise_the_harvest(fishing, death, more, limit):
    fish = lives()

    assert kept_weight(fish, fishing, 180.0, limit, death + more) <= kept_weight(
        fish, fishing, 180.0, limit, death
    ) * (1 + 1e-12)


@given(st.floats(0.05, 2.0), st.floats(190.0, 300.0), st.floats(1.0, 40.0))
def test_a_higher_limit_never_lets_more_fish_be_kept(fishing, limit, more):
    fish = lives()
    kept = [
        per_recruit(fish, np.array([fishing]), Rule(180.0, one)).number[0]
        for one in (limit, limit + more)
    ]

    assert kept[1] <= kept[0] * (1 + 1e-12)


@given(st.floats(0.01, 0.8), st.floats(0.05, 2.0))
def test_the_rate_of_fishing_takes_what_was_asked(exploitation, natural):
    rate = fishing_rate(np.array([exploitation]), np.array([natural]))[0]
    total = rate + natural

    assert rate / total * -np.expm1(-total) == pytest.approx(exploitation, rel=1e-9)


def test_quantiles_are_those_of_the_library():
    surface = np.random.default_rng(3).random((4, 301, 5))

    found = quantiles(surface, (0.025, 0.5, 0.975))

    assert found == pytest.approx(np.quantile(surface, (0.025, 0.5, 0.975), axis=1))


class TestAxes:
    def find(self, fish, fishing, limit=LIMIT):
        rate = np.broadcast_to(np.asarray(fishing), fish.m.shape)
        return axes(fish, rate, kept_from_mm=KEPT, limit_mm=limit)

    def test_the_way_of_the_middle_fish(self):
        fish = lives()

        found = self.find(fish, 0.6)

        # L(t) = 350 (1 - exp(-0.55 (t + 0.1))): 203 mm at 1.476 years, 254 mm at 2.251 years.
        assert found.age[0] == pytest.approx(2.251, abs=1e-3)
        assert found.years[0] == pytest.approx(0.775, abs=1e-3)

    def test_without_spread_the_shares_are_those_of_one_fish(self):
        fish = lives(spread=0.0)

        found = self.find(fish, 0.6)

        way = found.years[0]
        assert found.survival[0] == pytest.approx(np.exp(-0.36 * way))
        assert found.taken[0] == pytest.approx(1 - np.exp(-0.6 * way))
        assert found.reach[0] == 1

    def test_a_quarter_of_each_cause_weighs_as_the_years_and_rates_say(self):
        found = self.find(lives(spread=0.0), 0.6)

        # exp(-(F + M) way) with a way 1 / 1.25 as long, or a quarter less of M or F.
        way = found.years[0]
        assert found.if_faster[0] == pytest.approx(np.expm1(0.2 * 0.96 * way))
        assert found.if_fewer_died[0] == pytest.approx(np.expm1(0.25 * 0.36 * way))
        assert found.if_fewer_taken[0] == pytest.approx(np.expm1(0.25 * 0.6 * way))

    def test_a_length_that_the_middle_fish_never_comes_to_is_reached_by_some(self):
        found = self.find(lives(250.0, 0.5, spread=0.08), 0.4)

        assert found.years[0] == np.inf
        assert 0.2 < found.reach[0] < 0.6

    def test_a_limit_below_what_is_kept_is_refused_in_words(self):
        with pytest.raises(CannotEstimate) as refused:
            self.find(lives(), 0.6, limit=190.0)

        assert refused.value.code == "limit_below_kept"


# Fish that are kept from 250 mm on come to 254 mm before long: nothing much can change.
LAKES = {
    Verdict.GROWTH: (lives(265.0, 0.28, natural=0.3, draws=200), 0.5, KEPT),
    Verdict.NATURAL_DEATH: (lives(330.0, 0.4, natural=1.4, draws=200), 0.5, KEPT),
    Verdict.HARVEST: (lives(330.0, 0.4, natural=0.3, draws=200), 1.2, KEPT),
    Verdict.LITTLE_EFFECT: (lives(350.0, 0.55, natural=0.4, draws=200), 0.3, 250.0),
}


class TestVerdict:
    @pytest.mark.parametrize("expected", LAKES)
    def test_names_what_keeps_fish_from_the_limit(self, expected):
        fish, fishing, kept = LAKES[expected]

        judged = judge_limit(
            fish, np.full(200, fishing), Rule(kept), Rule(kept, LIMIT, 0.1), Lines()
        )

        assert judged.verdict == expected
        assert sum(judged.shares.values()) == pytest.approx(1)

    def test_a_limit_that_cuts_the_harvest_is_not_of_little_effect_where_few_are_taken(self):
        fish, fishing = lives(350.0, 0.55, natural=0.4, draws=200), np.full(200, 0.08)
        now, then = Rule(KEPT), Rule(KEPT, LIMIT, 0.1)

        judged = judge_limit(fish, fishing, now, then, Lines())

        assert change(fish, fishing, now, then).number.mean() < -0.12
        assert judged.verdict == Verdict.NATURAL_DEATH

    def test_one_number_that_changes_is_enough_of_an_effect(self):
        fish, fishing = lives(draws=200), np.full(200, 0.5)
        found = axes(fish, fishing, kept_from_mm=KEPT, limit_mm=LIMIT)
        still = np.zeros(200)

        def verdict(**changed):
            parts = {"weight": still, "number": still, "preferred": still} | changed
            return judge(found, Change(**parts), Lines()).verdict

        assert verdict() == Verdict.LITTLE_EFFECT
        for part in ("weight", "number", "preferred"):
            assert verdict(**{part: still - 0.12}) != Verdict.LITTLE_EFFECT

    def test_growth_is_blamed_for_a_long_way(self):
        fast, slow = (lives(330.0, rate, natural=0.5, draws=200) for rate in (0.4, 0.15))
        fishing = np.full(200, 0.3)

        fast_verdict, slow_verdict = (
            judge_limit(fish, fishing, Rule(KEPT), Rule(KEPT, LIMIT), Lines()).verdict
            for fish in (fast, slow)
        )

        assert (fast_verdict, slow_verdict) == (Verdict.NATURAL_DEATH, Verdict.GROWTH)

    def test_cannot_tell_where_draws_disagree_and_says_what_would(self):
        fish = lives(330.0, 0.4, natural=0.4, draws=400)
        rng = np.random.default_rng(2)
        fishing = np.exp(rng.normal(np.log(0.36), 1.2, 400))
        rules = Rule(KEPT), Rule(KEPT, LIMIT)

        judged = judge_limit(fish, fishing, *rules, Lines())
        known = what_would_settle(fish, fishing, *rules, Lines())

        assert judged.verdict == Verdict.CANNOT_TELL
        assert judged.probability < 0.8
        # Growth and natural death are the same in every draw: fishing alone settles it.
        assert known["fishing"] > 0.95
        assert known["growth"] == known["natural_death"] < 0.8

    def test_several_axes_may_stand_in_the_way(self):
        fish, fishing = lives(265.0, 0.28, natural=0.6, draws=200), np.full(200, 0.9)

        holds = judge_limit(fish, fishing, Rule(KEPT), Rule(KEPT, LIMIT), Lines()).holds

        assert holds[Verdict.GROWTH] > 0.9
        assert holds[Verdict.HARVEST] > 0.9


def test_several_rates_at_once_are_those_one_by_one():
    fish = replace(lives(draws=3), linf_mm=np.array([180.0, 300.0, 350.0]))
    rates, rule = np.array([[0.2, 0.3, 0.4], [0.8, 0.9, 1.0]]), Rule(KEPT, LIMIT, 0.1)

    found = per_recruit(fish, rates, rule)

    for place, f in enumerate(rates):
        alone = per_recruit(fish, f, rule)
        for name in ("number", "weight_g", "mean_length_mm", "preferred"):
            expected = pytest.approx(getattr(alone, name), rel=1e-12)
            assert getattr(found, name)[place] == expected
    # The first fish hardly ever comes to the limit.
    assert (found.weight_g[:, 0] < 1e-3 * found.weight_g[:, 1]).all()
    with pytest.raises(ValueError, match="broadcast"):
        per_recruit(fish, np.ones((3, 2)), rule)


@pytest.mark.parametrize("now", [Rule(KEPT), Rule(KEPT, 220.0, 0.2)])
def test_at_the_release_death_that_breaks_even_the_limit_yields_what_the_rule_does_now(now):
    fish, fishing = lives(natural=0.2, draws=3), np.array([0.4, 0.8, 1.6])

    found = break_even(fish, fishing, now, Rule(KEPT, LIMIT))

    assert ((found > 0) & (found < 1)).all()
    present = per_recruit(fish, fishing, replace(now, release_death=found)).weight_g
    limited = per_recruit(fish, fishing, Rule(KEPT, LIMIT, release_death=found)).weight_g
    # Fish that die of release die while they are handled, or after: within a few percent alike.
    assert limited == pytest.approx(present, rel=0.02)


def test_crowded_fish_yield_less_and_what_is_given_up_is_counted():
    fish, fishing = lives(draws=3), np.full(3, 0.6)
    now, then = Rule(KEPT), Rule(KEPT, LIMIT, 0.1)

    plain = change(fish, fishing, now, then)
    tight = change(crowded(fish), fishing, now, then)
    back = given_up(fish, fishing, now, then)

    assert (tight.weight < plain.weight).all()
    assert ((back > 0) & (back < 1)).all()
    assert given_up(fish, fishing, now, now) == pytest.approx(np.zeros(3), abs=1e-12)


def test_what_is_given_up_counts_no_fish_that_the_limit_in_force_releases_already():
    fish, fishing = lives(draws=3), np.full(3, 0.6)
    now = Rule(KEPT, 250.0, 0.1)

    assert given_up(fish, fishing, now, now) == pytest.approx(np.zeros(3), abs=1e-12)
    assert (given_up(fish, fishing, now, replace(now, limit_mm=251.0)) < 0.05).all()
    all_over = replace(now, over_mm=250.0, share_over=0.0)
    assert given_up(fish, fishing, now, all_over) == pytest.approx(np.ones(3))
    # A lower limit puts nothing back.
    assert given_up(fish, fishing, now, Rule(KEPT)) == pytest.approx(np.zeros(3), abs=1e-12)


@pytest.mark.parametrize(
    ("broken", "words"),
    [
        ({"m": np.array([0.3, 0.4])}, "shapes differ"),
        ({"m": np.array([np.nan])}, "finite"),
        ({"k": np.array([-0.1])}, "above zero"),
        ({"cv": 0.9}, "^cv "),
    ],
)
def test_lives_that_cannot_be_are_bad_arguments(broken, words):
    sound = {
        "linf_mm": np.array([350.0]),
        "k": np.array([0.5]),
        "t0": np.array([-0.1]),
        "m": np.array([0.4]),
        "cv": 0.1,
    }

    with pytest.raises(ValueError, match=words):
        Lives(**(sound | broken))
