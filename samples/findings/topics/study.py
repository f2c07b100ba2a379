"""What every analysis of a page shares: groups of fish, length bins, years of seasons, a seed.

Plain values, so that an analysis needs neither the database nor Django.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from samples.findings.sample import Floats, Ints, Sample

# One seed for all: the same data give the same page.
SEED = 26_0147


@dataclass(frozen=True, slots=True, eq=False)
class FishGroup:
    """Fish set beside others.

    Attributes
    ----------
    name : str
    sample : Sample
    arm : int or None
        Key of their arm; None where they are of several.
    species : int
        Key of their species, whose code is ``code``.
    preferred_mm : float
        Length over which such a fish counts as large.
    quality_mm : float or None
        Its quality length of Gabelhouse (1984), where one is published.
    """

    name: str
    sample: Sample
    arm: int | None
    species: int
    code: str
    preferred_mm: float
    quality_mm: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Study:
    """What is the same for all fish of a page.

    Attributes
    ----------
    bin_width_hundredths_mm : int
    lower_edges : (bins,) float array
        Lower edges, mm, of length bins that hold every fish.
    first_years : mapping of int to int
        The calendar year in which each season begins, by its key.
    """

    bin_width_hundredths_mm: int
    lower_edges: Floats
    first_years: Mapping[int, int]

    @property
    def rng(self) -> np.random.Generator:
        """Return a generator that begins anew: no step of an analysis moves another."""
        return np.random.default_rng(SEED)

    def bin_of(self, sample: Sample) -> Ints:
        """Return the place of each fish's length bin, counted from 0 mm, in whole hundredths."""
        return bins_of(sample, self.bin_width_hundredths_mm)


def bins_of(sample: Sample, width_hundredths_mm: int) -> Ints:
    """Return the place of each fish's length bin of a width, counted from 0 mm."""
    hundredths = np.rint(sample.length_mm * 100).astype(np.int64)
    return hundredths // width_hundredths_mm
