"""What draws of a curve tell: lengths at birthdays, years to a length, spread, and kept fish."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from samples.science.arguments import ages_in_years, alike, at_least, not_negative, positive
from samples.science.errors import CannotEstimate
from samples.science.growth.fit import Curve
from samples.science.growth.profile import Floats, Interval
from samples.science.growth.resample import LOWER, UPPER, Draws

FULLY_KEPT = 0.975


@dataclass(frozen=True, slots=True)
class AtTime:
    """Mean length in mm at one time in years, with its 95 % interval."""

    time: float
    mean: float
    lower: float
    upper: float


@dataclass(frozen=True, slots=True)
class YearsTo:
    """Years to a length.

    Attributes
    ----------
    years : float or None
        By the curve itself; None where its mean never comes to the length.
    interval : Interval
        Of the draws; the upper end is None where more than 2.5 % of them never come to it.
    never : float
        Share of the draws whose mean never comes to it.
    """

    years: float | None
    interval: Interval
    never: float


class SpreadModel(StrEnum):
    """How lengths of one age lie about their mean."""

    CONSTANT = "constant"
    IN_PROPORTION = "in_proportion"


@dataclass(frozen=True, slots=True)
class Spread:
    """Spread of length at age.

    Attributes
    ----------
    model : SpreadModel
        The one of the two under which the fish are likelier.
    sd_mm : float
        Standard deviation in mm, the same at every age.
    cv : float
        Standard deviation as a share of the mean length.
    """

    model: SpreadModel
    sd_mm: float
    cv: float

    def sd_at(self, mean_mm: npt.ArrayLike) -> Floats:
        """Return the standard deviation in mm about these mean lengths."""
        mean = np.asarray(mean_mm, dtype=np.float64)
        if self.model is SpreadModel.CONSTANT:
            return np.full_like(mean, self.sd_mm)
        return self.cv * mean


def lengths_at(curve: Curve, draws: Draws, times: npt.ArrayLike) -> list[AtTime]:
    """Return the mean length at each time with its interval.

    Parameters
    ----------
    curve : Curve
        The fit to all the fish.
    draws : Draws
        Its resamples.
    times : array_like, shape (times,)
        Years, on the clock that the curve was fitted on.

    Returns
    -------
    list of AtTime
        One for each time.

    Raises
    ------
    ValueError
        If a time is negative or not finite.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.fit import Curve
    >>> from samples.science.growth.resample import Draws
    >>> from samples.science.growth.summaries import lengths_at
    >>> curve = Curve(linf_mm=350, k=0.4, t0=0)
    >>> draws = Draws(np.array([340.0, 350, 360]), np.array([0.42, 0.4, 0.38]), np.zeros(3), 3)
    >>> [at_2] = lengths_at(curve, draws, [2])
    >>> round(at_2.mean, 1)
    192.7
    """
    at = not_negative(times, "times")
    since = at[:, None] - draws.t0
    drawn = draws.linf_mm * -np.expm1(-draws.k * since)
    lower, upper = np.quantile(drawn, (LOWER, UPPER), axis=1)
    means = curve.length_at(at)
    return [AtTime(*(float(x) for x in row)) for row in zip(at, means, lower, upper, strict=True)]


def years_to(curve: Curve, draws: Draws, length_mm: float) -> YearsTo:
    """Return the years that the mean fish takes to a length.

    Parameters
    ----------
    curve, draws
        As for `lengths_at`.
    length_mm : float
        Length in mm.

    Returns
    -------
    YearsTo
        ``t0 - ln(1 - L / Linf) / K``.

    Raises
    ------
    ValueError
        If the length is not above zero, or not finite.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.fit import Curve
    >>> from samples.science.growth.resample import Draws
    >>> from samples.science.growth.summaries import years_to
    >>> curve = Curve(linf_mm=350, k=0.4, t0=0)
    >>> draws = Draws(np.array([340.0, 350, 360]), np.array([0.42, 0.4, 0.38]), np.zeros(3), 3)
    >>> found = years_to(curve, draws, 254)
    >>> round(found.years, 2), found.never
    (3.23, 0.0)
    """
    positive(length_mm, "length_mm", ndim=0)
    drawn = _time_of(draws.linf_mm, draws.k, draws.t0, length_mm)
    own = _time_of(
        np.array([curve.linf_mm]),
        np.array([curve.k]),
        np.array([curve.t0]),
        length_mm,
    )[0]
    never = float(np.mean(~np.isfinite(drawn)))
    ordered = np.sort(drawn)
    ends = [ordered[round(share * (drawn.size - 1))] for share in (LOWER, UPPER)]
    lower, upper = (float(end) if np.isfinite(end) else None for end in ends)
    return YearsTo(float(own) if np.isfinite(own) else None, Interval(lower, upper), never)


def _time_of(whole: Floats, k: Floats, zero: Floats, length_mm: float) -> Floats:
    share = length_mm / whole
    with np.errstate(divide="ignore", invalid="ignore"):
        time = zero - np.log1p(-share) / k
    return np.where(share < 1, time, np.inf)


def spread_about(
    curve: Curve,
    times: npt.ArrayLike,
    lengths_mm: npt.ArrayLike,
    weights: npt.ArrayLike | None = None,
) -> Spread:
    """Describe how lengths lie about the curve.

    Parameters
    ----------
    curve : Curve
        The curve fitted to these fish.
    times, lengths_mm, weights : array_like, shape (fish,)
        As for `fit_curve`.

    Returns
    -------
    Spread
        The model under which normal lengths are likelier: one sd for all, or one in proportion
        to the mean.

    Raises
    ------
    ValueError
        As `fit_curve`.
    CannotEstimate
        no_spread, with fewer than 4 fish, where the curve is not above zero at one of them, or
        where every fish lies on the curve.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.fit import fit_curve
    >>> from samples.science.growth.summaries import spread_about
    >>> times = np.tile([1.2, 2.2, 3.2, 4.2, 5.2, 6.2], 5)
    >>> lengths = 350 * (1 - np.exp(-0.4 * times)) * np.random.default_rng(1).normal(1, 0.05, 30)
    >>> round(spread_about(fit_curve(times, lengths).curve, times, lengths).cv, 3)
    0.038
    """
    time, length = not_negative(times, "times"), positive(lengths_mm, "lengths_mm")
    weight = np.ones_like(length) if weights is None else positive(weights, "weights")
    alike(times=time, lengths_mm=length, weights=weight)
    mean = curve.length_at(time)
    if length.size < 4 or (mean <= 0).any():
        raise CannotEstimate("no_spread", "Too few fish to tell how lengths of one age spread.")
    # Three values of the curve were taken from the same fish.
    share = weight / weight.sum() * length.size / (length.size - 3)
    sd = float(np.sqrt(share @ (length - mean) ** 2))
    cv = float(np.sqrt(share @ (length / mean - 1) ** 2))
    if sd <= 0:
        raise CannotEstimate("no_spread", "Every fish lies on the curve, so no spread shows.")
    constant = -np.log(sd)
    in_proportion = -np.log(cv) - float(np.average(np.log(mean), weights=weight))
    likelier = SpreadModel.IN_PROPORTION if in_proportion > constant else SpreadModel.CONSTANT
    return Spread(likelier, sd, cv)


def first_fully_kept(
    curve: Curve, spread: Spread, kept_from_mm: float, *, oldest: int
) -> int | None:
    """Find the first birthday at which nearly all fish are over the length that anglers keep.

    Below it, fish that anglers kept are the fast growers of their age.

    Parameters
    ----------
    curve, spread
        Growth and spread of the fish.
    kept_from_mm : float
        Length from which anglers keep fish.
    oldest : int
        Last age that is looked at.

    Returns
    -------
    int or None
        None where not even the oldest are.

    Raises
    ------
    ValueError
        If the length is not above zero, or the age not between 1 and 300 years.

    Examples
    --------
    >>> from samples.science.growth.fit import Curve
    >>> from samples.science.growth.summaries import Spread, SpreadModel, first_fully_kept
    >>> spread = Spread(SpreadModel.IN_PROPORTION, sd_mm=20, cv=0.08)
    >>> first_fully_kept(Curve(350, 0.4, 0), spread, 200, oldest=8)
    3
    """
    from scipy.special import ndtr

    positive(kept_from_mm, "kept_from_mm", ndim=0)
    at_least(oldest, 1, "oldest")
    ages_in_years(oldest, "oldest", ndim=0)
    ages = np.arange(1, oldest + 1)
    mean = curve.length_at(ages)
    # A fish younger than t0 has no length by the curve, and no spread.
    sd = np.maximum(spread.sd_at(mean), 1e-9)
    over = 1 - ndtr((kept_from_mm - mean) / sd)
    full = ages[over >= FULLY_KEPT]
    return int(full[0]) if full.size else None
