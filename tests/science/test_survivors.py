"""Growth of all fish that were born, from those that anglers left."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import approx_fprime
from scipy.stats import norm

from samples.science.growth import survivors
from samples.science.growth.fit import Curve
from samples.science.growth.likelihood import fit_form
from samples.science.growth.resample import Draws
from samples.science.growth.survivors import born_fish, fit_survivors
from samples.science.growth.year_effects import DrawnCurve

TRUE = Curve(320.0, 0.45, 0.0)
CV, NATURAL, FISHED_FROM = 0.1, 0.4, 220.0
AGES = np.array([3.0, 5.0, 7.0])


def left_by_anglers(fishing, *, count=4_000, seed=1, kept_from=0.0):
    """Draw fish that are alive, of which two in three were kept from a length on.

    Each fish is followed through its life: it is as long for its age as it always was.
    """
    rng = np.random.default_rng(seed)
    own = rng.normal(1, CV, count * 60)
    time = rng.integers(0, 12, own.size) + rng.uniform(0.1, 0.9, own.size)
    share = FISHED_FROM / (own * TRUE.linf_mm)
    entered = np.where(share < 1, -np.log1p(-np.minimum(share, 0.999_999)) / TRUE.k, np.inf)
    alive = np.exp(-NATURAL * time - fishing * np.maximum(time - entered, 0))
    there = np.flatnonzero(rng.random(own.size) < alive)[:count]
    time, length = time[there], (own * TRUE.length_at(time))[there]
    kept = np.where(np.arange(there.size) % 3 > 0, kept_from, 0.0)
    seen = length >= kept
    return time[seen], length[seen], kept[seen]


@pytest.mark.parametrize("kept_from", [0.0, FISHED_FROM])
def test_fast_growers_that_anglers_took_are_counted_in(kept_from):
    time, length, kept = left_by_anglers(1.0, kept_from=kept_from)

    of_left = fit_form(time, length, kept_from_mm=kept)
    found = fit_survivors(time, length, f=1.0, fished_from_mm=FISHED_FROM, kept_from_mm=kept)

    true = TRUE.length_at(AGES)
    assert of_left.length_at(AGES)[1:] == pytest.approx(np.array([0.95, 0.93]) * true[1:], rel=0.03)
    assert found.length_at(AGES) == pytest.approx(true, rel=0.015)
    assert found.cv == pytest.approx(CV, rel=0.05)


def test_slopes_of_the_search_are_those_of_the_likelihood():
    time, length, kept = left_by_anglers(0.8, count=300, kept_from=FISHED_FROM)
    share = np.full(time.size, 1 / time.size)
    costs = survivors._costs(time, length, share, kept, 0.8, FISHED_FROM)
    values = np.array([np.log(300.0), np.log(0.5), 0.1, np.log(0.12)])

    cost, slopes = survivors._with_slopes(costs, values + 1.0)(values)
    # At its highest a value can be moved down alone.
    _, down = survivors._with_slopes(costs, values)(values)

    by_library = approx_fprime(values, lambda one: costs(one[:, None])[0], 1e-7)
    assert cost == costs(values[:, None])[0]
    assert slopes == pytest.approx(by_library, rel=1e-5, abs=1e-6)
    assert down == pytest.approx(by_library, rel=1e-5, abs=1e-6)


def test_is_where_the_likelihood_by_hand_is_greatest():
    """Whole density of a fish that is left, integrated fish by fish.

    Taylor, Walters & Martell (2005), Can. J. Fish. Aquat. Sci. 62:215-223, from memory.
    """
    time, length, _ = left_by_anglers(0.8, count=40)
    time = np.round(time, 1)

    def density(size, when, whole, rate, cv):
        mean = -whole * np.expm1(-rate * when)
        # Of its own end of growth.
        share = FISHED_FROM * mean / (size * whole)
        entered = -np.log1p(-share) / rate if share < 1 else np.inf
        return norm.pdf(size, mean, cv * mean) * np.exp(-0.8 * max(when - entered, 0.0))

    def cost(values):
        whole, rate, cv = np.exp(values)
        total = 0.0
        for when, size in zip(time, length, strict=True):
            mean = -whole * np.expm1(-rate * when)
            least, most = mean * (1 - 5 * cv), mean * (1 + 5 * cv)
            cut = np.clip(FISHED_FROM, least, most)
            all_left = sum(
                quad(density, *ends, args=(when, whole, rate, cv))[0]
                for ends in ((least, cut), (cut, most))
            )
            total -= np.log(density(size, when, whole, rate, cv) / all_left)
        return total

    found = fit_survivors(time, length, f=0.8, fished_from_mm=FISHED_FROM)
    # t0 is held where the fit put it, by counting time from there.
    time = time - found.t0
    at_fit = np.log([found.linf_mm, found.k, found.cv])
    around = [at_fit + step for size in (-0.03, 0.03) for step in size * np.eye(3)]

    assert cost(at_fit) < min(cost(values) for values in around)


def test_without_fishing_it_is_the_curve_of_the_fish_that_are_there():
    time, length, kept = left_by_anglers(0.0, count=400, kept_from=FISHED_FROM)

    of_left = fit_form(time, length, kept_from_mm=kept)
    found = fit_survivors(time, length, f=0.0, fished_from_mm=FISHED_FROM, kept_from_mm=kept)

    assert found.length_at(AGES) == pytest.approx(of_left.length_at(AGES), rel=1e-3)


def test_a_draw_moves_by_its_own_fishing():
    time, length, _ = left_by_anglers(1.0, count=1_000)
    of_left = fit_form(time, length)
    same = Draws(np.full(3, of_left.linf_mm), np.full(3, of_left.k), np.zeros(3), 3)
    left = DrawnCurve(of_left.curve, same)

    found = born_fish(left, np.array([0.0, 0.5, 1.0]), time, length, fished_from_mm=FISHED_FROM)

    moved = found.grown.draws.linf_mm / of_left.linf_mm
    assert moved[0] == pytest.approx(1.0)
    assert moved[2] > moved[1] > 1.01
    assert found.grown.curve.linf_mm / of_left.linf_mm == pytest.approx(moved[1])
