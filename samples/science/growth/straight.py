"""A straight line of length on age, for fish that carry no curve."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import alike, finite, not_negative, positive
from samples.science.errors import CannotEstimate


@dataclass(frozen=True, slots=True)
class LinearGrowth:
    """``length = at_zero + per_year * age``, in mm; standard errors beside each; n fish."""

    at_zero: float
    per_year: float
    se_at_zero: float
    se_per_year: float
    residual_sd: float
    n: int


def fit_line(
    times: npt.ArrayLike, lengths_mm: npt.ArrayLike, *, weights: npt.ArrayLike | None = None
) -> LinearGrowth:
    """Fit a straight line by weighted least squares [1]_.

    Parameters
    ----------
    times, lengths_mm, weights : array_like, shape (fish,)
        Ages in years, lengths in mm, how many fish each stands for.

    Returns
    -------
    Line

    Raises
    ------
    ValueError
        If shapes differ, a number is not finite, an age is no age, or a weight is not above zero.
    CannotEstimate
        too_few_fish, with fewer than 3; one_age.

    References
    ----------
    .. [1] Draper & Smith (1998), Applied Regression Analysis, ch. 1 and 9.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.straight import fit_line
    >>> lengths = [52, 61, 73, 79, 92, 99, 111, 122, 130, 139]
    >>> round(fit_line(np.arange(1, 11), lengths).per_year, 1)
    9.8
    """
    time, length = not_negative(times, "times"), finite(lengths_mm, "lengths_mm")
    weight = np.ones_like(time) if weights is None else positive(weights, "weights")
    alike(times=time, lengths_mm=length, weights=weight)
    if time.size < 3:
        raise CannotEstimate("too_few_fish", "A line needs at least 3 aged fish.")
    if np.ptp(time) == 0:
        raise CannotEstimate("one_age", "All fish are of one age, so no growth shows.")
    weight = weight / weight.mean()
    mean_time = np.average(time, weights=weight)
    mean_length = np.average(length, weights=weight)
    away = time - mean_time
    square = float(weight @ away**2)
    slope = float(weight @ (away * (length - mean_length)) / square)
    residual = length - mean_length - slope * away
    variance = float(weight @ residual**2) / (time.size - 2)
    return LinearGrowth(
        at_zero=float(mean_length - slope * mean_time),
        per_year=slope,
        se_at_zero=float(np.sqrt(variance * (1 / weight.sum() + mean_time**2 / square))),
        se_per_year=float(np.sqrt(variance / square)),
        residual_sd=float(np.sqrt(variance)),
        n=int(time.size),
    )
