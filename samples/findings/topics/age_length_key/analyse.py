"""The key of a group, the ages of its measured fish, and an age for each of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from samples.findings.sample import Floats, Ints, Sample
from samples.findings.topics.age_structures import structure_of
from samples.science.age_length_key import (
    AgeLengthKey,
    AgeStructure,
    ResampledStructure,
    draw_ages,
    smoothed_key,
)
from samples.science.errors import CannotEstimate

FEWEST_TO_TELL = 10


@dataclass(frozen=True, slots=True)
class CommonestAge:
    """The age of the largest share, its interval, and whether it is clearly the largest."""

    age: int
    share: float
    lower: float
    upper: float
    is_clear: bool


@dataclass(frozen=True, eq=False)
class GroupAges:
    """The ages of one group.

    Attributes
    ----------
    sample : Sample
    key : AgeLengthKey
    structure : AgeStructure
        Ages of the measured fish by the key.
    drawn : ResampledStructure
        The same by resampling trips, then their fish.
    smoothed : dict of int to float
        Share of each age, in percent, by a key smoothed over length; empty where none is fitted.
    drawn_ages : (fish,) int array
        The age of each fish; of one that was not aged, an age drawn within its length bin.
    """

    name: str
    sample: Sample
    key: AgeLengthKey
    structure: AgeStructure
    drawn: ResampledStructure
    smoothed: dict[int, float]
    drawn_ages: Ints

    @property
    def aged(self) -> int:
        return int(self.key.aged.sum())

    @cached_property
    def commonest(self) -> CommonestAge:
        lower, upper = self.drawn.interval()
        shares = self.structure.shares
        most = int(np.argmax(shares))
        others = np.delete(shares, most).max(initial=0.0)
        return CommonestAge(
            int(self.structure.ages[most]),
            float(shares[most]),
            float(lower[most]),
            float(upper[most]),
            bool(lower[most] > others),
        )


def analyse(
    name: str,
    sample: Sample,
    *,
    lower_edges: Floats,
    bin_mm: float,
    seed: int,
    redrawn: Sequence[Sample] = (),
) -> GroupAges:
    """Return the ages of a group; each step draws from the seed anew, so none moves another.

    :param redrawn: the same fish with true ages drawn anew, for the intervals
    :raises CannotEstimate: where there are too few fish
    """
    key, structure, drawn = structure_of(
        sample, lower_edges=lower_edges, rng=np.random.default_rng(seed), redrawn=redrawn
    )
    return GroupAges(
        name,
        sample,
        key,
        structure,
        drawn,
        _smoothed(sample, key, lower_edges, bin_mm),
        _drawn_ages(sample, key, np.random.default_rng(seed)),
    )


def _smoothed(
    sample: Sample, key: AgeLengthKey, lower_edges: Floats, bin_mm: float
) -> dict[int, float]:
    """Return the share of each age by a key smoothed over length;
    none where it cannot be fitted.
    """
    aged = sample.where(sample.aged)
    try:
        smooth = smoothed_key(aged.length_mm, aged.age, lower_edges=lower_edges, bin_width=bin_mm)
    except CannotEstimate:
        return {}
    numbers = key.measured @ smooth.shares
    shares = 100 * numbers / numbers.sum()
    return {int(age): float(share) for age, share in zip(smooth.ages, shares, strict=True)}


def _drawn_ages(sample: Sample, key: AgeLengthKey, rng: np.random.Generator) -> Ints:
    drawn = sample.age.copy()
    missing = ~sample.aged
    if missing.any():
        drawn[missing] = draw_ages(sample.length_mm[missing], key, rng).ages
    return drawn
