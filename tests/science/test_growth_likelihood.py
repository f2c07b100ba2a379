"""Curves by maximum likelihood: a naive twin, fish kept from some length on, and other forms."""

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import norm

from samples.science.errors import CannotEstimate
from samples.science.growth.fit import fit_curve
from samples.science.growth.likelihood import GrowthForm, fit_form, hazard

KEPT_FROM = 200.0
BY_HAND = {
    GrowthForm.VON_BERTALANFFY: lambda t, a, k, z: a * (1 - np.exp(-k * (t - z))),
    GrowthForm.GOMPERTZ: lambda t, a, k, z: a * np.exp(-np.exp(-k * (t - z))),
    GrowthForm.LOGISTIC: lambda t, a, k, z: a / (1 + np.exp(-k * (t - z))),
}
TRUE = {
    GrowthForm.VON_BERTALANFFY: (320.0, 0.4, -0.1),
    GrowthForm.GOMPERTZ: (320.0, 0.7, 1.0),
    GrowthForm.LOGISTIC: (320.0, 1.0, 1.8),
}


def fish(form, n=1_500, *, seed=1, cv=0.08, kept_from=0.0):
    """Draw fish, of which two in three were kept from a length on."""
    rng = np.random.default_rng(seed)
    times = rng.integers(1, 9, n) + rng.uniform(0, 1, n)
    lengths = BY_HAND[form](times, *TRUE[form]) * rng.normal(1, cv, n)
    kept = np.where(np.arange(n) % 3 > 0, kept_from, 0.0)
    there = (lengths >= kept) & (lengths > 0)
    return times[there], lengths[there], kept[there]


def naive(form, times, lengths, kept):
    """Maximize the likelihood fish by fish, without derivatives.

    log f(L | a) - log(1 - Phi((kept - mu) / sd)): Taylor, Walters & Martell (2005); Schueller et
    al. (2014). Both from memory.
    """

    def cost(values):
        mean = np.maximum(BY_HAND[form](times, np.exp(values[0]), *values[1:3]), 1e-3)
        sd = abs(values[3]) * mean
        seen = np.where(kept > 0, norm.logsf(kept, mean, sd), 0.0)
        return -np.sum(norm.logpdf(lengths, mean, sd) - seen)

    start = [np.log(TRUE[form][0]), *TRUE[form][1:], 0.1]
    found = minimize(cost, start, method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-9})
    return [np.exp(found.x[0]), *found.x[1:3], abs(found.x[3])]


@pytest.mark.parametrize("form", list(GrowthForm))
@pytest.mark.parametrize("kept_from", [0.0, KEPT_FROM])
def test_is_the_likelihood_maximized_by_hand(form, kept_from):
    times, lengths, kept = fish(form, 300, kept_from=kept_from)

    found = fit_form(times, lengths, kept_from_mm=kept, form=form)

    by_hand = naive(form, times, lengths, kept)
    ours = [found.linf_mm, found.k, found.t0, found.cv]
    assert ours == pytest.approx(by_hand, rel=5e-3, abs=5e-3)


def test_fish_kept_from_a_length_on_do_not_bend_the_curve():
    times, lengths, kept = fish(GrowthForm.VON_BERTALANFFY, 4_000, kept_from=KEPT_FROM)
    of_anglers = kept > 0
    at = np.array([1.5, 2.0, 3.0])
    true = BY_HAND[GrowthForm.VON_BERTALANFFY](at, *TRUE[GrowthForm.VON_BERTALANFFY])

    cut_off = fit_form(times, lengths, kept_from_mm=kept)
    as_if_all = fit_curve(times[of_anglers], lengths[of_anglers]).curve

    assert cut_off.length_at(at) == pytest.approx(true, abs=4)
    assert as_if_all.length_at(at)[0] > true[0] + 10
    assert cut_off.cv == pytest.approx(0.08, abs=0.005)


@pytest.mark.parametrize("form", list(GrowthForm))
def test_the_form_that_the_fish_grew_by_has_the_least_aicc(form):
    times, lengths, _ = fish(form)

    found = {one: fit_form(times, lengths, form=one).aicc for one in GrowthForm}

    assert min(found, key=lambda one: found[one]) is form
    assert sorted(found.values())[1] - found[form] > 2


def test_aicc_counts_the_fish_that_weights_are_worth():
    times, lengths, _ = fish(GrowthForm.VON_BERTALANFFY, 200)
    uneven = np.where(np.arange(times.size) < 100, 9.0, 1.0)

    found = fit_form(times, lengths, weights=uneven)

    assert found.n == 200
    assert found.n_effective == pytest.approx(1_000**2 / 8_200)


def test_weights_count_as_that_many_fish():
    times, lengths, kept = fish(GrowthForm.VON_BERTALANFFY, 100, kept_from=KEPT_FROM)
    times_over = 1 + np.arange(times.size) % 3

    weighted = fit_form(times, lengths, weights=times_over, kept_from_mm=kept)
    repeated = fit_form(
        np.repeat(times, times_over),
        np.repeat(lengths, times_over),
        kept_from_mm=np.repeat(kept, times_over),
    )

    assert weighted.length_at([2.0, 6.0]) == pytest.approx(repeated.length_at([2.0, 6.0]), rel=1e-4)


def test_the_hazard_is_that_of_the_normal_distribution():
    z = np.array([-5.0, 0.0, 1.5, 6.0])

    assert hazard(z) == pytest.approx(norm.pdf(z) / norm.sf(z), rel=1e-9)
    assert hazard([1e5]) == pytest.approx([1e5])


def test_a_fish_below_the_length_it_was_kept_from_is_a_bad_argument():
    times, lengths, _ = fish(GrowthForm.VON_BERTALANFFY, 50)

    with pytest.raises(ValueError, match="kept_from_mm"):
        fit_form(times, lengths, kept_from_mm=np.full(times.size, 400.0))


def test_too_few_fish_are_refused():
    with pytest.raises(CannotEstimate) as refused:
        fit_form([1.0, 2, 3, 4, 5], [100.0, 180, 230, 260, 280])

    assert refused.value.code == "too_few_fish"
