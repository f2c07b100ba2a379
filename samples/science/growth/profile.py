"""Intervals of K and Linf from the profile of the sum of squares.

At a given K the sum of squares is a parabola in Linf, so each K needs one pass over the fish: the
exponentials do not depend on the Linf that is tried.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

# Of the fitted K and Linf: how far their intervals are looked for, and in how many first looks.
LEAST_RATE, MOST_RATE = 0.05, 8.0
LEAST_LENGTH, MOST_LENGTH = 0.3, 6.0
LOOKS = 16


@dataclass(frozen=True, slots=True)
class Interval:
    """A 95 % interval; an end is None where the data set none."""

    lower: float | None
    upper: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """The sum of squares about a fitted curve.

    Attributes
    ----------
    time, length, weight : ndarray, shape (fish,)
        As they were fitted: years, mm, and weights that average 1.
    through_zero : bool
        Whether t0 is held at 0.
    k, linf_mm : float
        The fitted K and Linf.
    most : float
        The sum of squares up to which one value may move.
    """

    time: Floats
    length: Floats
    weight: Floats
    through_zero: bool
    k: float
    linf_mm: float
    most: float

    def interval_of_k(self, slowest: float, fastest: float) -> Interval:
        """Return the interval of K, looked for from the slowest to the fastest."""

        def over(k: float) -> float:
            return self._parabola(k)[1] - self.most

        return Interval(_crossing(over, self.k, slowest), _crossing(over, self.k, fastest))

    def interval_of_linf(self, rates: Interval) -> Interval:
        """Return the least and the greatest Linf that any K of its own interval allows."""
        low = rates.lower or LEAST_RATE * self.k
        high = rates.upper or MOST_RATE * self.k
        looks = np.geomspace(low, high, LOOKS)
        seen = np.array([self._parabola(float(k)) for k in looks])
        half = np.sqrt(np.maximum(self.most - seen[:, 1], 0.0) / seen[:, 2])
        lower = _furthest(self._end, looks, seen[:, 0] - half, -1)
        upper = _furthest(self._end, looks, seen[:, 0] + half, 1)
        is_open = rates.lower is None or upper > MOST_LENGTH * self.linf_mm
        return Interval(
            lower if lower >= LEAST_LENGTH * self.linf_mm else None,
            None if is_open else upper,
        )

    def _end(self, k: float, side: int) -> float:
        whole, least, bend = self._parabola(k)
        return whole + side * float(np.sqrt(max(self.most - least, 0.0) / bend))

    def _parabola(self, k: float) -> tuple[float, float, float]:
        """Return the sum of squares over Linf at one K: where it is least, how much, its bend."""
        weight, length = self.weight, self.length
        left = np.exp(-k * self.time)
        if self.through_zero:
            grown = 1 - left
            bend = float(weight @ grown**2)
            whole = float(weight @ (grown * length)) / bend
            return whole, float(weight @ (length - whole * grown) ** 2), bend
        total = weight.sum()
        middle, mean = weight @ left / total, weight @ length / total
        left -= middle
        centred = length - mean
        weighed = weight * left
        spread = max(float(weighed @ left), float(np.finfo(float).tiny))
        factor = float(weighed @ centred) / spread
        # As total - sum(e)^2 / sum(e^2), without the digits that such a difference loses.
        bend = float(total * spread / (spread + total * middle**2))
        left *= -factor
        left += centred
        least = float(np.multiply(weight, left, out=weighed) @ left)
        return float(mean - factor * middle), least, bend


def allowed(rss: float, df: int) -> float:
    """Return the sum of squares up to which one value may move: an F of 1 and df."""
    from scipy.stats import f as f_distribution

    return rss * (1 + float(f_distribution.ppf(0.95, 1, df)) / df)


def _crossing(over: Callable[[float], float], inside: float, outside: float) -> float | None:
    """Find where a profile leaves what is allowed, or None where it does not."""
    from scipy.optimize import brentq

    if over(outside) <= 0 or over(inside) > 0:
        return None
    return float(brentq(over, inside, outside, rtol=1e-12))


def _furthest(end: Callable[[float, int], float], rates: Floats, ends: Floats, side: int) -> float:
    """Find the end that lies furthest out over all K, from the ends at some of them."""
    from scipy.optimize import minimize_scalar

    place = int(np.argmax(side * ends))
    around = (float(rates[max(place - 1, 0)]), float(rates[min(place + 1, rates.size - 1)]))
    found = minimize_scalar(
        lambda k: -side * end(float(k), side),
        bounds=around,
        method="bounded",
        options={"xatol": 1e-5 * around[0]},
    )
    return float(-side * found.fun)
