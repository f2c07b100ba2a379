"""Yield under a length limit, against published models and cases.

The numbers that are not of a publication were worked out apart from our code, by closed forms,
quadrature and a second script, from the sources named.
"""

import math

import numpy as np
import pytest
from scipy import integrate, special

from samples.science.length_limit.cases import break_even
from samples.science.length_limit.fish_lives import Lives, fishing_rate
from samples.science.length_limit.per_recruit import Rule, per_recruit
from samples.science.length_limit.surface import yield_surface


def lives(length_max, rate, age_zero, natural, *, log10_a=0.0, b=3.0, spread=0.0):
    length, k, t0, m = ([float(value)] for value in (length_max, rate, age_zero, natural))
    return Lives(np.array(length), np.array(k), np.array(t0), np.array(m), spread, log10_a, b)


def length_at(age, length_max, rate, age_zero):
    return length_max * (1 - math.exp(-rate * (age - age_zero)))


PLAICE = {
    0.1: 214.86312,
    0.22: 258.09904,
    0.3: 251.8477,
    0.5: 220.81544,
    0.73: 194.68219,
    1.0: 176.53215,
}


@pytest.mark.parametrize(("fishing", "expected"), PLAICE.items())
def test_north_sea_plaice(fishing, expected):
    """Beverton & Holt (1957), North Sea plaice: Winf 2867 g, K 0.095, t0 -0.815, M 0.10, entry at
    3.72, last age 15. Parameters from memory; values by closed form and quadrature."""
    curve = (100, 0.095, -0.815)
    fish = lives(*curve, 0.1, log10_a=math.log10(2867 / 100**3))
    rule = Rule(kept_from_mm=length_at(3.72, *curve), recruited=3.72, last_age=15)

    found = per_recruit(fish, np.array([fishing]), rule)

    assert found.weight_g[0] == pytest.approx(expected, rel=1e-6)


JONES = {
    (0.3, 1.2): 51.399163,
    (0.3, 2.1): 47.924159,
    (0.3, 3.0): 37.513064,
    (0.8, 1.2): 65.936019,
    (0.8, 2.1): 70.813989,
    (0.8, 3.0): 59.648145,
    (1.5, 1.2): 64.378736,
    (1.5, 2.1): 78.22043,
    (1.5, 3.0): 69.612635,
}


@pytest.mark.parametrize(("case", "expected"), JONES.items())
def test_weight_that_grows_faster_than_the_cube(case, expected):
    """Jones (1957), the incomplete-beta form, with b = 3.2; formula from memory, checked against
    quadrature of the definition."""
    fishing, entry = case
    curve = (100, 0.45, -0.1)
    fish = lives(*curve, 0.6, log10_a=math.log10(900 / 100**3.2), b=3.2)
    rule = Rule(kept_from_mm=length_at(entry, *curve), recruited=0.5, last_age=8)

    found = per_recruit(fish, np.array([fishing]), rule)

    assert found.weight_g[0] == pytest.approx(expected, rel=1e-6)


FAST, SLOW = (350, 0.55, -0.1), (290, 0.3, -0.1)
KANSAS = {
    (FAST, 0.3, 0.2): (112.3362, 109.6789),
    (FAST, 0.3, 0.4): (138.9983, 149.3677),
    (FAST, 0.3, 0.6): (136.9833, 161.281),
    (FAST, 0.6, 0.2): (41.345, 30.3807),
    (FAST, 0.6, 0.4): (61.9372, 48.6665),
    (FAST, 0.6, 0.6): (71.7344, 60.4347),
    (SLOW, 0.3, 0.2): (23.3895, 6.8299),
    (SLOW, 0.3, 0.4): (34.0714, 13.3449),
    (SLOW, 0.3, 0.6): (38.1815, 19.442),
    (SLOW, 0.6, 0.2): (2.8022, 0.248),
    (SLOW, 0.6, 0.4): (4.5864, 0.4842),
    (SLOW, 0.6, 0.6): (5.8084, 0.7055),
}


@pytest.mark.parametrize(("case", "expected"), KANSAS.items())
def test_a_limit_of_254_mm_for_white_crappie(case, expected):
    """Study of white crappie regulations in 39 Kansas impoundments (2019-20), abstract seen: the
    limit raised the yield where growth was above average, conditional natural death low and
    exploitation at least moderate. Colvin (1991), N. Am. J. Fish. Manage. 11:585. Numbers computed
    twice, apart from our code."""
    curve, cm, exploitation = case
    length_max, rate, age_zero = curve
    fish = lives(length_max, rate, age_zero, -math.log(1 - cm), log10_a=-5.642, b=3.332)
    fishing = fishing_rate(np.array([exploitation]), fish.m)

    found = [
        per_recruit(fish, fishing, Rule(kept, recruited=1.0, last_age=8.0)).weight_g[0]
        for kept in (203, 254)
    ]

    # The values are written down to four decimals.
    assert found == pytest.approx(expected, rel=1e-4, abs=5e-5)
    gains = curve is FAST and cm == 0.3 and exploitation >= 0.4
    assert (found[1] > found[0]) == gains


RELEASED = {0: (149.368, 0.406893), 0.1: (142.264, 0.387541), 1: (91.755, 0.249949)}


