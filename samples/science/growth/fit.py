"""One von Bertalanffy curve by weighted least squares.

``E[L] = Linf (1 - exp(-K (t - t0)))`` is linear in two values once K is given, so the search is
over K alone and needs no starting values; least squares by scipy then take it to the last digit.
"""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from samples.science.arguments import alike, at_least, not_negative, positive
from samples.science.errors import CannotEstimate
from samples.science.growth.profile import Floats, Interval, Profile, allowed

FEWEST_FISH = 10
FEWEST_AGES = 4
# K is sought between these over the span of the times: nearly a line, nearly a step.
SLOWEST, FASTEST = 0.02, 40.0
GRID, COARSE = 160, 8
# Numbers that are worked on at once.
CACHED = 8_000
FAR_PAST = 1.4


@dataclass(frozen=True, slots=True)
class Curve:
    """A von Bertalanffy curve: Linf in mm, K per year, t0 in years."""

    linf_mm: float
    k: float
    t0: float

    def length_at(self, times: npt.ArrayLike) -> Floats:
        """Return the mean length in mm at these times in years, same shape."""
        since = np.asarray(times, dtype=np.float64) - self.t0
        length: Floats = self.linf_mm * -np.expm1(-self.k * since)
        return length


@dataclass(frozen=True, slots=True)
class Fit:
    """A fitted curve.

    Attributes
    ----------
    curve : Curve
    se : Curve
        Standard errors of its values, from the curvature at the fit.
    rss : float
        Weighted residual sum of squares.
    residual_sd : float
        ``sqrt(rss / df)``, mm for weights that average 1.
    n, df, ages : int
        Fish, degrees of freedom, and different whole years of age among them.
    linf_interval, k_interval : Interval
        From the profile of the sum of squares.
    warnings : tuple of (str, str)
        Code and sentence of what a reader should know.
    """

    curve: Curve
    se: Curve
    rss: float
    residual_sd: float
    n: int
    df: int
    ages: int
    linf_interval: Interval
    k_interval: Interval
    warnings: tuple[tuple[str, str], ...] = ()


def fit_curve(
    times: npt.ArrayLike,
    lengths_mm: npt.ArrayLike,
    *,
    weights: npt.ArrayLike | None = None,
    through_zero: bool = False,
    fewest: int = FEWEST_FISH,
) -> Fit:
    """Fit a curve to lengths at times [1]_, [2]_, [3]_.

    Parameters
    ----------
    times : array_like, shape (fish,)
        Years on the growth clock, or any age in years.
    lengths_mm : array_like, shape (fish,)
        Total lengths in mm.
    weights : array_like, shape (fish,), optional
        How many fish each stands for, as measured over aged of its length bin; scaled to
        average 1.
    through_zero : bool
        Hold t0 at 0.
    fewest : int
        Fewest fish (or means) that a fit is made of.

    Returns
    -------
    Fit

    Raises
    ------
    ValueError
        If shapes differ, a time is negative, a length or a weight is not above zero, one is not
        finite, or ``fewest`` is below 4.
    CannotEstimate
        too_few_fish, with fewer than ``fewest``; too_few_ages, with fewer than 4; one_length;
        does_not_rise; and where K is at an end of what is sought, too_fast or straight.

    References
    ----------
    .. [1] von Bertalanffy (1938), Human Biology 10:181-213.
    .. [2] Golub & Pereyra (1973), SIAM J. Numer. Anal. 10:413-432, for the search over K alone.
    .. [3] Ratkowsky (1983), Nonlinear Regression Modeling.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.fit import fit_curve
    >>> times = np.tile([1.2, 2.2, 3.2, 4.2, 5.2, 6.2], 5)
    >>> lengths = 350 * (1 - np.exp(-0.4 * times)) * np.random.default_rng(1).normal(1, 0.05, 30)
    >>> found = fit_curve(times, lengths)
    >>> round(found.curve.linf_mm), round(found.curve.k, 2)
    (364, 0.37)
    """
    time, length, weight = checked(times, lengths_mm, weights, fewest=fewest)
    # Counted from the first, so that times far from 0, such as calendar years, lose no digits.
    start = 0.0 if through_zero else float(time.min())
    time = time - start
    k = _best_rate(time, length, weight, through_zero=through_zero)
    curve = _polished(time, length, weight, k, through_zero=through_zero)
    slopes = _slopes(time, curve)[:, : 2 if through_zero else 3]
    values = slopes.shape[1]
    rss = float(weight @ (length - curve.length_at(time)) ** 2)
    df = time.size - values
    spread = np.linalg.pinv(slopes.T @ (weight[:, None] * slopes)) * rss / df
    se = [*np.sqrt(np.diag(spread)), 0.0][:3]
    ages = int(np.unique(np.floor(time + start)).size)
    profile = Profile(
        time=time,
        length=length,
        weight=weight,
        through_zero=through_zero,
        k=curve.k,
        linf_mm=curve.linf_mm,
        most=allowed(rss, df),
    )
    span = float(np.ptp(time))
    rates = profile.interval_of_k(SLOWEST / span / 20, FASTEST / span * 2)
    return Fit(
        curve=replace(curve, t0=curve.t0 + start),
        se=Curve(*(float(value) for value in se)),
        rss=rss,
        residual_sd=float(np.sqrt(rss / df)),
        n=int(time.size),
        df=df,
        ages=ages,
        linf_interval=profile.interval_of_linf(rates),
        k_interval=rates,
        warnings=_warnings(curve, float(length.max())),
    )


