"""Mean lengths at age, weighed by measured fish where aged ones were picked by length."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from samples.findings.sample import PICKED, Floats, Ints, Sample
from samples.science.length_at_age import LengthAtAge, length_at_age
from samples.science.weighted_mean import WeightedMean, weighted_mean

FEWEST_FOR_AN_INTERVAL = 3
# Measured fish weigh the aged ones where there are clearly more of them.
MORE_MEASURED = 1.2
InUnit: TypeAlias = Callable[[float], float]


@dataclass(frozen=True, slots=True)
class LengthAtAgeRow:
    """One age of one group, in the lake's unit; ``weighted`` where measured fish weigh it."""

    age: int
    plain: LengthAtAge
    weighted: WeightedMean | None

    @property
    def mean(self) -> float:
        return self.plain.mean if self.weighted is None else self.weighted.mean

    @property
    def sd(self) -> float | None:
        """Return the sd of the fish of this age: by the key where measured fish weigh it."""
        return self.plain.sd if self.weighted is None else self.weighted.sd

    @property
    def ends(self) -> tuple[float | None, float | None]:
        one = self.plain if self.weighted is None else self.weighted
        return one.lower, one.upper


def analyse(sample: Sample, *, bins: Ints, in_unit: InUnit) -> list[LengthAtAgeRow]:
    """Return each age of a sample, its lengths in the unit that ``in_unit`` turns mm into.

    ``bins`` are the length bins of its fish.
    """
    aged = sample.where(sample.aged)
    weighted = _weighted(sample, bins, in_unit(1.0))
    return [
        LengthAtAgeRow(
            int(age), _plain(aged.length_mm[aged.age == age], in_unit), weighted.get(int(age))
        )
        for age in np.unique(aged.age)
    ]


def _plain(lengths_mm: Floats, in_unit: InUnit) -> LengthAtAge:
    values, counts = np.unique(np.rint(lengths_mm * 100).astype(int), return_counts=True)
    found = length_at_age(dict(zip(values.tolist(), counts.tolist(), strict=True)))
    told = found.n >= FEWEST_FOR_AN_INTERVAL
    ends = [
        None if one is None or not told else in_unit(one / 100)
        for one in (found.lower, found.upper)
    ]
    sd = None if found.sd is None else in_unit(found.sd / 100)
    return LengthAtAge(found.n, in_unit(found.mean / 100), sd, ends[0], ends[1])


def _weighted(sample: Sample, bins: Ints, scale: float) -> dict[int, WeightedMean]:
    """Weigh each bin's aged fish by the fish measured in it, where they were picked by length."""
    aged = sample.where(sample.aged)
    picked = any(how in PICKED for how in aged.how_chosen) or sample.n > MORE_MEASURED * aged.n
    if not picked or sample.n <= aged.n:
        return {}
    counts = np.bincount(bins[sample.of_sample], minlength=int(bins.max(initial=0)) + 1)
    counts = np.maximum(counts, 1)  # a picked fish longer than any other still is one fish
    own = bins[sample.aged]
    weight = counts[own] / np.bincount(own, minlength=counts.size)[own]
    return {
        int(age): weighted_mean(aged.length_mm[aged.age == age] * scale, weight[aged.age == age])
        for age in np.unique(aged.age)
    }
