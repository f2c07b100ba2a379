"""Growth of one group of fish: the curve, its draws, and which fish it may be told from."""

from dataclasses import dataclass

import numpy as np

from samples.findings.queries import KEPT_BY_ANGLERS, Sample
from samples.findings.topics.asked import Asked
from samples.science.errors import CannotEstimate
from samples.science.growth.fit import FEWEST_FISH, Curve, Fit, fit_curve
from samples.science.growth.resample import Draws, resample_curves
from samples.science.growth.told import Spread, first_fully_kept, spread_about
from samples.units import LengthUnit

DRAWS = 2_000
# Anglers' fish show growth from the length below which a twentieth of what they keep lies.
KEPT_SHARE = 0.05
YOUNG = 2.0
# Lengths of small fish go by the inch, of larger ones by two.
SMALL_FISH_MM = 305.0
# Where more of the resamples carry no curve, the others mislead.
MOST_WITHOUT_CURVE = 0.2


@dataclass(frozen=True, slots=True, eq=False)
class Grown:
    """One group's fish with a curve. ``cut`` is the first fully kept age, where young fish of
    anglers were left out below it."""

    name: str
    measured: Sample
    sample: Sample
    weights: np.ndarray
    fit: Fit
    draws: Draws
    spread: Spread
    cut: int | None
    kept_from_mm: float | None

    @property
    def told_to(self) -> float:
        """Give the clock of the oldest fish: beyond it nothing is told."""
        return float(self.sample.clock.max())

    @property
    def young_left_out(self) -> int:
        """Count the anglers' young fish that the curve leaves out as the fast growers."""
        dated = np.isfinite(self.measured.clock) & self.measured.aged
        return int(np.count_nonzero(dated)) - self.sample.n

    @property
    def told_from(self) -> float:
        """Give the growing seasons from which on the curve stands on fish, and is told.

        A fish starts at no length, so fish in their first two seasons hold the curve down to
        its start; above that, it is told from the youngest fish on.
        """
        youngest = float(self.sample.clock.min())
        return max(self.fit.curve.age_zero, 0.0) if youngest < YOUNG else youngest


def weights_of(asked: Asked, sample: Sample) -> np.ndarray:
    """Give each aged fish the measured fish of its bin over the aged ones: shape (aged,)."""
    bins = asked.bin_of(sample)
    size = int(bins.max(initial=0)) + 1
    measured = np.bincount(bins[sample.of_sample], minlength=size)
    own = bins[sample.aged]
    aged = np.bincount(own, minlength=size)
    # A picked fish longer than any measured at random still is one fish.
    return np.asarray(np.maximum(measured[own], 1) / aged[own], dtype=np.float64)


def kept_from(sample: Sample) -> float | None:
    """Give the length at which anglers begin to keep fish, mm: a twentieth of theirs is shorter."""
    of_anglers = np.array([method in KEPT_BY_ANGLERS for method in sample.method], dtype=bool)
    of_anglers &= sample.of_sample
    if np.count_nonzero(of_anglers) < 20:
        return None
    return float(np.quantile(sample.length_mm[of_anglers], KEPT_SHARE))


def curve_of(asked: Asked, sample: Sample) -> tuple[Curve, Spread, float | None]:
    """Fit the curve of one group's aged fish without its draws.

    :raises CannotEstimate: where they carry none
    """
    usable = np.isfinite(sample.clock) & sample.aged
    weights = np.zeros(sample.n)
    weights[sample.aged] = weights_of(asked, sample)
    aged, weight = sample.where(usable), weights[usable]
    curve = fit_curve(aged.clock, aged.length_mm, weights=weight).curve
    return curve, spread_about(curve, aged.clock, aged.length_mm, weight), kept_from(sample)


def grow(asked: Asked, name: str, sample: Sample) -> Grown:
    """Fit the curve of one group's aged fish.

    :raises CannotEstimate: where they carry none
    """
    usable = np.isfinite(sample.clock) & sample.aged
    undated = int(np.count_nonzero(sample.aged & ~usable))
    if np.count_nonzero(usable) < FEWEST_FISH <= np.count_nonzero(usable) + undated:
        raise CannotEstimate(
            "no_dates",
            f"{undated} aged fish have no catch date, and growth within the year cannot be told "
            "without one. Enter their dates.",
        )
    weights = np.zeros(sample.n)
    weights[sample.aged] = weights_of(asked, sample)
    aged, weight = sample.where(usable), weights[usable]
    fit = fit_curve(aged.clock, aged.length_mm, weights=weight)
    spread = spread_about(fit.curve, aged.clock, aged.length_mm, weight)
    start = kept_from(sample)
    cut = _cut(aged, fit, spread, start)
    if cut is not None:
        of_anglers = np.array([method in KEPT_BY_ANGLERS for method in aged.method], dtype=bool)
        stays = ~(of_anglers & (aged.clock < cut))
        aged, weight = aged.where(stays), weight[stays]
        fit = fit_curve(aged.clock, aged.length_mm, weights=weight)
        spread = spread_about(fit.curve, aged.clock, aged.length_mm, weight)
    draws = resample_curves(
        aged.clock,
        aged.length_mm,
        rng=asked.rng,
        draws=DRAWS,
        parties=aged.party,
        weights=weight,
    )
    if draws.failed > MOST_WITHOUT_CURVE * draws.asked:
        raise CannotEstimate(
            "curve_unsure",
            f"drawn anew, these {aged.n} fish carry no curve in "
            f"{100 * draws.failed / draws.asked:.0f} of 100 draws. Age more old and more young "
            "fish.",
        )
    return Grown(name, sample, aged, weight, fit, draws, spread, cut, start)


def _cut(aged: Sample, fit: Fit, spread: Spread, kept_from_mm: float | None) -> int | None:
    """Give the age below which anglers' fish are only the fast growers, where that matters."""
    of_anglers = np.array([method in KEPT_BY_ANGLERS for method in aged.method], dtype=bool)
    if kept_from_mm is None or not of_anglers.any():
        return None
    first = first_fully_kept(fit.curve, spread, kept_from_mm, oldest=int(aged.age.max()))
    if first is None or not (of_anglers & (aged.clock < first)).any():
        return None
    left = ~(of_anglers & (aged.clock < first))
    enough = np.unique(aged.age[left]).size >= 5 and np.count_nonzero(left) >= 20
    return first if enough else None


def aims_of(asked: Asked) -> list[float]:
    """Give the lengths that years are told to, mm: five about the preferred length."""
    inches = asked.unit is LengthUnit.INCH
    middle = asked.preferred_mm(asked.choice.species)
    step = (25.4 if inches else 25.0) * (1 if middle <= SMALL_FISH_MM else 2)
    return [middle + step * place for place in (-2, -1, 0, 1, 2)]