def find_curve(
    times: npt.ArrayLike,
    lengths_mm: npt.ArrayLike,
    *,
    weights: npt.ArrayLike | None = None,
    fewest: int = FEWEST_FISH,
) -> Curve:
    """Return the curve of `fit_curve` alone, without errors and intervals: many times faster.

    Parameters
    ----------
    times, lengths_mm, weights, fewest
        As for `fit_curve`.

    Returns
    -------
    Curve

    Raises
    ------
    ValueError, CannotEstimate
        As `fit_curve`.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.fit import find_curve
    >>> times = np.tile([1.2, 2.2, 3.2, 4.2, 5.2, 6.2], 5)
    >>> lengths = 350 * (1 - np.exp(-0.4 * times)) * np.random.default_rng(1).normal(1, 0.05, 30)
    >>> round(find_curve(times, lengths).k, 2)
    0.37
    """
    time, length, weight = checked(times, lengths_mm, weights, fewest=fewest)
    start = float(time.min())
    k = _best_rate(time - start, length, weight, through_zero=False)
    curve = _polished(time - start, length, weight, k, through_zero=False)
    return replace(curve, t0=curve.t0 + start)


def checked(
    times: npt.ArrayLike,
    lengths_mm: npt.ArrayLike,
    weights: npt.ArrayLike | None,
    *,
    fewest: int = FEWEST_FISH,
) -> tuple[Floats, Floats, Floats]:
    """Return times, lengths and weights (average 1) as arrays, or say why they carry no curve.

    Parameters
    ----------
    times, lengths_mm, weights, fewest
        As for `fit_curve`.

    Returns
    -------
    times, lengths, weights : ndarray, shape (fish,)
        The weights average 1.

    Raises
    ------
    ValueError
        As `fit_curve`.
    CannotEstimate
        too_few_fish, too_few_ages or one_length, as `fit_curve`.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.fit import checked
    >>> times = np.tile([1.2, 2.2, 3.2, 4.2, 5.2, 6.2], 5)
    >>> lengths = 350 * (1 - np.exp(-0.4 * times)) * np.random.default_rng(1).normal(1, 0.05, 30)
    >>> _, _, weights = checked(times, lengths, 2 * np.ones(30))
    >>> float(weights.mean())
    1.0
    """
    time, length = not_negative(times, "times"), positive(lengths_mm, "lengths_mm")
    weight = np.ones_like(length) if weights is None else positive(weights, "weights")
    alike(times=time, lengths_mm=length, weights=weight)
    at_least(fewest, FEWEST_AGES, "fewest")
    if time.size < fewest:
        raise CannotEstimate(
            "too_few_fish",
            f"A growth curve needs at least {fewest} aged fish; here are {time.size}.",
        )
    ages = np.unique(np.floor(time)).size
    if ages < FEWEST_AGES:
        raise CannotEstimate(
            "too_few_ages",
            f"A growth curve needs fish of at least {FEWEST_AGES} ages; here are {ages}. "
            "Get the youngest from nets.",
        )
    if np.ptp(length) == 0:
        raise CannotEstimate("one_length", "All fish are of one length, so no growth shows.")
    return time, length, weight / weight.mean()


# ---------- The search over K ----------


