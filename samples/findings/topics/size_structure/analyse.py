"""Size structure of net fish, which fish are in it, and relative weights."""

from dataclasses import dataclass

import numpy as np

from samples.findings.sample import NETS, Mask, Sample
from samples.science.size_structure import (
    RelativeWeight,
    SizeStructure,
    relative_weight,
    relative_weight_by_length,
    size_structure,
)


@dataclass(frozen=True, slots=True)
class Condition:
    """Relative weight of each length category, by name, and of all of them."""

    by_length: dict[str, RelativeWeight]
    every: RelativeWeight


@dataclass(frozen=True, slots=True)
class Excluded:
    """Measured fish that no size structure counts, each for one reason only."""

    not_of_nets: int
    picked: int
    of_no_group: int
    short: int


class NoNetFish(Exception):
    """There is not one fish from nets or electrofishing."""


def of_nets(sample: Sample) -> Mask:
    """Return which fish were caught in nets or by electrofishing."""
    return np.array([method in NETS for method in sample.method], dtype=bool)


def analyse(code: str, sample: Sample) -> SizeStructure:
    """Return the size structure of the net fish of a sample of one species.

    :raises NoNetFish: if there are none
    :raises CannotEstimate: if there are too few of stock length
    """
    nets = sample.where(of_nets(sample) & sample.of_sample)
    if not nets.n:
        raise NoNetFish
    lengths = [float(text) for text in nets.as_measured]
    return size_structure(code, lengths, [str(unit) for unit in nets.unit], sets=nets.party)


def count_excluded(sample: Sample, found: list[tuple[Sample, SizeStructure]]) -> Excluded:
    """Count the measured fish that are in none of the size structures found."""
    nets = of_nets(sample)
    grouped = np.isin(sample.fish, [one for group, _ in found for one in group.fish])
    return Excluded(
        not_of_nets=int(np.count_nonzero(~nets)),
        picked=int(np.count_nonzero(nets & ~sample.of_sample)),
        of_no_group=int(np.count_nonzero(nets & sample.of_sample & ~grouped)),
        short=sum(one.n - one.stock for _, one in found),
    )


def analyse_condition(code: str, sample: Sample) -> Condition | None:
    """Return relative weights; None where no fish was weighed.

    :raises CannotEstimate: if weighed fish give none
    """
    if not (sample.weight_g > 0).any():
        return None
    every = relative_weight(code, sample.length_mm, sample.weight_g)
    return Condition(relative_weight_by_length(code, sample.length_mm, sample.weight_g), every)
