"""Fish whose rings were measured, from lakes whose good and poor growth years are known."""

from dataclasses import dataclass, replace

import numpy as np

from samples.findings.topics.growth_by_year.analyse import FEWEST_A_YEAR
from samples.science.back_calculation import increments_of, with_intercept
from samples.science.growth_years import year_effects

LINF, K, T0, Z = 330.0, 0.42, -0.1, 0.45
FIRST_AGE, OLDEST, LAST = 1, 9, 2026


@dataclass(frozen=True)
class RingedLake:
    """One way a lake may be. ``effects`` is the sd of growth years, ``own`` how far a fish keeps
    to a growth of its own (sd of log Linf), ``noise`` the sd of one increment's logarithm,
    ``blur`` the error of a ring's radius as a share of the otolith's, ``intercept`` the length in
    mm at radius 0, ``clock`` whether a good year moves the fish along its curve, so that the next
    year finds it nearer its end, ``groups`` arms that grow apart, ``hatched_apart`` how far a year
    class keeps to a growth of its own."""

    fish: int = 60
    effects: float = 0.15
    follows: float = 0.0
    own: float = 0.08
    noise: float = 0.1
    blur: float = 0.0
    intercept: float = 0.0
    clock: bool = False
    groups: int = 1
    seasons: int = 1
    hatched_apart: float = 0.0


BASE = RingedLake()
LAKES = {
    "60 fish": BASE,
    "20 fish": replace(BASE, fish=20),
    "200 fish": replace(BASE, fish=200),
    "60 fish of 3 seasons": replace(BASE, seasons=3),
    "years alike": replace(BASE, effects=0.0),
    "year sd 0.3": replace(BASE, effects=0.3),
    "years follow one another (AR 0.4)": replace(BASE, follows=0.4),
    "rings measured to 3% of the radius": replace(BASE, blur=0.03),
    "intercept of 30 mm": replace(BASE, intercept=30.0),
    "three arms that grow apart": replace(BASE, groups=3),
    "a good year is followed by less growth": replace(BASE, clock=True),
    "hatching years apart too (sd 0.1)": replace(BASE, hatched_apart=0.1),
}


def year_intervals(lake, rng):
    """Return the ends that the page gives, and the truth, in percent: of each year."""
    first = LAST - lake.seasons - OLDEST
    years = np.arange(first, LAST + 1)
    true = _effects(lake, rng, years.size)
    hatched = rng.normal(0, lake.hatched_apart, years.size)
    rows, groups = [], []
    for _ in range(lake.fish):
        group = int(rng.integers(lake.groups))
        age = _age(rng)
        born = LAST - int(rng.integers(lake.seasons)) - age
        own = np.exp(rng.normal(0, lake.own) + 0.1 * group + hatched[born - first])
        lengths = _lengths(lake, rng, true[born - first : born - first + age + 1], own)
        rows.append((born, _back_calculated(lake, rng, lengths)))
        groups.append(group)
    told, _ = increments_of(rows, groups=groups).of_years_with(FEWEST_A_YEAR)
    found = year_effects(told)
    own_years = true[np.array([one.year for one in found]) - first]
    lower, upper = (np.array([getattr(one, end) for one in found]) for end in ("lower", "upper"))
    return lower, upper, 100 * np.expm1(own_years - own_years.mean())


def _effects(lake, rng, count):
    effects = np.zeros(count)
    for place in range(count):
        before = lake.follows * effects[place - 1] if place else 0.0
        effects[place] = before + rng.normal(0, lake.effects * np.sqrt(1 - lake.follows**2))
    return effects


def _age(rng):
    ages = np.arange(FIRST_AGE, OLDEST + 1)
    shares = np.exp(-Z * ages)
    return int(rng.choice(ages, p=shares / shares.sum()))


def _lengths(lake, rng, effects, own):
    """Return the length at each ring and at the edge, half a season after the last ring."""
    noise = np.exp(rng.normal(0, lake.noise, effects.size))
    part = np.append(np.ones(effects.size - 1), 0.5)
    if lake.clock:
        clock = np.cumsum(part * np.exp(effects) * noise) - T0
        return LINF * own * -np.expm1(-K * clock)
    at = np.cumsum(part) - T0
    grown = np.diff(LINF * -np.expm1(-K * at), prepend=0.0)
    return np.cumsum(own * grown * np.exp(effects) * noise)


def _back_calculated(lake, rng, lengths):
    """Measure the rings, and turn them into lengths as the page does."""
    radii = lengths - lake.intercept
    radii = np.maximum(radii, 1.0)
    measured = radii[:-1] + rng.normal(0, lake.blur * radii[-1], radii.size - 1)
    measured = np.sort(np.clip(measured, 1.0, radii[-1]))
    found = with_intercept(lengths[-1], radii[-1], measured, intercept_mm=lake.intercept)
    return [float(one) for one in found]
