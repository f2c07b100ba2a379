"""The fish that live in an arm: growth by the growth clock, natural and fishing death.

A stock is followed as a cloud of fish, the same number for each year class. Each has a
length for every day and a weight that says how many like it are alive. A draw from gear
picks fish by weight times what the gear holds, so that anglers thin out the fast growers.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from samples.management.scenario.truth import (
    FIRST_YEAR_CLASS,
    GROWTH_ENDS,
    GROWTH_STARTS,
    GROWTH_YEAR_EFFECT,
    HATCH,
    NET_HALF_HELD_MM,
    NET_HALF_HELD_SPREAD_MM,
    NET_SHARE_OF_AGE_0,
    PARTY_TILT_SD,
    YEAR_CLASS_STRENGTH,
    SimulatedStock,
    species_of,
)

Floats = npt.NDArray[np.float64]

_YEAR_CLASSES = np.arange(FIRST_YEAR_CLASS, FIRST_YEAR_CLASS + len(YEAR_CLASS_STRENGTH))
_LAST_YEAR_CLASS = int(_YEAR_CLASSES[-1])
_YEAR_GROWTH = np.array([GROWTH_YEAR_EFFECT.get(int(y), 1.0) for y in _YEAR_CLASSES])
# Growth of all years before the one with the same place, from the first year class on.
_GROWTH_BEFORE = np.concatenate(([0.0], np.cumsum(_YEAR_GROWTH)))
_FISH_PER_YEAR_CLASS = 220
_QUARTER_MIDDLES = ((2, 15), (5, 16), (8, 16), (11, 15))
_STEPS_A_YEAR = len(_QUARTER_MIDDLES)
_FIRST_SAMPLED_YEAR = 2024
_KEEP_SPREAD_MM = 4.0
# Fish of the year are too small for any gear before this day.
_SEEN_FROM = (8, 1)


def season_part(day: date, *, first: bool = False) -> float:
    """Return the part of the growing season that has passed, from 0 to 1.

    The ``first`` season of a fish starts when it hatches.
    """
    starts = date(day.year, *(HATCH if first else GROWTH_STARTS))
    ends = date(day.year, *GROWTH_ENDS)
    return min(max((day - starts).days / (ends - starts).days, 0.0), 1.0)


def growth_by(year_class: npt.ArrayLike, day: date) -> Floats:
    """Count the ordinary growing seasons' worth of growth a year class has had by a day.

    This is the growth clock, with each year counted by its growth-year effect. It is
    negative for fish of later years.
    """
    born = np.asarray(year_class) - FIRST_YEAR_CLASS
    now = day.year - FIRST_YEAR_CLASS
    part = np.where(born == now, season_part(day, first=True), season_part(day))
    before = _GROWTH_BEFORE[now] - _GROWTH_BEFORE[born]
    return np.asarray(before + _YEAR_GROWTH[now] * part, dtype=np.float64)


def share_of_linf(stock: SimulatedStock, clock: npt.ArrayLike) -> Floats:
    """Return mean length as a share of the length that fish level off at."""
    since_t0 = np.maximum(np.asarray(clock, dtype=np.float64) - stock.t0_yr, 0.0)
    return 1.0 - np.exp(-stock.k_per_yr * since_t0)


def kept_share(stock: SimulatedStock, length_mm: Floats) -> Floats:
    """Return the share of fish of each length that an angler who catches them keeps."""
    over = length_mm - stock.keep_from_hundredths_mm / 100.0
    rising = 1.0 / (1.0 + np.exp(-np.clip(over / _KEEP_SPREAD_MM - 1.0, -30.0, 30.0)))
    return np.where(over >= 0.0, rising, 0.0)


def held_by_net(length_mm: Floats) -> Floats:
    """Return the share of fish of each length that stay in a trap net."""
    over = (length_mm - NET_HALF_HELD_MM) / NET_HALF_HELD_SPREAD_MM
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(over, -30.0, 30.0))), dtype=np.float64)


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedCatch:
    """Fish out of one gear on one day, one place a fish."""

    length_mm: Floats
    linf_mm: Floats
    female: npt.NDArray[np.bool_]
    year_class: npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Cloud:
    """The fish of one stock: rows are year classes.

    ``deaths`` is the cumulated hazard at every quarter from the first sampled year on.
    """

    stock: SimulatedStock
    linf_mm: Floats
    female: npt.NDArray[np.bool_]
    deaths: Floats

    def length_mm(self, day: date) -> Floats:
        """Return the length of every fish on a day; 0 before it hatched."""
        return self.linf_mm * share_of_linf(self.stock, growth_by(_YEAR_CLASSES, day))[:, None]

    def alive(self, day: date) -> Floats:
        """Return how many of each fish are alive on a day, in recruits of an ordinary year."""
        quarter = (
            day.year - _FIRST_SAMPLED_YEAR + (day.timetuple().tm_yday - 1) / 366
        ) * _STEPS_A_YEAR
        before = int(quarter)
        into = quarter - before
        deaths = self.deaths[before] * (1.0 - into) + self.deaths[before + 1] * into
        age = day.year - _YEAR_CLASSES
        living = (age >= 0) & (age <= species_of(self.stock.species).plausible_max_age_yr)
        if day < date(day.year, *_SEEN_FROM):
            living &= age > 0
        return np.asarray(
            np.exp(-deaths) * (np.array(YEAR_CLASS_STRENGTH) * living)[:, None],
            dtype=np.float64,
        )

    def catch(
        self, rng: np.random.Generator, *, day: date, number: int, by_net: bool
    ) -> SimulatedCatch:
        """Draw the fish of one party.

        Fish of a party are alike: each party leans to larger or to smaller fish.
        """
        length = self.length_mm(day)
        weight = self.alive(day)
        if by_net:
            weight = weight * held_by_net(length)
            weight[day.year - FIRST_YEAR_CLASS] *= NET_SHARE_OF_AGE_0
        else:
            weight = weight * kept_share(self.stock, length)
        mean = float((weight * length).sum() / weight.sum())
        spread = float(np.sqrt((weight * (length - mean) ** 2).sum() / weight.sum()))
        lean = rng.normal(0.0, PARTY_TILT_SD)
        weight = weight * np.exp(lean * np.clip((length - mean) / spread, -3.0, 3.0))

        ladder = np.cumsum(weight)
        place = np.searchsorted(ladder, rng.random(number) * ladder[-1])
        return SimulatedCatch(
            length_mm=length.ravel()[place],
            linf_mm=self.linf_mm.ravel()[place],
            female=self.female.ravel()[place],
            year_class=_YEAR_CLASSES[place // _FISH_PER_YEAR_CLASS],
        )


def make_cloud(stock: SimulatedStock, rng: np.random.Generator) -> Cloud:
    """Make the fish of a stock and follow them quarter by quarter from hatching."""
    shape = (_YEAR_CLASSES.size, _FISH_PER_YEAR_CLASS)
    female = rng.random(shape) < 0.5
    own = np.clip(rng.normal(1.0, stock.length_cv, shape), 0.7, 1.35)
    linf = np.where(female, stock.linf_female_mm, stock.linf_male_mm) * own

    hazard = np.zeros(shape)
    kept_deaths = []
    for year in range(FIRST_YEAR_CLASS, _LAST_YEAR_CLASS + 1):
        for middle in _QUARTER_MIDDLES:
            if year >= _FIRST_SAMPLED_YEAR:
                kept_deaths.append(hazard)
            clock = growth_by(_YEAR_CLASSES, date(year, *middle))
            length = linf * share_of_linf(stock, clock)[:, None]
            rate = stock.m_per_yr + stock.f_per_yr * kept_share(stock, length)
            hazard = hazard + rate * (clock > 0.0)[:, None] / _STEPS_A_YEAR
    kept_deaths.append(hazard)
    return Cloud(stock=stock, linf_mm=linf, female=female, deaths=np.stack(kept_deaths))
