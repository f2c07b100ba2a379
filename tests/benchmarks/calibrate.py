"""How often the intervals of mortality and year classes hold the truth, on simulated lakes.

Fish of a lake live, are caught in trips, measured, and some are aged by length; a key gives the
others their ages, and the model of the pages answers. Each case bends one thing that the model
takes for granted.
"""

from dataclasses import dataclass, replace

import numpy as np

from samples.management.timing import BenchmarkResult
from samples.science.age_length_key import age_structure, observed_key, resample_parties
from samples.science.catch_at_age import CatchAtAge
from samples.science.errors import CannotEstimate
from samples.science.year_class_model import YearClassRating, effective_number, fit_catch_curve

NAME = "calibrate"
LAKES = 200
NOMINAL = 0.95
LEAST, MOST = 0.90, 0.99
Z, FIRST, OLDEST, BEYOND = 0.6, 2, 16, 3
LAST_SEASON, FIRST_YEAR = 2026, 1996
LINF, RATE, LENGTH_CV, BIN_MM = 330.0, 0.4, 0.08, 25.4
DRAWS = 200


@dataclass(frozen=True)
class Case:
    """One way a lake may be. ``known`` gives every fish its age; ``alike`` is the intraclass
    correlation of ages within trips; ``dome`` how far old fish escape; ``trend`` how much
    recruitment rises a year; ``misread`` the CV of a reading."""

    name: str
    seasons: int = 3
    spread: float = 0.6
    fish: int = 400
    trips: int = 40
    aged_a_bin: int = 10
    known: bool = False
    alike: float = 0.0
    dome: float = 0.0
    trend: float = 0.0
    special: float = 0.0
    misread: float = 0.0


BASE = Case("3 seasons")
CASES = (
    *(replace(BASE, name=f"{n} season(s)", seasons=n) for n in (1, 3, 5)),
    replace(BASE, name="every age known", known=True),
    replace(BASE, name="steady recruitment", spread=0.0),
    *(
        replace(BASE, name=f"steady recruitment, {fish:,} fish", spread=0.0, fish=fish, trips=100)
        for fish in (1_000, 2_000, 4_000)
    ),
    replace(BASE, name="recruitment sd 0.3", spread=0.3),
    replace(BASE, name="recruitment sd 1", spread=1.0),
    replace(BASE, name="alike trips (0.2)", alike=0.2),
    replace(BASE, name="old fish escape", dome=0.1),
    replace(BASE, name="recruitment rises 5% a year", trend=0.05),
    replace(BASE, name="one class 2.8 times", spread=0.2, special=2.8),
    replace(BASE, name="one class 2.8 times, ages known", spread=0.2, special=2.8, known=True),
    replace(
        BASE,
        name="one class 2.8 times, ages misread (CV 11%)",
        spread=0.2,
        special=2.8,
        misread=0.11,
    ),
    replace(BASE, name="4,000 fish", fish=4_000, trips=200, aged_a_bin=60),
)


def run():
    return [result for case in CASES for result in results_of(case, LAKES)]


def results_of(case, lakes):
    """Return what came of a case: cover of Z and of classes, and what was named."""
    found = [one for one in (answer(case, seed) for seed in range(lakes)) if one is not None]
    z_held, width, error = (np.array([one[k] for one in found]) for k in range(3))
    classes = np.concatenate([one[3] for one in found])
    named = np.mean(np.concatenate([one[4] for one in found]))
    of_lakes = f"{NAME}: {case.name}: {len(found)} of {lakes} lakes answered"
    told = f"half-width {width.mean():.3f}, mean error {error.mean():+.3f}, sd {error.std():.3f}"
    special = [one[5] for one in found if one[5]]
    hits = ""
    if special:
        strong, ratio, held_it = (np.array(column) for column in zip(*special, strict=True))
        hits = (
            f", the class named in {np.mean(strong == 'strong'):.0%}, "
            f"on average {ratio.mean():.2f} times, held in {held_it.mean():.0%}"
        )
    return [
        _result(f"{of_lakes}, Z: {told}", float(z_held.mean())),
        _result(f"{of_lakes}, classes: {named:.1%} named{hits}", float(classes.mean())),
    ]


def _result(name, held):
    goal = f"{LEAST:.0%} to {MOST:.0%} of 95% intervals hold the truth"
    return BenchmarkResult(name, round(held, 3), NOMINAL, "share", goal, met=LEAST <= held <= MOST)


