"""True ages in place of ages as read: drawn back by Bayes from single and agreed readings.

Numbers only: ``true_age_texts`` says what they change.
"""

from dataclasses import replace

import numpy as np

from samples.findings.sample import Floats, Ints, Sample
from samples.findings.topics.grown import weights_of
from samples.findings.topics.reading_error import redraw_cvs
from samples.findings.topics.study import Study
from samples.science.ageing_error import BEYOND, ReadingError, agreed_shares, reading_shares
from samples.science.true_ages import draw_true_ages, true_age_chances


def draw_back(study: Study, sample: Sample, error: ReadingError) -> Sample:
    """Return the sample with one true age drawn for each aged fish, its clock moved along."""
    weights = weights_of(study, sample)
    return _drawn(sample, weights, error.cv, study.rng)


def redraw(study: Study, sample: Sample, error: ReadingError) -> list[Sample]:
    """Return several such samples, each by trips drawn anew and a CV from its interval.

    What the shares of ages and the CV leave open shows in how these differ.
    """
    rng, weights = study.rng, weights_of(study, sample)
    cvs = redraw_cvs(error, rng)
    trips, trip = np.unique(sample.party[sample.aged], return_inverse=True)
    return [
        _drawn(
            sample,
            weights * rng.multinomial(trips.size, np.full(trips.size, 1 / trips.size))[trip],
            float(cv),
            rng,
        )
        for cv in cvs
    ]


def _drawn(sample: Sample, weights: Floats, cv: float, rng: np.random.Generator) -> Sample:
    aged = sample.where(sample.aged)
    likely = _read_given_true(aged, cv)
    ages = aged.age.copy()
    for place in _blocks(aged):
        if not weights[place].sum():
            continue  # a species whose trips were all left out this time
        chances = true_age_chances(
            likely[place],
            aged.length_mm[place],
            classes=_classes(aged.arm[place], aged.season[place]),
            groups=aged.arm[place],
            weights=weights[place],
        )
        ages[place] = draw_true_ages(chances, rng)
    drawn, clock = sample.age.copy(), sample.clock.copy()
    drawn[sample.aged] = ages
    clock[sample.aged] += ages - aged.age
    return replace(sample, age=drawn, clock=clock)


def _read_given_true(aged: Sample, cv: float) -> Floats:
    """Return the chance of what was read of each fish at each true age; shape (fish, ages).

    An age that came with a spreadsheet was not read here: it stays as it is.
    """
    oldest = int(aged.age.max(initial=0)) + BEYOND
    single, agreed = reading_shares(cv, oldest).T, agreed_shares(cv, oldest).T
    likely = np.where(aged.agreed[:, None], agreed[aged.age], single[aged.age])
    likely[aged.as_given] = np.eye(oldest + 1)[aged.age[aged.as_given]]
    return likely


def _blocks(aged: Sample) -> list[Ints]:
    """Return the places of the fish of each species, like ages and lengths together."""
    order = np.lexsort((aged.length_mm, aged.age, aged.season, aged.arm))
    return [order[aged.species[order] == species] for species in np.unique(aged.species)]


def _classes(arms: Ints, seasons: Ints) -> Ints:
    """Return a number for each arm and season: their fish have shares of ages of their own."""
    _, arm = np.unique(arms, return_inverse=True)
    names, season = np.unique(seasons, return_inverse=True)
    return np.asarray(arm * names.size + season, dtype=np.int64)
