"""Total mortality of one group: the model of its catch at age, and older estimators beside it."""

from dataclasses import dataclass

import numpy as np

from samples.findings.sample import Sample
from samples.findings.topics.catch import SeasonCatch, catches_of, series_of
from samples.findings.topics.study import Study
from samples.science.errors import CannotEstimate
from samples.science.mortality import DeathRate, chapman_robson, weighted_regression
from samples.science.year_class_model import CatchCurve, fit_catch_curve


@dataclass(frozen=True, slots=True, eq=False)
class Died:
    """One group's total mortality, by the ages of its measured fish.

    Attributes
    ----------
    sample : Sample
    caught : list of Caught
        Each season and way of capture.
    curve : CatchCurve
        Z with the year classes it was told apart from.
    ages, numbers, drawn_numbers : ndarray
        Measured fish of each age, all seasons added up, and their resamples.
    chapman, regression : DeathRate or None
        Older estimators of the same numbers, where they can be made.
    """

    name: str
    sample: Sample
    caught: list[SeasonCatch]
    curve: CatchCurve
    ages: np.ndarray
    numbers: np.ndarray
    drawn_numbers: np.ndarray
    chapman: DeathRate | None
    regression: DeathRate | None

    @property
    def first_ages(self) -> dict[str, int]:
        """Return the first age that counts, by way of capture."""
        return {one.capture: one.first_age for one in self.caught}

    @property
    def from_ages(self) -> str:
        """Return the first age that counts: of each way of capture."""
        return ", ".join(f"{age} ({kind})" for kind, age in self.first_ages.items())

    @property
    def n(self) -> float:
        """Return the measured fish of recruited ages, expanded by their keys."""
        return sum(one.n for one in self.caught)

    @property
    def one_trip(self) -> bool:
        """Return whether all fish come from one trip: then nothing tells how far trips differ."""
        return np.unique(self.sample.party[self.sample.of_sample]).size < 2

    @property
    def drawn(self) -> np.ndarray:
        return self.curve.z_draws

    @property
    def interval(self) -> tuple[float, float]:
        return self.curve.interval

    @property
    def annual_interval(self) -> tuple[float, float]:
        """Return the same as shares that die each year."""
        low, high = (-float(np.expm1(-max(end, 0.0))) for end in self.interval)
        return low, high


def die(study: Study, name: str, sample: Sample, *, leave_out: bool = True) -> Died:
    """Estimate one group's total mortality.

    :param leave_out: see as well how far it hangs on a single year class

    :raises CannotEstimate: where its fish carry none
    """
    caught = catches_of(study, sample)
    curve = fit_catch_curve(series_of(caught), rng=study.rng, leave_out=leave_out)
    ages, numbers, drawn = _added_up(caught)
    return Died(
        name,
        sample,
        caught,
        curve,
        ages,
        numbers,
        drawn,
        _or_none(chapman_robson, ages, numbers),
        _or_none(weighted_regression, ages, numbers),
    )


def _or_none(estimate, ages: np.ndarray, numbers: np.ndarray) -> DeathRate | None:  # type: ignore[no-untyped-def]
    try:
        found: DeathRate = estimate(ages, numbers)
    except CannotEstimate:
        return None
    return found


def _added_up(caught: list[SeasonCatch]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Add up the numbers at age of all seasons and ways of capture, and their resamples."""
    first = min(int(one.structure.ages[0]) for one in caught)
    last = max(int(one.structure.ages[-1]) for one in caught)
    ages = np.arange(first, last + 1)
    numbers, drawn = np.zeros(ages.size), np.zeros((caught[0].drawn.shape[0], ages.size))
    for one in caught:
        places = one.structure.ages - first
        numbers[places] += one.structure.numbers
        drawn[:, places] += one.drawn
    return ages, numbers, drawn
