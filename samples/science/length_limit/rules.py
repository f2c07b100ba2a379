"""What may be kept: minimum limit, protected slot, one over a length, creel limit.

A rule cuts the lengths into zones. In each, fish are caught at some rate, a share of them is kept,
and the others are let go.
"""

from dataclasses import dataclass

import numpy as np

from samples.science.arguments import at_least, finite, not_negative, positive
from samples.science.errors import CannotEstimate
from samples.science.length_limit.fish_lives import Floats

LONGEST_LIFE = 25.0
# Fish kept per trip differ as in a geometric distribution, the negative binomial with k = 1.
TRIP_K = 1.0


@dataclass(frozen=True, slots=True)
class Zone:
    """Lengths from one to the next: how often fish are caught there, and the share kept."""

    from_mm: float
    caught: float
    kept: Floats | float


@dataclass(frozen=True, slots=True)
class Rule:
    """What may be kept, and what becomes of the rest.

    Attributes
    ----------
    kept_from_mm : float
        Length from which anglers keep fish where no limit forbids it.
    limit_mm : float
        Minimum length limit; at or below ``kept_from_mm`` it changes nothing.
    release_death : float or ndarray, shape (draws,)
        Share of released fish that die, h, 0 to 1.
    caught_below : float
        How often fish under the minimum limit are caught, against those over it.
    recruited : float
        Age in years from which fish are counted.
    last_age : float
        Age in years beyond which no fish is counted.
    slot_mm : tuple of float, optional
        Protected slot: fish from the first length up to the second are let go.
    over_mm, share_over : float, and float or ndarray, shape (draws,)
        Of fish of ``over_mm`` and longer, this share may be kept.
    share_kept : float
        Share of the harvest that a creel limit leaves.

    Raises
    ------
    ValueError
        If a value is not finite, negative, or a share above 1, the kept length not above zero, or
        the slot not in order.
    """

    kept_from_mm: float
    limit_mm: float = 0.0
    release_death: float | Floats = 0.0
    caught_below: float = 1.0
    recruited: float = 1.0
    last_age: float = LONGEST_LIFE
    slot_mm: tuple[float, float] | None = None
    over_mm: float = 0.0
    share_over: float | Floats = 1.0
    share_kept: float = 1.0

    def __post_init__(self) -> None:
        for name in ("release_death", "share_over", "share_kept"):
            if (not_negative(getattr(self, name), name, ndim=None) > 1).any():
                raise ValueError(f"{name} must be at most 1")
        positive(self.kept_from_mm, "kept_from_mm", ndim=0)
        for name in ("limit_mm", "caught_below", "recruited", "over_mm"):
            at_least(getattr(self, name), 0, name)
        at_least(self.last_age, self.recruited, "last_age")
        if self.slot_mm is not None:
            first, last = finite(self.slot_mm, "slot_mm")
            if not 0 < first < last:
                raise ValueError("slot_mm must be two lengths in order")

    @property
    def first_mm(self) -> float:
        """Return the length from which fish may be kept."""
        return max(self.limit_mm, self.kept_from_mm)

    @property
    def ends_mm(self) -> tuple[float, ...]:
        """Return the lengths at which the rule changes."""
        return (self.kept_from_mm, self.limit_mm, self.over_mm, *(self.slot_mm or ()))

    def zones(self, *cuts_mm: float) -> list[Zone]:
        """Return the zones from the kept length up, cut at further lengths too."""
        ends = {*self.ends_mm, *cuts_mm}
        starts = sorted(end for end in ends if end >= self.kept_from_mm)
        return [self._zone(start) for start in starts]

    def kept_at(self, length_mm: float) -> Floats | float:
        """Return the share of the fish caught at a length that is kept."""
        return 0.0 if length_mm < self.kept_from_mm else self._zone(length_mm).kept

    def _zone(self, start: float) -> Zone:
        if start < self.limit_mm:
            return Zone(start, self.caught_below, 0.0)
        if self.slot_mm and self.slot_mm[0] <= start < self.slot_mm[1]:
            return Zone(start, 1.0, 0.0)
        over = self.share_over if 0 < self.over_mm <= start else 1.0
        return Zone(start, 1.0, self.share_kept * over)


def creel_share(kept_a_trip: float, limit: int, *, in_force: int | None = None) -> float:
    """Return the share of the harvest that a daily creel limit leaves.

    Parameters
    ----------
    kept_a_trip : float
        Mean number of fish that an angler keeps on a trip now.
    limit : int
        The creel limit, fish an angler and day.
    in_force : int, optional
        The creel limit under which ``kept_a_trip`` was found.

    Returns
    -------
    float
        ``E[min(X, limit)]`` over the same for the limit in force, at most 1.

    Raises
    ------
    ValueError
        If the mean is not above zero, or a limit is below 1.
    CannotEstimate
        above_limit, where the mean is not below the limit in force.

    Notes
    -----
    X is negative binomial with k = 1, before any limit: common practice, no source. Anglers fish
    as often as now.

    Examples
    --------
    >>> from samples.science.length_limit.rules import creel_share
    >>> round(creel_share(4.0, 5, in_force=30), 2)
    0.67
    """
    positive(kept_a_trip, "kept_a_trip", ndim=0)
    at_least(limit, 1, "limit")
    mean = float(kept_a_trip)
    if in_force is not None:
        at_least(in_force, 1, "in_force")
        if limit >= in_force:
            return 1.0
        mean = _mean_before(mean, int(in_force))
    return min(_mean_under(mean, int(limit)) / float(kept_a_trip), 1.0)


def _mean_under(mean: float, limit: int) -> float:
    """Return ``E[min(X, limit)]`` of a geometric number of fish: the sum of P(X >= j)."""
    ratio = mean / (1 + mean)
    return mean * (1 - ratio**limit)


def _mean_before(kept_a_trip: float, limit: int) -> float:
    """Find the mean without a limit from the mean under one."""
    from scipy.optimize import brentq

    if kept_a_trip >= limit:
        raise CannotEstimate(
            "above_limit",
            f"More than the {limit} fish that the creel limit allows are kept a trip.",
        )
    top = 1.0
    while _mean_under(top, limit) < kept_a_trip and top < 1e6:
        top *= 2
    if top >= 1e6:
        return kept_a_trip
    return float(brentq(lambda mean: _mean_under(mean, limit) - kept_a_trip, 0.0, top))


def one_over_share(kept_a_trip: float, share_over: Floats) -> Floats:
    """Return the share of the harvest over a length that remains if one such fish may be kept.

    Parameters
    ----------
    kept_a_trip : float
        Mean number of fish that an angler keeps on a trip now.
    share_over : ndarray, shape (draws,)
        Share of the fish kept now that are over the length.

    Returns
    -------
    ndarray, shape (draws,)
        ``P(Y >= 1) / E[Y]``, Y the kept fish over the length on a trip; 1 where there are none.

    Raises
    ------
    ValueError
        If the mean is not above zero, or a share is not between 0 and 1.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.rules import one_over_share
    >>> one_over_share(4.0, np.array([0.1, 0.3])).round(2)
    array([0.71, 0.45])
    """
    positive(kept_a_trip, "kept_a_trip", ndim=0)
    shares = not_negative(share_over, "share_over")
    if (shares > 1).any():
        raise ValueError("share_over must be at most 1")
    mean = kept_a_trip * shares
    some: Floats = 1 - (TRIP_K / (TRIP_K + mean)) ** TRIP_K
    return np.divide(some, mean, out=np.ones_like(mean), where=mean > 0)
