"""Ageing error: how far single readings scatter about the age, and shares of ages without it.

Ages as read contain the error already: to draw more of it counts it twice. What is wanted is the
way back, from what was read to the ages that fish had. Without fish of known age this is precision
alone: two readers who make the same mistake agree.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import ages_in_years, alike, at_least, not_negative, whole
from samples.science.errors import CannotEstimate

Floats = npt.NDArray[np.float64]

FEWEST_PAIRS = 50
SMALLEST_CV, LARGEST_CV = 0.002, 0.5
# Half of the 0.95 quantile of chi-square with 1 df: where a profile of the likelihood ends.
PROFILE = 1.920729
STEPS, CLOSE = 500, 1e-9
# Steps back from ages as read: more of them fit the chance in a sample. On simulated lakes of 100
# to 400 fish and a CV of 11 %, shares were nearest the truth after about 5.
STEPS_BACK = 5
BEYOND = 3
MOST_AGE = 120


@dataclass(frozen=True, slots=True, eq=False)
class ReadingError:
    """Scatter of one reading about the age.

    Attributes
    ----------
    pairs : int
        Fish that two readers read.
    cv, lower, upper : float
        Coefficient of variation of one reading, with its 95 % interval by profile likelihood.
    """

    pairs: int
    cv: float
    lower: float
    upper: float


def reading_shares(cv: float, oldest: int) -> Floats:
    """Return the share of readings of each age, by true age; shape (true ages, read ages).

    Parameters
    ----------
    cv : float
        Coefficient of variation of one reading.
    oldest : int
        Ages 0 to this one.

    Returns
    -------
    ndarray
        A normal about the true age with sd ``cv age``, taken in whole years; rows sum to 1. Age 0
        is always read as 0.

    Raises
    ------
    ValueError
        If the CV is negative or not finite, or the oldest age below 0 or above 120.

    Examples
    --------
    >>> from samples.science.ageing_error import reading_shares
    >>> reading_shares(0.1, 4)[3].round(2)
    array([0.  , 0.  , 0.05, 0.9 , 0.05])
    """
    at_least(cv, 0, "cv")
    at_least(oldest, 0, "oldest")
    if oldest > MOST_AGE:
        raise ValueError(f"oldest must be at most {MOST_AGE}")
    from scipy.special import ndtr

    ages = np.arange(int(oldest) + 1)
    spread = np.maximum(cv * ages, 1e-6)[:, None]
    ends = (np.arange(int(oldest) + 2) - 0.5 - ages[:, None]) / spread
    within = np.diff(ndtr(ends), axis=1)
    shares: Floats = within / within.sum(axis=1, keepdims=True)
    return shares


def agreed_shares(cv: float, oldest: int) -> Floats:
    """Return the same for ages that two readers agreed on, by reading alike.

    Parameters
    ----------
    cv : float
        Coefficient of variation of one reading.
    oldest : int
        Oldest age.

    Returns
    -------
    ndarray, shape (ages, ages)
        Share of the fish of a true age (rows) whose consensus is an age (columns).

    Raises
    ------
    ValueError
        As `reading_shares`.

    Examples
    --------
    >>> from samples.science.ageing_error import agreed_shares
    >>> agreed_shares(0.1, 4)[3].round(2)
    array([0.  , 0.  , 0.  , 0.99, 0.  ])
    """
    both = reading_shares(cv, oldest) ** 2
    shares: Floats = both / both.sum(axis=1, keepdims=True)
    return shares


def fit_reading_error(first: npt.ArrayLike, second: npt.ArrayLike) -> ReadingError:
    """Estimate the scatter of one reading from fish that two readers read [1]_, [2]_.

    Parameters
    ----------
    first, second : array_like of int, shape (fish,)
        Ages in whole years by each reader, who are taken to be unbiased and equally precise.

    Returns
    -------
    ReadingError

    Raises
    ------
    ValueError
        If shapes differ or an age is not a whole number from 0 to 120.
    CannotEstimate
        few_pairs, with fewer than 50; all_age_0.

    Notes
    -----
    Maximum likelihood of ``sum log sum_a pi_a q(x1 | a) q(x2 | a)``; the shares of true ages pi
    by EM for each CV. The variance of a difference is that of two readings.

    References
    ----------
    .. [1] Richards, Schnute, Kronlund & Beamish (1992), Can. J. Fish. Aquat. Sci. 49:1801-1815.
    .. [2] Punt, Smith, KrusicGolub & Robertson (2008), Can. J. Fish. Aquat. Sci. 65:1991-2005.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.ageing_error import fit_reading_error
    >>> first = np.tile([1, 2, 3, 2, 4, 5], 10)
    >>> second = np.tile([1, 2, 3, 3, 4, 4], 10)
    >>> round(fit_reading_error(first, second).cv, 2)
    0.13
    """
    one, other = (whole(ages_in_years(ages, "ages"), "ages") for ages in (first, second))
    alike(first=one, second=other)
    if one.size < FEWEST_PAIRS:
        raise CannotEstimate(
            "few_pairs",
            f"The ageing error needs {FEWEST_PAIRS} fish read by two readers; here are {one.size}.",
        )
    top = int(max(one.max(), other.max()))
    if top == 0:
        raise CannotEstimate("all_age_0", "Every fish was read as age 0.")
    if top + BEYOND > MOST_AGE:
        raise ValueError(f"ages must be at most {MOST_AGE - BEYOND}")
    from scipy.optimize import brentq, minimize_scalar

    pairs, counts = np.unique(np.column_stack([one, other]), axis=0, return_counts=True)

    def less(log_cv: float) -> float:
        shares = reading_shares(float(np.exp(log_cv)), top + BEYOND)
        return -_log_likelihood(shares[:, pairs[:, 0]] * shares[:, pairs[:, 1]], counts)

    ends = (np.log(SMALLEST_CV), np.log(LARGEST_CV))
    best = minimize_scalar(less, bounds=ends, method="bounded", options={"xatol": 1e-4})
    middle = float(best.x)

    def beyond(log_cv: float) -> float:
        return less(log_cv) - float(best.fun) - PROFILE

    lower = brentq(beyond, ends[0], middle) if beyond(ends[0]) > 0 else ends[0]
    upper = brentq(beyond, middle, ends[1]) if beyond(ends[1]) > 0 else ends[1]
    return ReadingError(int(one.size), *(float(np.exp(at)) for at in (middle, lower, upper)))


def _log_likelihood(given: Floats, counts: npt.NDArray[np.int64]) -> float:
    """Return the log likelihood at the best shares of true ages; ``given``: (ages, kinds)."""
    given = np.maximum(given, 1e-300)
    shares = np.full(given.shape[0], 1 / given.shape[0])
    last = -np.inf
    for _ in range(STEPS):
        each = shares @ given
        value = float(counts @ np.log(each))
        shares = shares * (given @ (counts / each)) / counts.sum()
        if value - last < CLOSE * abs(value):
            break
        last = value
    return value


def true_age_shares(
    numbers: npt.ArrayLike, read_by_true: npt.ArrayLike, *, steps: int = STEPS_BACK
) -> Floats:
    """Return the shares of true ages that explain the ages as read.

    Parameters
    ----------
    numbers : array_like, shape (..., ages)
        Fish of each age as read, from age 0 on; one row or many.
    read_by_true : array_like, shape (ages, ages)
        Of fish of each true age, the share read as each age: `reading_shares`.
    steps : int
        Steps of EM. Few hold the shares near those of a smooth start; many fit what was read.

    Returns
    -------
    ndarray, shape (..., ages)
        Sums to 1 in each row; 0 in a row without fish.

    Raises
    ------
    ValueError
        If a number is negative or not finite, the ages differ, or steps is below 1.

    Notes
    -----
    Maximum likelihood by EM from equal shares, stopped early. Each step draws fish back by Bayes:
    ``P(a | x)`` in proportion to ``q(x | a) pi_a``.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.ageing_error import reading_shares, true_age_shares
    >>> true_age_shares(np.array([0.0, 60, 30, 15, 8]), reading_shares(0.1, 4)).round(3)
    array([0.   , 0.529, 0.262, 0.135, 0.073])
    """
    at_least(steps, 1, "steps")
    read = not_negative(numbers, "numbers", ndim=None)
    table = not_negative(read_by_true, "read_by_true", ndim=2)
    if read.ndim < 1 or not table.size or table.shape != (read.shape[-1], read.shape[-1]):
        raise ValueError("read_by_true must have one row and one column for each age")
    table = np.maximum(table, 1e-300)
    total = read.sum(axis=-1, keepdims=True)
    observed = np.divide(read, total, out=np.zeros_like(read), where=total > 0)
    shares = np.full(read.shape, 1 / read.shape[-1])
    for _ in range(int(steps)):
        explained = np.maximum(shares @ table, 1e-300)
        shares = shares * ((observed / explained) @ table.T)
    found: Floats = shares * (total > 0)
    return found
