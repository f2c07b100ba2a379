"""Fish that were measured only, by arm and method, beside the aged fish of the arm."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from samples.findings.sample import KEPT_BY_ANGLERS, NETS, CountedLengths, Floats, Mask, Sample
from samples.science.errors import CannotEstimate
from samples.science.length_samples import LengthComparison, compare_lengths

# Of donated fish, nearly all are longer than this share of them.
SHORTEST_SHARE = 0.05
FEWEST_OF_A_GROUP = 20


@dataclass(frozen=True, slots=True, eq=False)
class LengthSample:
    """Measured-only fish of one method in one arm (None: of all), and the arm's aged fish.

    ``comparison`` is None where there are too few of either. ``counted`` are those of the
    measured fish that were counted by length bin; the middle of the bin stands for them.
    """

    arm: int | None
    method: str
    measured_mm: Floats
    aged_mm: Floats
    counted: int
    comparison: LengthComparison | None

    @property
    def differs(self) -> bool:
        return self.comparison is not None and self.comparison.p < 0.05


@dataclass(frozen=True, slots=True)
class Selectivity:
    """The length below which anglers donate few fish, and what nets caught below it.

    ``share_shorter`` is the share of fish from nets and electrofishing that are shorter.
    """

    donated: int
    from_mm: float
    net_fish: int
    share_shorter: float


def measured_only(sample: Sample) -> Mask:
    """Return which fish were measured, have no otolith to age, and were not picked by size."""
    without_vial = np.array([not vial for vial in sample.vial], dtype=bool)
    mask: Mask = ~sample.aged & without_vial & sample.of_sample
    return mask


def count_excluded(sample: Sample) -> tuple[int, int]:
    """Count fish that wait to be aged, and measured-only fish that were picked by size."""
    in_vial = np.array([bool(vial) for vial in sample.vial], dtype=bool)
    waiting = ~sample.aged & in_vial
    picked = ~sample.aged & ~in_vial & ~sample.of_sample
    return int(np.count_nonzero(waiting)), int(np.count_nonzero(picked))


def analyse(
    sample: Sample, counted: CountedLengths, arms: Sequence[int | None], width_mm: float
) -> list[LengthSample]:
    """Return each arm's samples by method, in the order of arms; those without fish left out."""
    found = []
    only = sample.where(measured_only(sample))
    aged = sample.where(sample.aged)
    for arm in arms:
        own, ages, counts = (
            np.ones(one.arm.size, dtype=bool) if arm is None else one.arm == arm
            for one in (only, aged, counted)
        )
        for method in sorted({*only.method[own], *counted.method[counts]}):
            of_method = own & (only.method == method)
            bins = counts & (counted.method == method)
            middles = np.repeat(counted.middle_mm[bins], counted.fish[bins])
            measured = np.concatenate([only.length_mm[of_method], middles])
            of_arm = aged.length_mm[ages]
            found.append(
                LengthSample(
                    arm,
                    str(method),
                    measured,
                    of_arm,
                    middles.size,
                    _compare(measured, of_arm, width_mm if middles.size else 0.0),
                )
            )
    return found


def selectivity_of(sample: Sample, counted: CountedLengths) -> Selectivity | None:
    """Return where donated fish begin; None where too few are donated or netted to say."""
    kept = np.array([one in KEPT_BY_ANGLERS for one in sample.method], dtype=bool)
    nets = np.array([one in NETS for one in sample.method], dtype=bool) & sample.of_sample
    of_nets = np.array([one in NETS for one in counted.method], dtype=bool)
    netted = np.concatenate(
        [
            sample.length_mm[nets],
            np.repeat(counted.middle_mm[of_nets], counted.fish[of_nets]),
        ]
    )
    donated = sample.length_mm[kept]
    if min(donated.size, netted.size) < FEWEST_OF_A_GROUP:
        return None
    start = float(np.quantile(donated, SHORTEST_SHARE))
    return Selectivity(donated.size, start, netted.size, float(np.mean(netted < start)))


def _compare(measured: Floats, aged: Floats, width_mm: float) -> LengthComparison | None:
    """Compare lengths; where some are known to the bin only, all by the middle of their bin."""
    if width_mm:
        measured, aged = (
            np.floor(one / width_mm + 1e-9) * width_mm + width_mm / 2 for one in (measured, aged)
        )
    try:
        return compare_lengths(measured, aged)
    except CannotEstimate:
        return None
