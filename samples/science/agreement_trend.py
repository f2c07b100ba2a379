"""Agreement of two readers over time: day by day, and whether it rises or falls."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.agreement import precision
from samples.science.arguments import ages_in_years, alike, whole
from samples.science.errors import CannotEstimate
from samples.science.size_structure import wilson

FEWEST_DAYS, FEWEST_FISH = 3, 20
MONTH_DAYS = 30
TWO_SIDED_95 = 1.959964


@dataclass(frozen=True, slots=True)
class AgreementOfDay:
    """Fish whose second reading was made on one day.

    Attributes
    ----------
    day : int
    n : int
        Fish.
    exact, lower, upper : float
        Share read alike, with its 95 % interval by Wilson.
    cv : float
        Mean coefficient of variation, per cent.
    difference : float
        Mean age of the second reader less that of the first, years.
    """

    day: int
    n: int
    exact: float
    lower: float
    upper: float
    cv: float
    difference: float


@dataclass(frozen=True, slots=True)
class AgreementTrend:
    """How the share of fish read alike changes with time.

    Attributes
    ----------
    n, days : int
        Fish, and days on which they were read.
    share, middle : float
        Share of all fish read alike, and their mean day: the line goes through both.
    change, lower, upper : float
        Change of the share in 30 days, with its 95 % interval.
    p : float
        Of no trend, two-sided.
    spread : float
        How much more days differ about the line than chance would have it, as a variance ratio;
        1 and more. Interval and p are wider by its root.
    """

    n: int
    days: int
    share: float
    middle: float
    change: float
    lower: float
    upper: float
    p: float
    spread: float


def agreement_by_day(
    days: npt.ArrayLike, first: npt.ArrayLike, second: npt.ArrayLike
) -> tuple[AgreementOfDay, ...]:
    """Describe how far two readers agree on the fish of each day.

    Parameters
    ----------
    days : array_like of int, shape (fish,)
        The day on which a fish had been read by both, counted from any start.
    first, second : array_like of int, shape (fish,)
        Ages in whole years by each reader.

    Returns
    -------
    tuple of AgreementOfDay
        Days with fish, in order.

    Raises
    ------
    ValueError
        If shapes differ, a day is not whole, or an age not whole or beyond 0 to 300 years.
    CannotEstimate
        no_fish.

    Examples
    --------
    >>> from samples.science.agreement_trend import agreement_by_day
    >>> [one.exact for one in agreement_by_day([1, 1, 8, 8], [2, 3, 4, 5], [2, 4, 4, 5])]
    [0.5, 1.0]
    """
    when = whole(days, "days")
    one, other = (whole(ages_in_years(ages, "ages"), "ages") for ages in (first, second))
    alike(days=when, first=one, second=other)
    if not when.size:
        raise CannotEstimate("no_fish", "No fish was read twice yet.")
    found = []
    for day in np.unique(when).tolist():
        here = when == day
        pair = np.column_stack([one[here], other[here]])
        same, n = int(np.count_nonzero(pair[:, 0] == pair[:, 1])), pair.shape[0]
        lower, upper = wilson(same, n)
        difference = float((pair[:, 1] - pair[:, 0]).mean())
        found.append(AgreementOfDay(day, n, same / n, lower, upper, precision(pair).cv, difference))
    return tuple(found)


def agreement_trend(days: npt.ArrayLike, same: npt.ArrayLike) -> AgreementTrend:
    """Test whether two readers agree on more or on fewer fish as time goes on [1]_.

    Parameters
    ----------
    days : array_like of int, shape (fish,)
        The day on which a fish had been read by both, counted from any start.
    same : array_like of int, shape (fish,)
        1 where both gave the same age, else 0.

    Returns
    -------
    AgreementTrend

    Raises
    ------
    ValueError
        If shapes differ, a day is not whole, or an entry is neither 0 nor 1.
    CannotEstimate
        few_days, with fewer than 3; few_fish, with fewer than 20; no_spread, where all are read
        alike, or none.

    Notes
    -----
    With shares p_i of n_i fish on days t_i, mean day T and share p of all, the slope is ``b = sum
    n_i (t_i - T) p_i / S``, ``S = sum n_i (t_i - T)^2``, with variance ``p (1 - p) / S`` if there
    is no trend; ``b^2 S / (p (1 - p))`` is chi-square with 1 df. What is left of the chi-square of
    the days, over its df, tells how much days differ beyond chance; above 1 it widens the variance.

    References
    ----------
    .. [1] Armitage (1955), Biometrics 11:375-386.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.agreement_trend import agreement_trend
    >>> same = [1] * 9 + [0] + [1] * 7 + [0] * 3 + [1] * 5 + [0] * 5
    >>> found = agreement_trend(np.repeat([0, 30, 60], 10), same)
    >>> round(found.change, 2), round(found.p, 3)
    (-0.2, 0.051)
    """
    when, hit = whole(days, "days"), whole(same, "same")
    alike(days=when, same=hit)
    if not np.isin(hit, (0, 1)).all():
        raise ValueError("same must be 0 or 1")
    each, place = np.unique(when, return_inverse=True)
    if each.size < FEWEST_DAYS:
        raise CannotEstimate("few_days", f"A trend needs {FEWEST_DAYS} days; here are {each.size}.")
    if hit.size < FEWEST_FISH:
        raise CannotEstimate(
            "few_fish", f"A trend needs {FEWEST_FISH} fish read twice; here are {hit.size}."
        )
    share = float(hit.mean())
    if share in {0.0, 1.0}:
        raise CannotEstimate("no_spread", "The readers agree on all of these fish, or on none.")
    from scipy.stats import norm

    n = np.bincount(place).astype(np.float64)
    shares = np.bincount(place, weights=hit) / n
    middle = float((n * each).sum() / n.sum())
    away = each - middle
    scale = float((n * away**2).sum())
    slope = float((n * away * shares).sum()) / scale
    variance = share * (1 - share)
    of_days = float((n * (shares - share) ** 2).sum()) / variance
    of_trend = slope**2 * scale / variance
    spread = max(1.0, (of_days - of_trend) / (each.size - 2))
    error = float(np.sqrt(spread * variance / scale))
    half = TWO_SIDED_95 * error
    return AgreementTrend(
        n=int(hit.size),
        days=int(each.size),
        share=share,
        middle=middle,
        change=MONTH_DAYS * slope,
        lower=MONTH_DAYS * (slope - half),
        upper=MONTH_DAYS * (slope + half),
        p=float(2 * norm.sf(abs(slope) / error)),
        spread=spread,
    )
