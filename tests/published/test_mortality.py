"""Death rates and their conversions against published examples and formulas."""

import numpy as np
import pytest

from samples.science.mortality import chapman_robson, overdispersion, weighted_regression
from samples.science.rates import (
    natural_from_growth,
    natural_from_oldest,
    rates_from_shares,
    rates_of,
)

ROCK_BASS = [118, 73, 36, 14, 1, 1]


def test_rock_bass():
    """Robson & Chapman (1961), Trans. Am. Fish. Soc. 90:181-189, rock bass of Cayuga Lake: counts
    and S of about 0.447 from memory; n 243, T 196."""
    found = chapman_robson(range(6), ROCK_BASS, first_age=0)

    n, total = 243, 196
    survival = total / (n + total - 1)
    assert survival == pytest.approx(0.447489, abs=1e-6)
    assert found.z == pytest.approx(0.801323, abs=1e-6)
    assert found.over == pytest.approx(2.5108, abs=1e-4)
    # 0.052791 is the standard error before the year classes' own scatter is let in.
    assert found.se == pytest.approx(0.08365, abs=1e-5)


def test_rock_bass_from_the_age_after_the_most_numerous():
    """Smith et al. (2012), N. Am. J. Fish. Manage. 32:956-967, the peak-plus-one rule; values
    computed twice."""
    found = chapman_robson(range(6), ROCK_BASS)

    assert (found.first_age, found.n) == (1, 125)
    assert found.z == pytest.approx(1.001629, abs=1e-6)
    assert found.over == pytest.approx(1.3997, abs=1e-4)
    assert found.se == pytest.approx(0.11048, abs=1e-5)


CATCH = [210, 118, 74, 36, 22, 9, 5]


def test_one_catch_three_ways():
    """Maceina & Bettoli (1998), N. Am. J. Fish. Manage. 18:998-1003; Hoenig et al. (1983); formulas
    from memory, values by R's lm."""
    ages = range(2, 9)

    weighted = weighted_regression(ages, CATCH)
    at_peak = chapman_robson(ages, CATCH, first_age=2)
    after = chapman_robson(ages, CATCH)

    assert weighted.z == pytest.approx(0.615108, abs=1e-6)
    assert weighted.se == pytest.approx(0.0220707, abs=1e-6)
    assert 100 * weighted.a == pytest.approx(45.9417, abs=1e-4)
    assert at_peak.z == pytest.approx(0.630841, abs=1e-6)
    assert at_peak.over == pytest.approx(0.652451, abs=1e-3)
    # A c-hat below 1 does not make the standard error smaller.
    assert at_peak.se == pytest.approx(0.0294583, rel=0.01)
    assert after.z == pytest.approx(0.672885, abs=1e-6)
    assert after.se == pytest.approx(0.0421989, rel=0.01)
    assert weighted_regression(ages, CATCH, first_age=3).z == pytest.approx(0.635181, abs=1e-6)


def test_a_steady_decline():
    """Algebra: numbers that fall by exp(-0.5) a year."""
    ages = np.arange(2, 8)
    numbers = 1000 * np.exp(-0.5 * (ages - 2))

    assert weighted_regression(ages, numbers).z == pytest.approx(0.5, abs=1e-9)
    # Cut off at seven the mean age is too low; to old age S comes to exp(-0.5).
    long = 1e6 * np.exp(-0.5 * np.arange(0, 61))
    assert chapman_robson(range(61), long, first_age=0).z == pytest.approx(0.5, abs=1e-5)


def test_overdispersion_of_a_strong_year_class():
    """As above: the same fish, one year class four times as strong. Computed twice."""
    steady, strong = [300, 135, 61, 27, 12, 5, 2], [300, 135, 244, 27, 12, 5, 2]

    plain = chapman_robson(range(7), steady, first_age=0)
    faked = chapman_robson(range(7), strong, first_age=0)

    assert plain.over == pytest.approx(0, abs=0.1)
    assert faked.over == pytest.approx(46.9, abs=0.1)
    assert overdispersion(strong, 0.521481) == pytest.approx(46.9, abs=0.1)