def _linear(
    time: Floats, length: Floats, weight: Floats, rates: Floats, *, through_zero: bool
) -> tuple[Floats, Floats, Floats]:
    """Return Linf, the factor of exp(-K t), and the sum of squares for each K: (rates,) each."""
    left = np.exp(-rates[:, None] * time)
    if through_zero:
        grown = 1 - left
        whole = (grown * weight) @ length / ((grown**2) @ weight)
        rss = ((length - whole[:, None] * grown) ** 2) @ weight
        return whole, -whole, rss
    total = weight.sum()
    middle = (left @ weight) / total
    mean = weight @ length / total
    away = left - middle[:, None]
    spread = np.maximum((away**2) @ weight, np.finfo(float).tiny)
    factor = (away * weight) @ (length - mean) / spread
    whole = mean - factor * middle
    rss = ((length - mean - factor[:, None] * away) ** 2) @ weight
    return whole, factor, rss


def _in_parts(
    time: Floats, length: Floats, weight: Floats, rates: Floats, *, through_zero: bool
) -> tuple[Floats, Floats, Floats]:
    """Return `_linear` of so few K at a time that their numbers stay in the processor's cache."""
    at_once = max(CACHED // time.size, 1)
    found = [
        _linear(time, length, weight, rates[first : first + at_once], through_zero=through_zero)
        for first in range(0, rates.size, at_once)
    ]
    whole, factor, rss = (np.concatenate(columns) for columns in zip(*found, strict=True))
    return whole, factor, rss


def _best_rate(time: Floats, length: Floats, weight: Floats, *, through_zero: bool) -> float:
    span = time.max() if through_zero else np.ptp(time)
    rates = np.geomspace(SLOWEST, FASTEST, GRID) / span
    # A coarse look first: a pass over all fish for each of them is what a fit costs.
    coarse = np.arange(0, GRID, COARSE)
    _, _, seen = _in_parts(time, length, weight, rates[coarse], through_zero=through_zero)
    best = int(coarse[np.argmin(seen)])
    near = np.arange(max(best - COARSE + 1, 0), min(best + COARSE, GRID))
    _, factor, rss = _in_parts(time, length, weight, rates[near], through_zero=through_zero)
    least = int(np.argmin(rss))
    place = int(near[least])
    if factor[least] >= 0:
        raise CannotEstimate(
            "does_not_rise", "Older fish are not longer than young ones here, so no curve fits."
        )
    if place == GRID - 1:
        raise CannotEstimate(
            "too_fast", "The youngest fish are as long as the oldest: get younger fish from nets."
        )
    if place == 0:
        raise CannotEstimate(
            "straight", "Length rises in a line with age and does not level off: get older fish."
        )
    return float(rates[place])


def _slopes(time: Floats, curve: Curve) -> Floats:
    """Return the derivative of length by Linf, K and t0: (fish, 3)."""
    since = time - curve.t0
    left = np.exp(-curve.k * since)
    return np.column_stack(
        [
            1 - left,
            curve.linf_mm * since * left,
            -curve.linf_mm * curve.k * left,
        ]
    )


def _polished(
    time: Floats, length: Floats, weight: Floats, k: float, *, through_zero: bool
) -> Curve:
    """Return the curve of least squares near a grid's K."""
    # Takes long to load, and only fits need it.
    from scipy.optimize import least_squares

    root = np.sqrt(weight)
    whole, factor, _ = _linear(time, length, weight, np.array([k]), through_zero=through_zero)
    zero = 0.0 if through_zero else float(np.log(-factor[0] / whole[0]) / k)
    start = np.array([whole[0], k, zero])[: 2 if through_zero else 3]

    def curve_of(values: Floats) -> Curve:
        return Curve(*(float(value) for value in (*values, 0.0)[:3]))

    def residuals(values: Floats) -> Floats:
        return root * (curve_of(values).length_at(time) - length)

    def slopes(values: Floats) -> Floats:
        return root[:, None] * _slopes(time, curve_of(values))[:, : values.size]

    found = least_squares(
        residuals, start, slopes, method="lm", x_scale="jac", ftol=1e-15, xtol=1e-15, gtol=1e-15
    )
    return curve_of(found.x)


def _warnings(curve: Curve, longest: float) -> tuple[tuple[str, str], ...]:
    if curve.linf_mm <= FAR_PAST * longest:
        return ()
    times = curve.linf_mm / longest
    sentence = (
        f"The length at which growth would end is {times:.1f} times the longest fish here: it is "
        "a guess past the data. Get older fish before it is used."
    )
    return (("far_past_the_data", sentence),)