@pytest.mark.parametrize(("death", "expected"), RELEASED.items())
def test_fish_put_back_that_die(death, expected):
    """Beverton & Holt (1957) and Ricker (1975), the model; formula from memory, numbers computed
    twice: kept from 203 mm, limit 254 mm, cm 0.30, u 0.40."""
    fish = lives(*FAST, -math.log(0.7), log10_a=-5.642, b=3.332)
    fishing = fishing_rate(np.array([0.4]), fish.m)
    assert fishing[0] == pytest.approx(0.629010, abs=1e-6)

    now = per_recruit(fish, fishing, Rule(203, last_age=8))
    found = per_recruit(fish, fishing, Rule(203, 254, death, last_age=8))

    assert (now.weight_g[0], now.number[0]) == pytest.approx((138.998, 0.537388), rel=1e-4)
    assert (found.weight_g[0], found.number[0]) == pytest.approx(expected, rel=1e-4)
    undone = break_even(fish, fishing, Rule(203, last_age=8), Rule(203, 254, last_age=8))[0]
    assert (death < undone) == (expected[0] > 138.998)


def test_the_share_of_a_cohort_that_comes_to_a_length_its_mean_never_does():
    """Normal length at age with a CV of 8%: common practice, no source; computed twice. The mean
    is 233.8 mm at 5 and 243.3 mm at 6 and comes to 254 mm at 8.28 years."""
    fish = lives(260, 0.45, -0.1, 0.5, spread=0.08)

    mean = [length_at(age, 260, 0.45, -0.1) for age in (5, 6)]
    # A fish is 254 mm at an age where its own length in the end is so much of 254 mm.
    cuts = [254 * 260 / one for one in mean]
    scale, weight = fish.cohort(*cuts)

    assert fish.age_at(254)[0] == pytest.approx(8.2754, abs=1e-4)
    over = [float(weight[scale * one > 254].sum()) for one in mean]
    assert over == pytest.approx([0.140101, 0.291167], abs=1e-6)


LAKE_CHICOT = {"A": 0.78, "u": 0.17, "F": 0.33000219813725884, "M": 1.1841255344925168}


def test_a_rate_of_fishing_from_the_share_taken():
    """SEAFWA, Evaluation of a crappie length limit on Lake Chicot, Arkansas: annual mortality
    78%, exploitation 17%; relations of Ricker (1975), ch. 1: F = u Z / A, M = Z - F."""
    found = fishing_rate(np.array([LAKE_CHICOT["u"]]), np.array([LAKE_CHICOT["M"]]))

    assert found[0] == pytest.approx(LAKE_CHICOT["F"], rel=1e-9)


def beta_form(fishing, entry, *, length_max, rate, age_zero, natural, log10_a, b, recruited, years):
    """Jones (1957): the closed form with the incomplete beta function."""
    total = fishing + natural
    largest = 10**log10_a * length_max**b
    first, last = (math.exp(-rate * (age - age_zero)) for age in (entry, entry + years))
    p, q = total / rate, b + 1
    whole = special.beta(p, q) * (special.betainc(p, q, first) - special.betainc(p, q, last))
    scale = math.exp(-natural * (entry - recruited) + total * (entry - age_zero))
    return fishing * scale * largest / rate * whole


def test_the_surface_against_the_closed_form():
    """Jones (1957) again, over limits, rates of fishing and draws at once."""
    rng = np.random.default_rng(5)
    draws = Lives(
        rng.normal(330, 15, 20),
        rng.normal(0.5, 0.05, 20),
        rng.normal(-0.1, 0.05, 20),
        rng.normal(0.5, 0.08, 20),
        0.0,
        -5.642,
        3.332,
    )
    limits, fishing = np.array([180.0, 230.0, 254.0]), np.array([0.1, 0.6, 1.5])

    found = yield_surface(draws, limits, fishing, recruited=0.5)

    for place, limit in enumerate(limits):
        for draw in range(draws.draws):
            entry = draws.age_at(limit)[draw]
            expected = [
                beta_form(
                    rate,
                    entry,
                    length_max=draws.linf_mm[draw],
                    rate=draws.k[draw],
                    age_zero=draws.t0[draw],
                    natural=draws.m[draw],
                    log10_a=-5.642,
                    b=3.332,
                    recruited=0.5,
                    years=25.0,
                )
                for rate in fishing
            ]
            assert found[place, draw] == pytest.approx(expected, rel=1e-6)


def test_isometric_growth_against_the_expansion_and_quadrature():
    """Beverton & Holt (1957): the expansion of the cube, 1, -3, 3, -1, and SciPy's quadrature."""
    curve, natural, fishing, entry, last = (320.0, 0.4, -0.2), 0.35, 0.5, 2.0, 12.0
    weight = 10**-5.0 * curve[0] ** 3
    total = fishing + natural
    expansion = sum(
        part
        * math.exp(-power * curve[1] * (entry - curve[2]))
        / (total + power * curve[1])
        * -math.expm1(-(total + power * curve[1]) * (last - entry))
        for power, part in enumerate((1, -3, 3, -1))
    )
    expected = fishing * math.exp(-natural * (entry - 1.0)) * weight * expansion
    by_steps, _ = integrate.quad(
        lambda age: (
            fishing
            * math.exp(-natural * (entry - 1.0) - total * (age - entry))
            * 10**-5.0
            * length_at(age, *curve) ** 3
        ),
        entry,
        last,
    )
    rule = Rule(length_at(entry, *curve), recruited=1.0, last_age=last)

    found = per_recruit(lives(*curve, natural, log10_a=-5.0), np.array([fishing]), rule).weight_g

    assert by_steps == pytest.approx(expected, rel=1e-9)
    assert found[0] == pytest.approx(expected, rel=1e-9)
