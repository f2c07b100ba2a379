"""Three axes on which a limit is judged: how long, how many live, how many are taken first.

All three are of fish on the way from the length at which anglers begin to keep them to the
limit. Fish of one age differ in length and stay so: a cohort is taken in slices, and never as if
every fish were as long as the mean.
"""

from dataclasses import dataclass

import numpy as np

from samples.science.arguments import at_least, not_negative, positive
from samples.science.errors import CannotEstimate
from samples.science.length_limit.fish_lives import Floats, Lives
from samples.science.length_limit.per_recruit import LONGEST_LIFE


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
    more_if_faster, more_if_none_died, more_if_none_taken : ndarray
        How much larger that share would be if one thing alone were otherwise: the way took no
        more than ``fair_years``, none died of natural causes, or none was taken on it.
    """

    years: Floats
    age: Floats
    reach: Floats
    survival: Floats
    taken: Floats
    arrived: Floats
    more_if_faster: Floats
    more_if_none_died: Floats
    more_if_none_taken: Floats


def axes(
    lives: Lives,
    fishing: Floats,
    *,
    kept_from_mm: float,
    limit_mm: float,
    fair_years: float,
    last_age: float = LONGEST_LIFE,
) -> Axes:
    """Place a limit on the three axes.

    Parameters
    ----------
    lives : Lives
        Growth and natural death, as draws.
    fishing : ndarray, shape (draws,) or ()
        F, per year, of fish over the kept length, as things are.
    kept_from_mm, limit_mm : float
        Length at which anglers begin to keep fish now, and the limit.
    fair_years : float
        The way from one to the other that growth is not blamed for.
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
    """
    positive([kept_from_mm, limit_mm, last_age], "kept_from_mm, limit_mm and last_age")
    at_least(fair_years, 0, "fair_years")
    if limit_mm <= kept_from_mm:
        raise CannotEstimate(
            "limit_below_kept",
            "Anglers keep no fish under this length now, so a limit here changes nothing.",
        )
    rate = np.broadcast_to(not_negative(fishing, "fishing", ndim=None), lives.natural.shape)
    scale = lives.scales()[:, None]
    starts = lives.age_at(kept_from_mm, scale)
    ends = lives.age_at(limit_mm, scale)
    begins, reaches = starts < last_age, ends <= last_age
    way = np.where(reaches, ends, last_age) - np.where(begins, starts, last_age)
    lived = np.exp(-lives.natural * way)
    middle = lives.age_at(limit_mm)
    within = np.isfinite(middle) & (middle <= last_age)
    start = lives.age_at(kept_from_mm)
    between = np.full(middle.shape, np.inf)
    np.subtract(middle, start, out=between, where=within)
    total = rate + lives.natural
    arrived = _mean(np.where(reaches, np.exp(-total * way), 0.0), begins)
    faster = _mean(np.exp(-total * np.minimum(way, fair_years)), begins)
    return Axes(
        years=between,
        age=np.where(within, middle, np.inf),
        reach=reaches.mean(axis=0),
        survival=_mean(lived, reaches),
        taken=_mean(-np.expm1(-rate * way), reaches, lived),
        arrived=arrived,
        more_if_faster=faster - arrived,
        more_if_none_died=_mean(np.where(reaches, np.exp(-rate * way), 0.0), begins) - arrived,
        more_if_none_taken=_mean(np.where(reaches, lived, 0.0), begins) - arrived,
    )


def _mean(values: Floats, where: np.ndarray, weights: Floats | float = 1.0) -> Floats:
    """Average the slices that count; 0 where none does."""
    counted = np.where(where, weights, 0.0)
    total = counted.sum(axis=0)
    mean: Floats = np.where(
        total > 0, (counted * values).sum(axis=0) / np.maximum(total, 1e-300), 0.0
    )
    return mean
