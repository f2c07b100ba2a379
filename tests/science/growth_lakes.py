"""Lakes whose growth and growth years are known, to try what is told of them.

They are bent one way at a time: years alike or not, effects on Linf, trips alike, ages of some
of the measured fish only, another form of curve.
"""

from dataclasses import dataclass, replace

import numpy as np

from samples.science.growth.cells import mean_lengths
from samples.science.growth.likelihood import fit_form
from samples.science.growth.survivors import born_fish
from samples.science.growth.year_effects import fit_year_effects

LENGTH_MAX, RATE, AGE_ZERO, CV, Z, OLDEST = 330.0, 0.42, -0.1, 0.08, 0.45, 9
LAST = 2026
BIN_MM = 25.4
HARVESTED_MM = 200.0


@dataclass(frozen=True)
class GrowthLake:
    """One way a lake may be. ``effects`` is the sd of growth years, ``follows`` their correlation
    from year to year, ``alike`` the likeness of trips, ``aged_a_bin`` how many of each length bin
    are aged (0: all), ``kept_from`` the length from which anglers keep fish, mm, ``misread`` the
    CV of a reading, ``harvest`` F of fish over 200 mm, which takes the fast growers first,
    ``apart`` how far the logarithm of K of a group lies above that of the one before, ``together``
    whether groups are caught in the same trips, as sexes are, ``f_error`` the sd of the logarithm
    of F as it is known, to count in the fish that were taken; 0: it is not."""

    seasons: int = 3
    effects: float = 0.15
    follows: float = 0.0
    on_length: bool = False
    alike: float = 0.1
    aged_a_bin: int = 0
    gompertz: bool = False
    kept_from: float = 0.0
    fish: int = 250
    trips: int = 25
    groups: int = 1
    misread: float = 0.0
    harvest: float = 0.0
    apart: float = 0.1
    together: bool = False
    f_error: float = 0.0


def true_length(lake, time, extra=0.0):
    """Return the mean length after so many growing seasons of average years."""
    if lake.gompertz:
        return LENGTH_MAX * np.exp(-np.exp(-0.65 * (np.asarray(time) - 1.2)))
    return LENGTH_MAX * -np.expm1(-RATE * np.exp(extra) * (np.asarray(time) - AGE_ZERO))


def draw_fish(lake, seed):
    """Return fish as columns: group, year, age, part, length, trip, weight."""
    rng = np.random.default_rng(seed)
    years = np.arange(LAST - lake.seasons - OLDEST, LAST + 1)
    effects = np.zeros(years.size)
    for place in range(years.size):
        before = lake.follows * effects[place - 1] if place else 0.0
        effects[place] = before + rng.normal(0, lake.effects * np.sqrt(1 - lake.follows**2))
    extra = lake.apart * np.arange(lake.groups)
    seasons = range(LAST - lake.seasons + 1, LAST + 1)
    shared = dict.fromkeys(seasons)
    if lake.together:
        shared = {season: _trips(lake, rng) for season in seasons}
    found = [
        _catch(lake, rng, effects, years[0], group, season, extra[group], shared[season])
        for group in range(lake.groups)
        for season in seasons
    ]
    return {name: np.concatenate([one[name] for one in found]) for name in found[0]}


def _trips(lake, rng):
    return rng.normal(0, np.sqrt(lake.alike), lake.trips)


def _catch(lake, rng, effects, first, group, season, extra, shared):
    shares = np.exp(-Z * np.arange(1, OLDEST + 1))
    many = lake.fish * (20 if lake.harvest else 1)
    age = rng.choice(np.arange(1, OLDEST + 1), many, p=shares / shares.sum())
    trip = rng.integers(0, lake.trips, many)
    part = np.full(age.size, 0.2)
    place = season - first
    grown = np.array([np.exp(effects[place - one : place]).sum() for one in range(OLDEST + 1)])
    tau = grown[age] + part * np.exp(effects[place])
    mean = true_length(lake, tau, extra)
    if lake.on_length:
        mean = true_length(lake, age + part, extra) * np.exp(effects[place - age])
    of_trip = (_trips(lake, rng) if shared is None else shared)[trip]
    length = mean * (1 + CV * (of_trip + rng.normal(0, np.sqrt(1 - lake.alike), age.size)))
    length = np.maximum(length, 20.0)
    kept = length >= lake.kept_from
    if lake.harvest:
        kept &= _alive(lake, rng, age + part, length / mean)
        kept[np.flatnonzero(kept)[lake.fish :]] = False
    weight = np.ones(age.size)
    read = kept.copy()
    if lake.aged_a_bin:
        bins = (length // BIN_MM).astype(int)
        for one in np.unique(bins[kept]):
            here = rng.permutation(np.flatnonzero(kept & (bins == one)))
            read[here[lake.aged_a_bin :]] = False
            weight[here] = here.size / min(here.size, lake.aged_a_bin)
    if lake.misread:
        age = np.maximum(np.rint(rng.normal(age, lake.misread * age)), 0).astype(int)
    number = ((0 if lake.together else group) * 10_000 + season) * 1_000 + trip
    columns = {"group": np.full(age.size, group), "year": np.full(age.size, season), "age": age,
               "part": part, "length": length, "trip": number, "weight": weight}  # fmt: skip
    return {name: values[read] for name, values in columns.items()}


def _alive(lake, rng, clock, scale):
    """Return which fish harvest has left: those over the kept length die at F beside Z."""
    top = np.maximum(scale * LENGTH_MAX, HARVESTED_MM * 1.01)
    begun = AGE_ZERO - np.log1p(-HARVESTED_MM / top) / RATE
    return rng.random(clock.size) < np.exp(-lake.harvest * np.maximum(clock - begun, 0))


def fitted(lake, seed, *, draws=1_000, cut=True):
    """Fit a drawn lake as the pages do."""
    fish = draw_fish(lake, seed)
    kept = np.full(fish["age"].size, lake.kept_from if cut else 0.0)
    time = fish["age"] + fish["part"]
    first = fit_form(time, fish["length"], weights=fish["weight"], kept_from_mm=kept)
    cells = mean_lengths(
        [first] * lake.groups,
        group=fish["group"],
        year=fish["year"],
        age=fish["age"],
        part=fish["part"],
        lengths_mm=fish["length"],
        trips=fish["trip"],
        weights=fish["weight"],
        kept_from_mm=kept,
    )
    rng = np.random.default_rng(seed)
    found = fit_year_effects(cells, first.curve, rng=rng, draws=draws)
    if not lake.f_error:
        return found
    known = lake.harvest * np.exp(rng.normal(0, lake.f_error))
    born = born_fish(
        found.average[0],
        known * np.exp(rng.normal(0, lake.f_error, draws)),
        found.clock_of(fish["year"], fish["age"], fish["part"]),
        fish["length"],
        fished_from_mm=HARVESTED_MM,
        weights=fish["weight"],
        kept_from_mm=kept,
    )
    return replace(found, average=(born.grown,))
