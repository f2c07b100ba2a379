"""Otoliths in wrong vials: found on simulated lakes where it is known which are wrong."""

import numpy as np
import pytest

from samples.science.errors import CannotEstimate
from samples.science.shifted_runs import find_shift
from samples.science.swapped_vials import fit_otolith_model

SURVIVAL = 0.6
AGES = np.arange(1, 10)
SHARES = SURVIVAL**AGES / (SURVIVAL**AGES).sum()
TRIP = 20


def lake(seed, count=400, *, heavy=False):
    """Return ages, lengths and radii of fish of a lake; lengths at age may have heavy tails."""
    rng = np.random.default_rng(seed)
    ages = rng.choice(AGES, count, p=SHARES)
    noise = rng.standard_t(4, count) / np.sqrt(2) if heavy else rng.normal(size=count)
    lengths = 320 * (1 - np.exp(-0.4 * (ages + 0.1))) * np.exp(0.09 * noise)
    # Slow growers have the larger otoliths at a length.
    radii = np.exp(2 + 0.7 * np.log(lengths) + 0.25 * np.log(ages + 1) + rng.normal(0, 0.05, count))
    return ages, lengths, radii


def model_of(ages, lengths, radii, groups=None):
    none = np.zeros(ages.size)
    return fit_otolith_model(
        lengths, ages, parts=none, radii_um=radii, groups=none if groups is None else groups
    )


def gains(model, ages, lengths, radii):
    """Return the gains of one run at a shift of 1 later and earlier."""

    def chance(vials, fish):
        none = np.zeros(vials.size)
        return model.log_chance(
            ages[vials], radii[vials], lengths_mm=lengths[fish], parts=none, groups=none
        )

    every = np.arange(ages.size)
    own = chance(every, every)
    later, earlier = np.zeros(ages.size), np.zeros(ages.size)
    later[:-1] = chance(every[:-1], every[1:]) - own[:-1]
    earlier[1:] = chance(every[1:], every[:-1]) - own[1:]
    return later, earlier


def runs_found(seeds, *, heavy=False, shifted=False, with_radii=True):
    """Return what was found in each trip of 20 vials of several lakes."""
    found = []
    for seed in seeds:
        ages, lengths, radii = lake(seed, heavy=heavy)
        radii = radii if with_radii else np.zeros(ages.size)
        model = model_of(ages, lengths, radii)
        for start in range(0, ages.size - TRIP, TRIP):
            own = slice(start, start + TRIP)
            # Otoliths of the fish one number earlier lie in each vial from the sixth on.
            fish = np.arange(start, start + TRIP) - (np.arange(TRIP) >= 6) * shifted
            found.append(find_shift(*gains(model, ages[fish], lengths[own], radii[fish])))
    return found


@pytest.mark.parametrize("heavy", [False, True], ids=["lognormal", "heavy tails"])
def test_runs_in_order_are_not_told_for_shifted(heavy):
    """Of 209 runs at 1 in 1,000 each: more than one would come by chance in 2 of 100."""
    found = runs_found(range(11), heavy=heavy)

    assert sum(one is not None for one in found) <= 1


def test_shifted_runs_are_found_where_they_begin():
    found = [one for one in runs_found(range(3), shifted=True) if one is not None]

    assert len(found) >= 0.95 * 3 * 19
    assert {one.by for one in found} == {-1}
    assert np.median([one.first for one in found]) == pytest.approx(6, abs=1)
    assert np.median([one.last for one in found]) >= TRIP - 2


def test_ages_alone_find_most_shifted_runs():
    found = runs_found(range(3), shifted=True, with_radii=False)

    assert sum(one is not None for one in found) >= 0.85 * len(found)


def test_one_fish_in_a_thousand_is_flagged_where_every_vial_is_right():
    """Of 12,000 fish 12 are expected each way; chance alone seldom leaves 1 to 30."""
    flags = np.zeros(2)
    for seed in range(30):
        model = model_of(*lake(seed))
        flags += [np.count_nonzero(~model.age_fits), np.count_nonzero(~model.radius_fits)]

    assert (flags >= 1).all()
    assert (flags <= 30).all()


def test_two_swapped_vials_are_flagged_though_they_are_among_the_fish():
    ages, lengths, radii = lake(1)
    young, old = np.flatnonzero(ages == 1)[0], np.flatnonzero(ages == 6)[0]
    for one in (ages, radii):
        one[[young, old]] = one[[old, young]]

    model = model_of(ages, lengths, radii)

    assert not model.age_fits[[young, old]].any()
    assert not model.radius_fits[[young, old]].any()


def test_many_odd_fish_do_not_hide_each_other():
    """Of 400 fish 60 lie in each other's vials: in one fit of all they would widen the interval."""
    ages, lengths, _ = lake(2)
    swapped = np.random.default_rng(1).permutation(400)[:60]
    true = ages.copy()
    ages[swapped] = ages[swapped[::-1]]

    model = model_of(ages, lengths, np.zeros(ages.size))

    far = np.abs(np.log((ages + 1) / (true + 1))) > np.log(2)
    assert far.sum() >= 12
    assert not model.age_fits[far & ((ages == 1) | (true == 1))].any()
    assert model.age_fits[ages == true].mean() > 0.99


def test_ages_that_go_with_a_length():
    """Growth levels off: a long fish may be of many ages, a short one is young."""
    ages, lengths, radii = lake(3)
    model = model_of(ages, lengths, radii)

    short, long = (model.ages_of_length(mm, 0.0, 0.0) for mm in (120.0, 320.0))

    assert short == (1, 1)
    assert long[0] >= 3
    assert long[1] >= 9


def test_an_arm_with_faster_growth_has_a_level_of_its_own():
    ages, lengths, radii = lake(4)
    arm = np.arange(ages.size) % 2
    lengths = lengths * np.where(arm == 1, 1.3, 1.0)

    apart = model_of(ages, lengths, radii, groups=arm)
    together = model_of(ages, lengths, radii)

    assert apart.by_age.sd == pytest.approx(0.09, abs=0.015)
    assert together.by_age.sd > 0.12


def test_two_swapped_neighbors_are_no_shifted_run():
    """Each fits the other's fish, and its neighbor in passing: three vials at most."""
    assert find_shift([0, 30.0, 12.0, 5.0, -4], [0, -9, 25.0, 0, 0]) is None
    assert find_shift([0, 30.0, 12.0, 0.3, 0.4], [0, -9, 25.0, 0, 0]) is None
    assert find_shift([0, 30.0, 12.0, 5.0, 4], [0, -9, 25.0, 0, 0]).last == 4


def test_needs_thirty_fish():
    ages, lengths, radii = lake(5, 29)

    with pytest.raises(CannotEstimate) as few:
        model_of(ages, lengths, radii)

    assert few.value.code == "few_fish"
