"""How often the other intervals of the pages hold the truth, on simulated lakes.

PSD, relative weight, shares of ages, mean length at age, exploitation by tags, the CV of one
reading, F = Z - M, growth by year from rings, and the change in weight under a length limit: each
from lakes of known truth.
"""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np

from samples.findings.topics.fishing_inputs import CannotJudge
from samples.findings.topics.length_limit.stock import answer, know
from samples.management.timing import BenchmarkResult
from samples.science.age_length_key import observed_key, resample_parties
from samples.science.ageing_error import fit_reading_error
from samples.science.errors import CannotEstimate
from samples.science.length_limit.cases import change
from samples.science.length_limit.fish_lives import Lives
from samples.science.length_limit.inputs import natural_from_shares
from samples.science.length_limit.rules import Rule
from samples.science.rates import exploitation_from_tags, fishing_left
from samples.science.size_structure import (
    LENGTHS,
    STANDARD_WEIGHTS,
    relative_weight,
    size_structure,
)
from samples.science.weighted_mean import weighted_mean
from tests.benchmarks import calibrate, verdicts
from tests.benchmarks._ringed_fish import LAKES as RINGED
from tests.benchmarks._ringed_fish import year_intervals

NAME = "calibrate-figures"
LAKES = 200
NOMINAL = 0.95
LEAST, MOST = 0.90, 0.99
CODE = "white-crappie"
LINF, RATE, CV, Z = 330.0, 0.4, 0.08, 0.6
OLDEST, BIN_MM, DRAWS = 10, 25.4, 200
FISH, TRIPS, AGED_A_BIN = 400, 40, 10
# A triangular range so wide has the sd of the survey's error, 0.12 of its logarithm.
SURVEY_RANGE = 0.12 * np.sqrt(6)


def run():
    return [result for name in FIGURES for result in results_of(name, LAKES)]


def results_of(name, lakes):
    """Return cover and half-width of one figure over so many lakes."""
    found = [one for one in (_answer(name, seed) for seed in range(lakes)) if one is not None]
    held = np.concatenate([np.atleast_1d(one[0]) for one in found])
    width = np.concatenate([np.atleast_1d(one[1]) for one in found])
    words = f"{NAME}: {name}: {len(found)} of {lakes} lakes, half-width {width.mean():.3g}"
    goal = f"{LEAST:.0%} to {MOST:.0%} of 95% intervals hold the truth"
    cover = float(held.mean())
    met = LEAST <= cover <= MOST
    return [BenchmarkResult(words, round(cover, 3), NOMINAL, "share", goal, met=bool(met))]


def _answer(name, seed):
    try:
        return FIGURES[name](np.random.default_rng(seed))
    except (CannotEstimate, CannotJudge):
        return None


def _held(lower, upper, truth):
    lower, upper, truth = (np.asarray(one, dtype=float) for one in (lower, upper, truth))
    return (lower <= truth) & (truth <= upper), (upper - lower) / 2


def _fish(rng, count):
    ages = np.arange(1, OLDEST + 1)
    shares = np.exp(-Z * ages)
    age = rng.choice(ages, count, p=shares / shares.sum())
    length = LINF * -np.expm1(-RATE * (age + 0.3)) * rng.normal(1, CV, count)
    return age, np.maximum(length, 30.0)


def _psd(rng, *, alike=0.0):
    """PSD of 200 net fish from 20 sets; ``alike``: sd of the log odds among sets."""
    share = 0.4
    odds = np.log(share / (1 - share)) + rng.normal(0, alike, 20)
    quality = rng.random(200) < np.repeat(1 / (1 + np.exp(-odds)), 10)
    stock, at_least = LENGTHS[CODE].mm[:2]
    lengths = np.where(quality, at_least + 1.0, stock + 1.0).tolist()
    found = size_structure(CODE, lengths, sets=np.repeat(np.arange(20), 10))
    drawn = 1 / (1 + np.exp(-(np.log(share / (1 - share)) + alike * GRID)))
    return _held(found.over[0].lower, found.over[0].upper, 100 * drawn.mean())


GRID = np.random.default_rng(1).normal(0, 1, 20_000)


def _relative_weight(rng):
    _, length = _fish(rng, 60)
    line = STANDARD_WEIGHTS[CODE]
    length = np.maximum(length, line.shortest_mm)
    weight = 10 ** (line.a + line.b * np.log10(length)) * rng.normal(0.92, 0.1, length.size)
    found = relative_weight(CODE, length, weight)
    return _held(found.lower, found.upper, 92.0)


