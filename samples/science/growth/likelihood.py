"""Growth curves by maximum likelihood: three forms, and fish that were kept from some length on.

Lengths at an age are normal about the curve with a standard deviation in proportion to it. Of fish
that were kept only from some length on, the part below it was never seen: their likelihood is that
of a normal distribution cut off there.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from samples.science.arguments import alike, finite, not_negative
from samples.science.errors import CannotEstimate
from samples.science.growth.fit import FEWEST_FISH, Curve, checked, find_curve
from samples.science.growth.profile import Floats

# Values of a curve and the spread about it.
VALUES = 4
LEAST_SPREAD, MOST_SPREAD = 0.005, 0.6
FARTHEST = 3.0
# So many standard deviations out the share above has hardly any digits left.
FAR_OUT = 1e4
# No growth of fish is known outside these, per year; they only keep the search from running away.
SLOWEST, FASTEST = 1e-3, 20.0


class GrowthForm(StrEnum):
    """The form of a growth curve, each with a length, a rate and a time."""

    VON_BERTALANFFY = "von Bertalanffy"
    GOMPERTZ = "Gompertz"
    LOGISTIC = "logistic"


@dataclass(frozen=True, slots=True)
class FormFit:
    """A curve of some form, by maximum likelihood.

    Attributes
    ----------
    form : GrowthForm
    linf_mm, k, t0 : float
        Linf in mm, K per year, and t0: of von Bertalanffy the age at no length, of the others the
        age of fastest growth, years.
    cv : float
        Standard deviation of length at age over its mean.
    aicc : float
        Akaike's criterion, corrected for few fish, by the effective number of fish.
    n : int
    n_effective : float
        Equally weighted fish that would weigh as much, ``(sum w)^2 / sum w^2``.
    """

    form: GrowthForm
    linf_mm: float
    k: float
    t0: float
    cv: float
    aicc: float
    n: int
    n_effective: float

    @property
    def curve(self) -> Curve:
        """Return it as a von Bertalanffy curve, whose form it must have."""
        if self.form is not GrowthForm.VON_BERTALANFFY:
            raise ValueError("only a von Bertalanffy fit is such a curve")
        return Curve(self.linf_mm, self.k, self.t0)

    def length_at(self, times: npt.ArrayLike) -> Floats:
        """Return the mean length in mm at these times in years."""
        values = np.array([np.log(self.linf_mm), np.log(self.k), self.t0])
        return _mean_and_slopes(self.form, values, np.asarray(times, dtype=np.float64))[0]


def fit_form(
    times: npt.ArrayLike,
    lengths_mm: npt.ArrayLike,
    *,
    weights: npt.ArrayLike | None = None,
    kept_from_mm: npt.ArrayLike | None = None,
    form: GrowthForm = GrowthForm.VON_BERTALANFFY,
    fewest: int = FEWEST_FISH,
) -> FormFit:
    """Fit a curve to lengths at times, some of fish that were kept from a length on [1]_, [2]_.

    Parameters
    ----------
    times, lengths_mm, weights
        As for `fit_curve`.
    kept_from_mm : array_like, shape (fish,), optional
        The length from which fish like it were kept, in mm; 0 where fish of every length were.
    form : GrowthForm
    fewest : int
        Fewest fish that a fit is made of.

    Returns
    -------
    FormFit

    Raises
    ------
    ValueError
        As `fit_curve`; if a length is below the one it was kept from.
    CannotEstimate
        As `fit_curve`; no_convergence.

    References
    ----------
    .. [1] Taylor, Walters & Martell (2005) and Schueller et al. (2014) for the likelihood that
       is cut off where fish begin to be kept.
    .. [2] Burnham & Anderson (2002), Model Selection, for AICc.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.likelihood import fit_form
    >>> times = np.tile([1.2, 2.2, 3.2, 4.2, 5.2, 6.2], 5)
    >>> lengths = 350 * (1 - np.exp(-0.4 * times)) * np.random.default_rng(1).normal(1, 0.05, 30)
    >>> found = fit_form(times, lengths)
    >>> round(found.linf_mm), round(found.k, 2), round(found.cv, 3)
    (361, 0.38, 0.036)
    """
    from scipy.optimize import minimize

    time, length, weight = checked(times, lengths_mm, weights, fewest=fewest)
    kept = np.zeros_like(length) if kept_from_mm is None else not_negative(kept_from_mm, "kept")
    alike(lengths_mm=length, kept_from_mm=kept)
    if (length < kept).any():
        raise ValueError("lengths_mm must not be below kept_from_mm")
    start = _start(form, time, length, weight, fewest)
    scale = np.array([1.0, 1.0, max(float(np.ptp(time)), 1.0), 1.0])
    bounds = [
        (start[0] - FARTHEST, start[0] + FARTHEST),
        (np.log(SLOWEST), np.log(FASTEST)),
        (-20.0 / scale[2], 20.0 / scale[2]),
        (np.log(LEAST_SPREAD), np.log(MOST_SPREAD)),
    ]

    def cost(scaled: Floats) -> tuple[float, Floats]:
        value, slopes = _minus_log_likelihood(form, scaled * scale, time, length, weight, kept)
        return value, slopes * scale

    found = minimize(cost, start / scale, jac=True, method="L-BFGS-B", bounds=bounds)
    values = found.x * scale
    if not np.isfinite(found.fun):
        raise CannotEstimate("no_convergence", "The search for a growth curve found no end.")
    effective = float(weight.sum() ** 2 / (weight @ weight))
    log_likelihood = -float(found.fun) * effective
    return FormFit(
        form=form,
        linf_mm=float(np.exp(values[0])),
        k=float(np.exp(values[1])),
        t0=float(values[2]),
        cv=float(np.exp(values[3])),
        aicc=_aicc(log_likelihood, effective),
        n=int(time.size),
        n_effective=effective,
    )


def _aicc(log_likelihood: float, n: float) -> float:
    left = max(n - VALUES - 1, 1.0)
    return -2 * log_likelihood + 2 * VALUES + 2 * VALUES * (VALUES + 1) / left


def _start(form: GrowthForm, time: Floats, length: Floats, weight: Floats, fewest: int) -> Floats:
    """Return where the search begins: the least squares of von Bertalanffy, or near them."""
    curve = find_curve(time, length, weights=weight, fewest=fewest)
    mean = np.maximum(curve.length_at(time), 1.0)
    cv = float(np.sqrt(np.average((length / mean - 1) ** 2, weights=weight)))
    cv = min(max(cv, 2 * LEAST_SPREAD), MOST_SPREAD / 2)
    whole, k, zero = min(curve.linf_mm, 3 * float(length.max())), curve.k, 0.0
    if form is GrowthForm.VON_BERTALANFFY:
        zero = curve.t0
    else:
        k = 1.5 * k
        # Growth is fastest at exp(-1) of Linf by Gompertz, at half of it by the logistic.
        part = np.exp(-1.0) if form is GrowthForm.GOMPERTZ else 0.5
        zero = curve.t0 - np.log1p(-part) / curve.k
    return np.array([np.log(whole), np.log(max(k, 2 * SLOWEST)), np.clip(zero, -9, 9), np.log(cv)])


def _mean_and_slopes(form: GrowthForm, values: Floats, time: Floats) -> tuple[Floats, Floats]:
    """Return mean lengths and their derivatives by log Linf, log K and t0: (fish,), (fish, 3)."""
    whole, k, zero = np.exp(values[0]), np.exp(values[1]), values[2]
    turn = np.clip(k * (time - zero), -30, 700)
    left = np.exp(-turn)
    if form is GrowthForm.VON_BERTALANFFY:
        mean, by_turn = whole * -np.expm1(-turn), whole * left
    elif form is GrowthForm.GOMPERTZ:
        mean = whole * np.exp(-np.minimum(left, 600))
        by_turn = mean * left
    else:
        mean = whole / (1 + left)
        by_turn = mean * left / (1 + left)
    return mean, np.column_stack([mean, by_turn * turn, -by_turn * k])


def hazard(z: npt.ArrayLike) -> Floats:
    """Return the density of the standard normal over the share above it.

    Parameters
    ----------
    z : ndarray
        Where a standard normal distribution is cut.

    Returns
    -------
    ndarray
        The mean of what lies above, of the shape of ``z``.

    Raises
    ------
    ValueError
        If a number is not finite.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.likelihood import hazard
    >>> hazard(np.array([-1.0, 0.0, 2.0])).round(3)
    array([0.288, 0.798, 2.373])
    """
    from scipy.special import log_ndtr

    at = finite(z, "z", ndim=None)
    near = np.minimum(at, FAR_OUT)
    value: Floats = np.exp(-0.5 * near**2 - 0.5 * np.log(2 * np.pi) - log_ndtr(-near))
    # Far out it is the distance itself.
    return np.where(at > FAR_OUT, at, value)


def _minus_log_likelihood(
    form: GrowthForm, values: Floats, time: Floats, length: Floats, weight: Floats, kept: Floats
) -> tuple[float, Floats]:
    """Return minus the mean log likelihood of a fish, and its derivatives."""
    from scipy.special import log_ndtr

    cv = np.exp(values[3])
    raw, slopes = _mean_and_slopes(form, values[:3], time)
    # Below no length there is no fish; a hair above keeps the search going.
    mean = np.maximum(raw, 1.0)
    slopes = np.where((raw > 1.0)[:, None], slopes, 0.0)
    off = length / mean - 1
    z = np.where(kept > 0, kept / mean - 1, -np.inf) / cv
    cut = kept > 0
    above = np.zeros_like(mean)
    above[cut] = log_ndtr(-z[cut])
    log_density = -np.log(cv * mean) - 0.5 * (off / cv) ** 2 - 0.5 * np.log(2 * np.pi) - above
    lost = np.zeros_like(mean)
    lost[cut] = hazard(z[cut])
    by_mean = -1 / mean + off / cv**2 * length / mean**2 - lost * kept / (cv * mean**2)
    by_log_cv = -1 + (off / cv) ** 2 - lost * np.where(cut, z, 0.0)
    share = weight / weight.sum()
    gradient = np.append((share * by_mean) @ slopes, share @ by_log_cv)
    return -float(share @ log_density), -gradient
