"""Mean length at age, as a plain mean of the fish that were aged."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from samples.science.arguments import at_least
from samples.science.errors import CannotEstimate

CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class LengthAtAge:
    """Lengths of the fish of one age.

    Attributes
    ----------
    n : int
        Fish.
    mean : float
        Mean length, in the unit of the lengths given.
    sd : float or None
        Standard deviation with n - 1 in the denominator; None for a single fish.
    lower, upper : float or None
        Interval of the mean; None for a single fish.
    """

    n: int
    mean: float
    sd: float | None
    lower: float | None
    upper: float | None


def length_at_age(lengths: Mapping[int, int]) -> LengthAtAge:
    """Describe the lengths of the fish of one age.

    Parameters
    ----------
    lengths : mapping of int to int
        How many fish of each length. Lengths are whole numbers, such as hundredths of a
        millimetre, so that sums are exact.

    Returns
    -------
    LengthAtAge
        Mean, sd and a 95 % interval, ``mean -+ t(0.975, n - 1) * sd / sqrt(n)``. It supposes
        fish drawn at random and independently; fish of one party are more alike than that.

    Raises
    ------
    ValueError
        If a length is not above zero, or a count is negative; both must be whole numbers.
    CannotEstimate
        no_fish.

    Examples
    --------
    >>> from samples.science.length_at_age import length_at_age
    >>> found = length_at_age({25_400: 2, 26_000: 3})
    >>> found.n, found.mean, round(found.sd, 1)
    (5, 25760.0, 328.6)
    """
    if any(length <= 0 or length % 1 or n < 0 or n % 1 for length, n in lengths.items()):
        raise ValueError("lengths must be whole and above zero, counts whole and not negative")
    n = sum(lengths.values())
    if n == 0:
        raise CannotEstimate("no_fish", "A mean needs at least one fish.")
    total = sum(length * count for length, count in lengths.items())
    mean = total / n
    if n == 1:
        return LengthAtAge(n, mean, None, None, None)
    squares = sum(length * length * count for length, count in lengths.items())
    # Whole numbers up to here: n * squares - total^2 loses no digit.
    sd = math.sqrt((n * squares - total * total) / (n * (n - 1)))
    half = t_quantile(n - 1) * sd / math.sqrt(n)
    return LengthAtAge(n, mean, sd, mean - half, mean + half)


@cache
def t_quantile(df: int) -> float:
    """Return the point that Student's t stays below in size with a probability of 95 %.

    Parameters
    ----------
    df : int
        Degrees of freedom, 1 or more.

    Returns
    -------
    float
        The 0.975 quantile, to 10 digits: `t_within` is inverted by halving.

    Raises
    ------
    ValueError
        If df is not a whole number of 1 or more.

    Examples
    --------
    >>> from samples.science.length_at_age import t_quantile
    >>> round(t_quantile(7), 4)
    2.3646
    """
    lower, upper = 0.0, 100.0
    for _ in range(80):
        middle = (lower + upper) / 2
        if t_within(middle, df) < CONFIDENCE:
            lower = middle
        else:
            upper = middle
    return (lower + upper) / 2


def t_within(t: float, df: int) -> float:
    """Return the probability that Student's t lies between -t and t [1]_.

    Parameters
    ----------
    t : float
        A point, 0 or above.
    df : int
        Degrees of freedom, 1 or more.

    Returns
    -------
    float

    Raises
    ------
    ValueError
        If df is not a whole number of 1 and more, or t not finite.

    References
    ----------
    .. [1] Abramowitz & Stegun (1964), Handbook of Mathematical Functions, 26.7.3 and 26.7.4: a
       finite sum for whole degrees of freedom.

    Examples
    --------
    >>> from samples.science.length_at_age import t_within
    >>> round(t_within(2.3646, 7), 4)
    0.95
    """
    at_least(df, 1, "df")
    if df % 1 or not math.isfinite(t):
        raise ValueError("df must be a whole number, and t finite")
    theta = math.atan(t / math.sqrt(df))
    cos2 = math.cos(theta) ** 2
    odd = df % 2 == 1
    term = math.cos(theta) if odd else 1.0
    total = 0.0
    for k in range(1, df // 2 + 1):
        total += term
        term *= cos2 * (2 * k / (2 * k + 1) if odd else (2 * k - 1) / (2 * k))
    if odd:
        return 2 / math.pi * (theta + math.sin(theta) * total)
    return math.sin(theta) * total
