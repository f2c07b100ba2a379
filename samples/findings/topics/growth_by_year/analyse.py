"""Lengths back-calculated from rings, and how each calendar year was for growth."""

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from samples.findings.sample import Rings
from samples.science.back_calculation import (
    estimated_intercept,
    increments_of,
    with_intercept,
)
from samples.science.errors import CannotEstimate
from samples.science.growth_years import YearEffect, year_effects

FEWEST_A_YEAR = 5
# Of each fish its year class and its length at each annulus, mm.
Lengths: TypeAlias = list[tuple[int, list[float]]]


@dataclass(frozen=True, slots=True)
class Intercept:
    """The length at which a fish has an otolith of no radius: given, of these fish, or none."""

    mm: float
    is_given: bool


@dataclass(frozen=True, slots=True)
class YearsOfGrowth:
    """Years against their mean; the best and the poorest where they stand out.

    ``refused`` says why there are none. ``too_few`` are years of too few increments.
    """

    lengths: Lengths
    effects: list[YearEffect]
    too_few: list[int]
    refused: str = ""

    @property
    def best(self) -> YearEffect | None:
        """Return the year of most growth, if it stands out above the others."""
        best = max(self.effects, key=lambda one: one.percent)
        return best if best.percent > 0 and self._stands_out(best) else None

    @property
    def poorest(self) -> YearEffect | None:
        """Return the year of least growth, if it stands out."""
        poorest = min(self.effects, key=lambda one: one.percent)
        return poorest if self._stands_out(poorest) else None

    def _stands_out(self, one: YearEffect) -> bool:
        """Return whether a year differs even though the most extreme of several was looked for.

        The interval is widened after Bonferroni to hold for all years together.
        """
        from scipy.stats import norm

        middle, low, high = (np.log1p(x / 100) for x in (one.percent, one.lower, one.upper))
        wider = norm.ppf(1 - 0.025 / len(self.effects)) / norm.ppf(0.975)
        return bool(abs(middle) > wider * (high - low) / 2)


def analyse(rings: Rings, intercept: Intercept) -> YearsOfGrowth:
    """Back-calculate lengths and tell good years for growth from poor ones."""
    lengths = lengths_at_rings(rings, intercept.mm)
    told, too_few = increments_of(lengths, groups=rings.group).of_years_with(FEWEST_A_YEAR)
    try:
        return YearsOfGrowth(lengths, year_effects(told), too_few)
    except CannotEstimate as problem:
        return YearsOfGrowth(lengths, [], too_few, problem.sentence)


def find_intercept(rings: Rings, given_mm: float | None) -> Intercept:
    """Take the intercept that was given, or find that of these fish; 0 is plain proportion."""
    if given_mm:
        return Intercept(given_mm, is_given=True)
    try:
        found = 0.0 if given_mm == 0 else estimated_intercept(rings.length_mm, rings.edge_um)
    except CannotEstimate:
        found = 0.0
    return Intercept(found if 0 < found < min(rings.length_mm) else 0.0, is_given=False)


def count_shorter(rings: Rings, intercept: Intercept) -> int:
    """Count fish that are no longer than the intercept: of them no length can be calculated."""
    return sum(length <= intercept.mm for length in rings.length_mm)


def lengths_at_rings(rings: Rings, intercept_mm: float) -> Lengths:
    """Return the length of each fish at each of its annuli."""
    rows = []
    for year_class, length, edge, radii in zip(
        rings.year_class, rings.length_mm, rings.edge_um, rings.radii_um, strict=True
    ):
        # A ring at the very edge may have been measured a hair past it.
        inside = np.minimum(np.array(radii, dtype=float), edge)
        found = with_intercept(length, float(edge), inside, intercept_mm=intercept_mm)
        rows.append((year_class, [float(one) for one in found]))
    return rows