def test_numbers_expanded_by_the_key_against_the_aged_fish_alone():
    """Computed twice: 58 aged fish picked by length would say Z 0.84 where the sample's is 1.24."""
    measured = np.array([200, 140, 80, 40, 20, 8])
    aged = np.array(
        [
            [6, 4, 0, 0, 0],
            [2, 6, 2, 0, 0],
            [0, 4, 5, 1, 0],
            [0, 1, 5, 3, 1],
            [0, 0, 3, 5, 2],
            [0, 0, 1, 4, 3],
        ]
    )
    expanded = measured @ (aged / aged.sum(axis=1, keepdims=True))
    assert expanded == pytest.approx([148, 200, 95, 34, 11])

    from_sample = chapman_robson(range(1, 6), expanded)
    from_aged = chapman_robson(range(1, 6), aged.sum(axis=0), first_age=from_sample.first_age)

    assert from_sample.z == pytest.approx(1.235321, abs=1e-6)
    assert from_aged.z == pytest.approx(0.837764, abs=1e-6)


@pytest.mark.parametrize(
    ("total", "dies", "survives", "ratio"),
    [
        (0.1, 0.09516258196404048, 0.9048374180359595, 0.9516258196404048),
        (0.25, 0.22119921692859512, 0.7788007830714049, 0.8847968677143805),
        (0.5, 0.3934693402873666, 0.6065306597126334, 0.7869386805747332),
        (1.0, 0.6321205588285577, 0.36787944117144233, 0.6321205588285577),
        (2.0, 0.8646647167633873, 0.1353352832366127, 0.43233235838169365),
    ],
)
def test_total_death(total, dies, survives, ratio):
    """Ricker (1975), Bull. Fish. Res. Board Can. 191, Appendix I: A, S and A/Z of Z; exact."""
    found = rates_of(total / 4, total * 3 / 4)

    assert found.a == pytest.approx(dies, rel=1e-12)
    assert 1 - found.a == pytest.approx(survives, rel=1e-12)
    assert found.a / found.z == pytest.approx(ratio, rel=1e-12)


def test_crappie_of_lake_chicot():
    """SEAFWA, Evaluation of a crappie length limit on Lake Chicot, Arkansas: A 0.78, u 0.17; the
    relations of Ricker (1975), ch. 1."""
    found = rates_from_shares(0.78, 0.17)

    assert found.z == pytest.approx(1.5141277326297757, rel=1e-9)
    assert found.f == pytest.approx(0.33000219813725884, rel=1e-9)
    assert found.m == pytest.approx(1.1841255344925168, rel=1e-9)
    assert found.cf == pytest.approx(0.28107784685938175, rel=1e-9)
    assert found.cm == pytest.approx(0.6939863390786779, rel=1e-9)
    assert found.v == pytest.approx(0.61, rel=1e-9)
    both = found.cf + found.cm
    assert both - found.cf * found.cm == pytest.approx(0.78)


def test_natural_death_of_crappie_like_fish():
    """Then, Hoenig, Hall & Hewitt (2015), ICES J. Mar. Sci. 72:82-92, abstract seen, the
    coefficients of both formulas in open analysis code that cites it; oldest age 7, Linf 36 cm,
    K 0.45. Linf is given in mm."""
    assert natural_from_oldest(7)["then"] == pytest.approx(0.8241336267140553, rel=1e-9)
    assert natural_from_growth(360, 0.45) == pytest.approx(0.7046146232447739, rel=1e-9)
    # Hamel & Cope (2022), Fish. Res. 256:106477: 5.4 / tmax, from memory.
    assert natural_from_oldest(7)["hamel"] == pytest.approx(5.4 / 7)
