"""A mean of values that stand for different numbers of fish, with its interval."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import alike, finite, positive
from samples.science.errors import CannotEstimate


@dataclass(frozen=True, slots=True)
class WeightedMean:
    """Mean of n values with its 95 % interval; the ends are None of fewer than 3.

    ``sd`` is the standard deviation of what the values stand for; None of one value.
    """

    n: int
    mean: float
    lower: float | None
    upper: float | None
    sd: float | None = None


def weighted_mean(values: npt.ArrayLike, weights: npt.ArrayLike) -> WeightedMean:
    """Return a mean weighted by how many fish each value stands for [1]_, [2]_.

    Parameters
    ----------
    values, weights : array_like, shape (fish,)
        Lengths, and measured over aged fish of each one's length bin.

    Returns
    -------
    WeightedMean
        ``m = sum w x / sum w``, ``SE = sqrt(n / (n - 1) sum w^2 (x - m)^2) / sum w``, and
        Student's t of n - 1. ``sd^2 = n / (n - 1) sum w (x - m)^2 / sum w``.

    Raises
    ------
    ValueError
        If shapes differ, a value is not finite, or a weight is not above zero.
    CannotEstimate
        no_fish.

    References
    ----------
    .. [1] Bettoli & Miranda (2001), N. Am. J. Fish. Manage. 21:425-428, for the weighting.
    .. [2] Cochran (1977), Sampling Techniques, 6.3, for the error of a ratio.

    Examples
    --------
    >>> from samples.science.weighted_mean import weighted_mean
    >>> found = weighted_mean([240.0, 251, 263], [1, 2, 2])
    >>> round(found.mean, 1), found.n
    (253.6, 3)
    """
    value, weight = finite(values, "values"), positive(weights, "weights")
    alike(values=value, weights=weight)
    if value.size == 0:
        raise CannotEstimate("no_fish", "A mean needs at least one fish.")
    n = int(value.size)
    mean = float(np.average(value, weights=weight))
    variance = float(np.average((value - mean) ** 2, weights=weight))
    sd = None if n < 2 else float(np.sqrt(n / (n - 1) * variance))
    if n < 3:
        return WeightedMean(n, mean, None, None, sd)
    from scipy.stats import t as t_distribution

    error = np.sqrt(n / (n - 1) * np.sum((weight * (value - mean)) ** 2)) / weight.sum()
    half = float(t_distribution.ppf(0.975, n - 1) * error)
    return WeightedMean(n, mean, mean - half, mean + half, sd)
