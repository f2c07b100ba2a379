"""Three axes on which a limit is judged: how long, how many live, how many are taken first.

All three are of fish on the way from the length at which anglers begin to keep them to the
limit. Fish of one age differ in length and stay so: a cohort is averaged by quadrature, and never
taken as if every fish were as long as the mean.
"""

from dataclasses import dataclass

import numpy as np

from samples.science.arguments import not_negative, positive
from samples.science.errors import CannotEstimate
from samples.science.length_limit.fish_lives import Floats, Lives
from samples.science.length_limit.rules import LONGEST_LIFE

# The same change of growth, natural death and harvest, by which they are compared.
CHANGED_BY = 0.25


@dataclass(frozen=True, slots=True)
class Axes:
    """What lies between the length kept now and the limit; arrays of shape (draws,).

    Attributes
    ----------
    years : ndarray
        Years that the middle fish takes from the kept length to the limit; infinity where it
        never comes to it.
    age : ndarray
        Age of the middle fish at the limit.
    reach : ndarray
        Share of a cohort that is ever so long, if nothing but age stops it.
    survival : ndarray
        Of the fish that can become so long, the share that natural death alone leaves on the way.
    taken : ndarray
        Of the fish that would have come to the limit alive, the share that is taken before it now.
    arrived : ndarray
        Share of the fish of the kept length that come to the limit as things are.
    if_faster, if_fewer_died, if_fewer_taken : ndarray
        How much larger that share would be, as a part of it, if K were a quarter larger, or M or
        F a quarter smaller: 0.1 is a tenth more. 0 where no fish comes to the limit.
    """

    years: Floats
    age: Floats
    reach: Floats
    survival: Floats
    taken: Floats
    arrived: Floats
    if_faster: Floats
    if_fewer_died: Floats
    if_fewer_taken: Floats


def axes(
    lives: Lives,
    f: Floats,
    *,
    kept_from_mm: float,
    limit_mm: float,
    last_age: float = LONGEST_LIFE,
) -> Axes:
    """Place a limit on the three axes.

    Parameters
    ----------
    lives : Lives
        Growth and natural death, as draws.
    f : ndarray, shape (draws,) or ()
        F, per year, of fish over the kept length, as things are.
    kept_from_mm, limit_mm : float
        Length at which anglers begin to keep fish now, and the limit.
    last_age : float
        Age in years beyond which no fish is counted.

    Returns
    -------
    Axes

    Raises
    ------
    ValueError
        If a length or an age is not above zero, or F is negative, not finite or not of the draws.
    CannotEstimate
        limit_below_kept, where the limit changes nothing.

    Notes
    -----
    The share that comes from one length to the other is ``exp(-(F + M) way)``, and the way is
    proportional to 1 / K: a change of K weighs as much as the same change of F and M together,
    whatever the lake. What growth alone decides is told by ``years`` and ``reach``.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.axes import axes
    >>> from samples.science.length_limit.fish_lives import Lives
    >>> k, m = np.array([0.4, 0.38]), np.array([0.4, 0.45])
    >>> lives = Lives(np.array([340.0, 360]), k, np.zeros(2), m, 0.1)
    >>> axes(lives, np.full(2, 0.5), kept_from_mm=200, limit_mm=254).years.round(2)
    array([1.22, 1.08])
    """
    positive([kept_from_mm, limit_mm, last_age], "kept_from_mm, limit_mm and last_age")
    if limit_mm <= kept_from_mm:
        raise CannotEstimate(
            "limit_below_kept",
            "Anglers keep no fish under this length now, so a limit here changes nothing.",
        )
    f = np.broadcast_to(not_negative(f, "f", ndim=None), lives.m.shape)
    scale, weight = lives.cohort(kept_from_mm, limit_mm)
    starts = lives.age_at(kept_from_mm, scale)
    ends = lives.age_at(limit_mm, scale)
    begins, reaches = starts < last_age, ends <= last_age
    way = np.where(reaches, ends, last_age) - np.where(begins, starts, last_age)
    middle = lives.age_at(limit_mm)
    within = np.isfinite(middle) & (middle <= last_age)
    start = lives.age_at(kept_from_mm)
    between = np.full(middle.shape, np.inf)
    np.subtract(middle, start, out=between, where=within)

    def arriving(f: Floats, natural: Floats, years: Floats) -> Floats:
        alive = np.where(reaches, np.exp(-(f + natural) * years), 0.0)
        return _mean(alive, begins, weight)

    arrived = arriving(f, lives.m, way)
    fewer = 1 - CHANGED_BY
    lived = np.exp(-lives.m * way)
    return Axes(
        years=between,
        age=np.where(within, middle, np.inf),
        reach=np.asarray(np.where(reaches, weight, 0.0).sum(axis=0), dtype=np.float64),
        survival=_mean(lived, reaches, weight),
        taken=_mean(-np.expm1(-f * way), reaches, weight * lived),
        arrived=arrived,
        if_faster=_gain(arriving(f, lives.m, way / (1 + CHANGED_BY)), arrived),
        if_fewer_died=_gain(arriving(f, fewer * lives.m, way), arrived),
        if_fewer_taken=_gain(arriving(fewer * f, lives.m, way), arrived),
    )


def _gain(then: Floats, now: Floats) -> Floats:
    """Return the gain as a part of what there is; 0 where there is nothing."""
    return np.divide(then - now, now, out=np.zeros_like(now), where=now > 0)


def _mean(values: Floats, where: np.ndarray, weights: Floats) -> Floats:
    """Average the fish that count; 0 where none does."""
    counted = np.where(where, weights, 0.0)
    total = counted.sum(axis=0)
    mean: Floats = np.where(
        total > 0, (counted * values).sum(axis=0) / np.maximum(total, 1e-300), 0.0
    )
    return mean
