"""How often the intervals of growth hold the truth, on simulated lakes.

Fish of a lake live through good and poor growth years, are caught in trips, and all or some are
aged; the model of the growth page answers. Each case bends one thing that it takes for granted.
"""

from dataclasses import replace

import numpy as np

from samples.findings.topics.growth.analyse import difference_at
from samples.management.timing import BenchmarkResult
from samples.science.errors import CannotEstimate
from samples.science.growth.summaries import lengths_at, years_to
from tests.science.growth_lakes import GrowthLake, fitted, true_length

NAME = "calibrate-growth"
LAKES = 200
NOMINAL = 0.95
LEAST, MOST = 0.90, 0.98
AGES = np.array([2.0, 3.0, 4.0, 5.0])
AIM_MM = 254.0
FINE = np.linspace(0.2, 12, 11_801)

BASE = GrowthLake()
CASES = {
    **{f"{n} season(s), year sd 0.15": replace(BASE, seasons=n) for n in (1, 3, 5)},
    **{
        f"{n} season(s), year sd {sd}": replace(BASE, seasons=n, effects=sd)
        for sd in (0.0, 0.1, 0.2, 0.25, 0.3)
        for n in (1, 3, 5)
    },
    "years follow one another (AR 0.4)": replace(BASE, follows=0.4),
    "the hatching year sets Linf instead": replace(BASE, on_length=True, effects=0.05),
    "trips not alike": replace(BASE, alike=0.0),
    "trips alike (0.3)": replace(BASE, alike=0.3),
    "10 aged of each inch": replace(BASE, aged_a_bin=10),
    "grown by Gompertz": replace(BASE, gompertz=True),
    "kept by anglers from 200 mm": replace(BASE, kept_from=200.0),
    "ages misread (CV 6%)": replace(BASE, misread=0.06),
    "ages misread (CV 11%)": replace(BASE, misread=0.11),
    "harvested from 200 mm at F 0.5": replace(BASE, harvest=0.5),
    "harvested from 200 mm at F 1": replace(BASE, harvest=1.0),
    "harvested from 200 mm at F 1, M or tags entered": replace(BASE, harvest=1.0, f_error=0.2),
    "three arms that grow apart": replace(BASE, groups=3),
    "three arms of 40 fish": replace(BASE, groups=3, fish=40, trips=10),
}
APART = replace(BASE, groups=3)
# Lakes of several groups, of which the page gives the difference in length at age.
DIFFERENCES = {
    **{f"3 arms, {n} season(s)": replace(APART, seasons=n) for n in (1, 3, 5)},
    "3 arms that grow alike": replace(APART, apart=0.0),
    "3 arms that grow far apart": replace(APART, apart=0.25),
    "3 arms, year sd 0.3": replace(APART, effects=0.3),
    "3 arms, years follow one another (AR 0.4)": replace(APART, follows=0.4),
    "3 arms, the hatching year sets Linf": replace(APART, on_length=True, effects=0.05),
    "3 arms, trips alike (0.3)": replace(APART, alike=0.3),
    "3 arms, 10 aged of each inch": replace(APART, aged_a_bin=10),
    "3 arms of 40 fish": replace(APART, fish=40, trips=10),
    "3 arms, kept by anglers from 200 mm": replace(APART, kept_from=200.0),
    "3 arms, ages misread (CV 11%)": replace(APART, misread=0.11),
    "3 arms, harvested from 200 mm at F 1": replace(APART, harvest=1.0),
    "2 sexes of the same trips, alike (0.3)": replace(APART, groups=2, together=True, alike=0.3),
}


def run():
    return [
        *(result for name in CASES for result in results_of(name, LAKES)),
        *(difference_of(name, LAKES) for name in DIFFERENCES),
    ]


def results_of(name, lakes):
    """Return cover and width of length at ages 2 to 5, and of years to 254 mm."""
    lake = CASES[name]
    found = [one for one in (answer(lake, seed) for seed in range(lakes)) if one is not None]
    held, width, error, years = (
        np.array([row[place] for one in found for row in one]) for place in range(4)
    )
    words = (
        f"{NAME}: {name}: {len(found)} of {lakes} lakes answered, length at ages 2-5: half-width "
        f"{width.mean():.1f} mm, mean error {error.mean():+.1f}, sd {error.std():.1f}"
    )
    to_length = f"{NAME}: {name}: years to {AIM_MM:.0f} mm"
    return [_result(words, held.mean()), _result(to_length, years.mean())]


def difference_of(name, lakes):
    """Return cover and width of how much longer fish of one group are at ages 2 to 5."""
    lake = DIFFERENCES[name]
    found = [row for seed in range(lakes) for row in _differences(lake, seed)]
    held, width, error = (np.array([row[place] for row in found]) for place in range(3))
    words = (
        f"{NAME}: {name}: {len(found)} pairs of {lakes} lakes, difference of length at ages 2-5: "
        f"half-width {width.mean():.1f} mm, mean error {error.mean():+.1f}, sd {error.std():.1f}"
    )
    return _result(words, held.mean())


def _differences(lake, seed):
    """Return of each group against the first whether the differences are held, their half-widths
    and errors.
    """
    try:
        base, *others = fitted(lake, seed, draws=1_000).average
    except CannotEstimate:
        return []
    rows = []
    for place, one in enumerate(others, start=1):
        true = true_length(lake, AGES, lake.apart * place) - true_length(lake, AGES)
        told = [difference_at(one, base, float(age)) for age in AGES]
        apart, lower, upper = np.array(told).T
        rows.append(((lower <= true) & (true <= upper), (upper - lower) / 2, apart - true))
    return rows


def _result(name, held):
    goal = f"{LEAST:.0%} to {MOST:.0%} of 95% intervals hold the truth"
    return BenchmarkResult(
        name, round(float(held), 3), NOMINAL, "share", goal, met=bool(LEAST <= held <= MOST)
    )


def answer(lake, seed):
    """Return of each group whether length at age is held, half-widths, errors, and the years."""
    try:
        found = fitted(lake, seed, draws=1_000)
    except CannotEstimate:
        return None
    rows = []
    for place, one in enumerate(found.average):
        extra = lake.apart * place
        true = true_length(lake, AGES, extra)
        told = lengths_at(one.curve, one.draws, AGES)
        lower, upper = (np.array([getattr(row, end) for row in told]) for end in ("lower", "upper"))
        takes = float(np.interp(AIM_MM, true_length(lake, FINE, extra), FINE))
        ends = years_to(one.curve, one.draws, AIM_MM).interval
        within = ends.lower is not None and ends.lower <= takes
        within = within and (ends.upper is None or takes <= ends.upper)
        held = (lower <= true) & (true <= upper)
        rows.append((held, (upper - lower) / 2, one.curve.length_at(AGES) - true, within))
    return rows