def _sampled(rng):
    age, length = _fish(rng, FISH)
    bins = (length // BIN_MM).astype(int)
    read = np.zeros(FISH, bool)
    for one in np.unique(bins):
        here = np.flatnonzero(bins == one)
        read[rng.permutation(here)[:AGED_A_BIN]] = True
    return age, length, bins, read


def _age_shares(rng):
    age, length, _, read = _sampled(rng)
    edges = np.arange(0, 25) * BIN_MM + 1e-6
    key = observed_key(length[read], age[read], length, lower_edges=edges)
    drawn = resample_parties(
        key,
        rng,
        lengths=length,
        ages=np.where(read, age, -1),
        parties=np.repeat(np.arange(TRIPS), FISH // TRIPS),
        draws=DRAWS,
    )
    lower, upper = drawn.interval()
    shares = np.exp(-Z * np.arange(1, OLDEST + 1))
    shares /= shares.sum()
    few = [place for place, one in enumerate(key.ages) if 1 <= one <= 5]
    return _held(lower[few], upper[few], shares[key.ages[few] - 1])


def _length_at_age(rng):
    age, length, bins, read = _sampled(rng)
    weight = np.bincount(bins)[bins] / np.maximum(np.bincount(bins[read], minlength=25), 1)[bins]
    rows = []
    for years in (2, 3, 4):
        own = read & (age == years)
        if np.count_nonzero(own) >= 3:
            found = weighted_mean(length[own], weight[own])
            rows.append(_held(found.lower, found.upper, LINF * -np.expm1(-RATE * (years + 0.3))))
    return tuple(np.array(column) for column in zip(*rows, strict=True))


def _tags(rng):
    taken, reporting = 0.3, rng.uniform(0.5, 0.75)
    returned = int(rng.binomial(200, taken * reporting))
    found = exploitation_from_tags(
        200, returned, reporting=(0.5, 0.75), tags_kept=1.0, survived=1.0
    )
    return _held(found.lower, found.upper, taken)


def _reading_cv(rng):
    cv = 0.06
    ages, _ = _fish(rng, 150)
    pair = [np.maximum(np.rint(rng.normal(ages, cv * ages)), 0).astype(int) for _ in range(2)]
    found = fit_reading_error(*pair)
    return _held(found.lower, found.upper, cv)


def _limit(rng, *, number, wide=True):
    """Change under a limit of 254 mm, by the page's own code and by the truth.

    A survey of natural death is some 12 % off. Its range is as wide as that (``wide``), or from 7
    points below to 9 above, which the truth leaves in many lakes.
    """
    truth = verdicts.Truth(rng)
    asked = verdicts._asked(verdicts._sample(truth, rng, verdicts.AGED_OF_EACH))
    [group] = asked.stocks()
    entered = verdicts._entered(truth, rng, tags=True)
    if wide:
        middle = entered.natural.middle
        natural = replace(
            entered.natural,
            least=middle * np.exp(-SURVEY_RANGE),
            most=min(middle * np.exp(SURVEY_RANGE), 0.95),
        )
        entered = replace(entered, natural=natural)
    known = know(asked.study, group, asked.choice.limit, entered)
    one = answer(known, verdicts.LINES, verdicts.LIMIT_MM)
    if one.harvest is None:
        return None
    values = (truth.linf, truth.rate, truth.zero, truth.natural)
    linf, rate, zero, natural = (np.array([value]) for value in values)
    lives = Lives(linf, rate, zero, natural, truth.cv, *verdicts.STANDARD_WEIGHT)
    rules = Rule(truth.kept_from), Rule(truth.kept_from, verdicts.LIMIT_MM, verdicts.RELEASE_DEATH)
    true = change(lives, np.array([truth.fishing]), *rules)
    told = one.harvest.against_now
    drawn, is_true = (told.number, true.number) if number else (told.weight, true.weight)
    lower, upper = np.quantile(drawn, (0.025, 0.975))
    return _held(100 * lower, 100 * upper, 100 * float(is_true[0]))


def _fishing(rng, case, *, wide=True):
    """F = Z - M, M entered by a survey that is some 12 % off, as the page of mortality draws it."""
    natural = rng.uniform(0.2, 0.45)
    middle = -np.expm1(-natural) * np.exp(rng.normal(0, 0.12))
    ends = middle * np.exp(np.array([-1, 1]) * SURVEY_RANGE)
    least, most = ends if wide else (middle - 0.07, middle + 0.09)
    # The page draws both from one seed.
    seed = int(rng.integers(2**32))
    found, _ = calibrate.fitted(case, rng, drawn_by=np.random.default_rng(seed))
    drawn = natural_from_shares(
        np.random.default_rng(seed), found.z_draws.size, least=least, middle=middle, most=most
    )
    lower, upper = np.quantile(fishing_left(found.z_draws, drawn).f, (0.025, 0.975))
    return _held(lower, upper, calibrate.Z - natural)


def _by_year(rng, lake):
    lower, upper, true = year_intervals(lake, rng)
    return _held(lower, upper, true)


OF_FISHING = {
    "F = Z - M, 1 season": replace(calibrate.BASE, seasons=1),
    "F = Z - M, 3 seasons": calibrate.BASE,
    "F = Z - M, 5 seasons": replace(calibrate.BASE, seasons=5),
    "F = Z - M, recruitment sd 1": replace(calibrate.BASE, spread=1.0),
    "F = Z - M, fish of a trip alike (0.2)": replace(calibrate.BASE, alike=0.2),
    "F = Z - M, old fish escape the nets": replace(calibrate.BASE, dome=0.1),
    "F = Z - M, recruitment rises 5% a year": replace(calibrate.BASE, trend=0.05),
    "F = Z - M, ages misread (CV 11%)": replace(calibrate.BASE, misread=0.11),
}

FIGURES: dict[str, Callable[[np.random.Generator], Any]] = {
    "PSD, fish one by one": _psd,
    "PSD, sets alike (sd 0.6 of the log odds)": lambda rng: _psd(rng, alike=0.6),
    "mean relative weight of 60 fish": _relative_weight,
    "share of an age by the key": _age_shares,
    "mean length at age, weighted": _length_at_age,
    "exploitation by 200 tags": _tags,
    "CV of one reading, 150 pairs": _reading_cv,
    "weight under a limit, with tags": lambda rng: _limit(rng, number=False),
    "number under a limit, with tags": lambda rng: _limit(rng, number=True),
    "weight under a limit, range of M too narrow": lambda rng: _limit(
        rng, number=False, wide=False
    ),
    **{name: partial(_fishing, case=case) for name, case in OF_FISHING.items()},
    "F = Z - M, range of M too narrow": partial(_fishing, case=calibrate.BASE, wide=False),
    **{f"growth by year, {name}": partial(_by_year, lake=lake) for name, lake in RINGED.items()},
}