def answer(case, seed):
    """Return cover of Z, half-width, error, cover and naming of the classes,
    and the special one.
    """
    try:
        found, effects = fitted(case, np.random.default_rng(seed))
    except CannotEstimate:
        return None
    low, high = found.interval
    true = effects[np.array([one.year for one in found.classes]) - FIRST_YEAR]
    true = np.exp(true - true.mean())
    told = [
        one.lower <= ratio <= one.upper
        for one, ratio in zip(found.classes, true, strict=True)
        if one.expected_aged >= 5
    ]
    named = [
        one.strength in (YearClassRating.STRONG, YearClassRating.WEAK) for one in found.classes
    ]
    special = [
        (one.strength.value, one.ratio, one.lower <= ratio <= one.upper)
        for one, ratio in zip(found.classes, true, strict=True)
        if one.year == LAST_SEASON - 4
    ]
    return (
        low <= Z <= high,
        (high - low) / 2,
        found.z - Z,
        told,
        named,
        special[0] if case.special else "",
    )


def fitted(case, rng, *, drawn_by=None):
    """Fit the fish of a lake, and give the effects of its hatching years beside it."""
    years = np.arange(FIRST_YEAR, LAST_SEASON + 1)
    effects = rng.normal(0, case.spread, years.size) + case.trend * (years - years.mean())
    if case.special:
        effects[LAST_SEASON - 4 - FIRST_YEAR] = np.log(case.special)
    seasons = range(LAST_SEASON - case.seasons + 1, LAST_SEASON + 1)
    caught = [_season(case, rng, effects, season) for season in seasons]
    return fit_catch_curve(_series(caught), rng=drawn_by or rng, draws=600), effects


def _season(case, rng, effects, season):
    """Catch, measure and age the fish of one season; give shares of recruited ages and their n."""
    ages = np.arange(1, OLDEST + 1)
    shares = np.exp(
        effects[season - ages - FIRST_YEAR] - Z * ages - case.dome * (ages > 6) * (ages - 6)
    )
    shares /= shares.sum()
    of_trip = np.tile(shares, (case.trips, 1))
    if case.alike:
        of_trip = rng.dirichlet((1 / case.alike - 1) * shares, case.trips)
    counts = rng.multinomial(case.fish // case.trips, of_trip)
    age = np.repeat(np.tile(ages, case.trips), counts.ravel())
    trip = np.repeat(np.arange(case.trips), counts.sum(axis=1))
    length = LINF * -np.expm1(-RATE * (age + 0.3)) * rng.normal(1, LENGTH_CV, age.size)
    length = np.maximum(length, 30.0)
    read = np.ones(age.size, bool) if case.known else _picked(rng, length, case.aged_a_bin)
    if case.misread:
        age = np.maximum(np.rint(rng.normal(age, case.misread * age)), 1).astype(int)
    edges = np.arange(0, 25) * BIN_MM + 1e-6
    key = observed_key(length[read], age[read], length, lower_edges=edges)
    drawn = resample_parties(
        key, rng, lengths=length, ages=np.where(read, age, -1), parties=trip, draws=DRAWS
    )
    return season, age_structure(key), drawn.numbers, int(np.count_nonzero(read & (age >= FIRST)))


def _picked(rng, length, a_bin):
    bins = (length // BIN_MM).astype(int)
    read = np.zeros(length.size, bool)
    for one in np.unique(bins):
        here = np.flatnonzero(bins == one)
        read[rng.permutation(here)[:a_bin]] = True
    return read


def _series(caught):
    last = max(int(one.ages[one.numbers > 0].max()) for _, one, _, _ in caught) + BEYOND
    found = []
    for season, structure, drawn, aged in caught:
        recruited = structure.ages >= FIRST
        numbers = structure.numbers[recruited]
        every = drawn[:, recruited]
        worth = effective_number(numbers / numbers.sum(), every / every.sum(axis=1, keepdims=True))
        table = np.zeros(last - FIRST + 1)
        table[structure.ages[recruited] - FIRST] = numbers * min(worth / numbers.sum(), 1.0)
        found.append(
            CatchAtAge(season, np.arange(FIRST, last + 1), table, np.ones(table.size), aged)
        )
    return found
