"""Catch per unit of effort with an interval from resampled sets."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import alike, at_least, not_negative, positive, share
from samples.science.errors import CannotEstimate

# Below so many sets an interval would be no more than the range of the sets.
FEWEST_SETS = 5
DRAWS = 4_000


@dataclass(frozen=True, slots=True)
class CatchPerEffort:
    """Fish per unit of effort, such as a net night.

    ``se``, ``lower`` and ``upper`` are None where there are too few sets to resample; ``se`` is
    the standard deviation of the resamples.
    """

    value: float
    se: float | None
    lower: float | None
    upper: float | None
    sets: int
    empty: int
    fish: float
    effort: float


def catch_per_effort(
    catches: npt.ArrayLike,
    efforts: npt.ArrayLike,
    *,
    rng: np.random.Generator,
    draws: int = DRAWS,
    level: float = 0.95,
) -> CatchPerEffort:
    """Return total catch over total effort, with an interval from whole sets drawn again [1]_.

    The ends are expanded percentiles [2]_: a plain percentile interval of few sets is too narrow,
    by what Student's t and n - 1 in place of n put right.

    Parameters
    ----------
    catches : array_like of float, shape (sets,)
        Fish of each set; an empty set counts.
    efforts : array_like of float, shape (sets,)
        Effort of each set, such as net nights.
    rng : numpy.random.Generator
    draws : int
        Resamples.
    level : float
        Nominal level of the interval.

    Returns
    -------
    CatchPerEffort
        In fish per unit of effort; without an interval below 5 sets.

    Raises
    ------
    ValueError
        If shapes differ, a catch is negative, an effort not above zero, or one not finite.
    CannotEstimate
        no_sets.

    References
    ----------
    .. [1] Davison & Hinkley (1997), Bootstrap Methods and Their Application, Cambridge.
    .. [2] Hesterberg (2015), Am. Stat. 69:371-386.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.net_catch import catch_per_effort
    >>> catch_per_effort([12, 0, 7, 3, 8], [1, 1, 2, 1, 1], rng=np.random.default_rng(1)).value
    5.0
    """
    fish, effort = not_negative(catches, "catches"), positive(efforts, "efforts")
    alike(catches=fish, efforts=effort)
    at_least(draws, 1, "draws")
    share(level, "level")
    n = fish.size
    if not n:
        raise CannotEstimate("no_sets", "No net sets with net nights in this choice.")
    se = lower = upper = None
    if n >= FEWEST_SETS:
        picked = rng.multinomial(n, np.full(n, 1 / n), size=int(draws))
        drawn = (picked @ fish) / (picked @ effort)
        se = float(drawn.std())
        tail = _expanded_tail(n, level)
        lower, upper = (float(one) for one in np.quantile(drawn, [tail, 1 - tail]))
    return CatchPerEffort(
        value=float(fish.sum() / effort.sum()),
        se=se,
        lower=lower,
        upper=upper,
        sets=int(n),
        empty=int(np.count_nonzero(fish == 0)),
        fish=float(fish.sum()),
        effort=float(effort.sum()),
    )


def _expanded_tail(n: int, level: float) -> float:
    """Return the share of resamples to leave out at each end for so many sets."""
    from scipy.special import ndtr, stdtrit

    t = stdtrit(n - 1, (1 - level) / 2)
    return float(ndtr(np.sqrt(n / (n - 1)) * t))
