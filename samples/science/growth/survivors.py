"""Growth of fish of which anglers take the fast growers first.

A fish that is long for its age stays so, comes sooner to the length that anglers keep, and is
fished longer. Those alive at an age are the slower ones, and a curve of them lies below that of
all fish that were born. How far hangs on F, so the curve is found anew at several F.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import Floats, Ints, alike, not_negative, positive
from samples.science.errors import CannotEstimate
from samples.science.growth.fit import Curve, checked
from samples.science.growth.likelihood import (
    LEAST_SPREAD,
    MOST_SPREAD,
    FormFit,
    GrowthForm,
    fit_form,
)
from samples.science.growth.resample import Draws
from samples.science.growth.year_effects import DrawnCurve
from samples.science.quadrature import gauss_legendre

# Gauss-Legendre points over the fish that are long enough to be taken, and how many standard
# deviations of length at age they are followed.
POINTS, TAIL, SHORTEST = 20, 5.0, 0.05
# Times are rounded to this part of a year where it makes no difference.
STEPS = 20
# F at which the curve is found, as quantiles of its draws; between them it is interpolated.
NODES = (0.025, 0.25, 0.5, 0.75, 0.975)
FARTHEST = 1.5
# By how much a value is moved to see the slope of the likelihood.
STEP = 1e-8


@dataclass(frozen=True, slots=True, eq=False)
class BornFish:
    """Growth of all fish that were born, from the fish that anglers left.

    Attributes
    ----------
    grown : DrawnCurve
        The curve at the middle F, and draws, each at the F of the same draw.
    spread : float
        How much wider lengths at an age spread among all fish that were born, at the middle F:
        1 where alike.
    moves : (3, 1 + draws) float array
        Factors of Linf and of K and what is added to t0: at the middle F, then at each draw's.
    """

    grown: DrawnCurve
    spread: float
    moves: Floats

    def moved(self, left: DrawnCurve) -> DrawnCurve:
        """Move another curve of the same fish, such as that of other years, by as much."""
        return _moved(left, self.moves)


def fit_survivors(
    times: npt.ArrayLike,
    lengths_mm: npt.ArrayLike,
    *,
    f: float,
    fished_from_mm: float,
    weights: npt.ArrayLike | None = None,
    kept_from_mm: npt.ArrayLike | None = None,
    start: FormFit | None = None,
) -> FormFit:
    """Fit the curve of all fish that were born to the lengths of those that are left [1]_.

    Parameters
    ----------
    times, lengths_mm, weights, kept_from_mm
        As for `fit_form`.
    f : float
        F, per year, of fish over ``fished_from_mm``.
    fished_from_mm : float
        Length in mm from which anglers take fish.
    start : FormFit, optional
        Where the search begins.

    Returns
    -------
    FormFit
        ``aicc`` is that of the start: fits at one F are not compared with others.

    Raises
    ------
    ValueError
        As `fit_form`; if F is negative or the length not above zero.
    CannotEstimate
        no_convergence; or as `fit_form`.

    Notes
    -----
    Of a fish z times as long as the mean of its age, a share ``exp(-F (t - t_z))`` is left, t_z
    the age at which it came to ``fished_from_mm``. Natural death takes all alike.

    References
    ----------
    .. [1] Taylor, Walters & Martell (2005), Can. J. Fish. Aquat. Sci. 62:215-223.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.survivors import fit_survivors
    >>> times = np.tile([1.2, 2.2, 3.2, 4.2, 5.2, 6.2], 5)
    >>> lengths = 350 * (1 - np.exp(-0.4 * times)) * np.random.default_rng(1).normal(1, 0.05, 30)
    >>> found = fit_survivors(times, lengths, f=0.5, fished_from_mm=220)
    >>> left = fit_survivors(times, lengths, f=0.0, fished_from_mm=220)
    >>> bool(found.curve.length_at(6) > left.curve.length_at(6))
    True
    """
    from scipy.optimize import minimize

    time, length, weight = checked(times, lengths_mm, weights)
    kept = np.zeros_like(length) if kept_from_mm is None else not_negative(kept_from_mm, "kept")
    alike(lengths_mm=length, kept_from_mm=kept)
    not_negative(f, "f", ndim=0)
    positive(fished_from_mm, "fished_from_mm", ndim=0)
    first = start or fit_form(time, length, weights=weight, kept_from_mm=kept)
    costs = _costs(time, length, weight / weight.sum(), kept, f, fished_from_mm)
    values = np.array([np.log(first.linf_mm), np.log(first.k), first.t0, np.log(first.cv)])
    ends = [(value - FARTHEST, value + FARTHEST) for value in values]
    ends[3] = (np.log(LEAST_SPREAD), np.log(MOST_SPREAD))
    cost = _with_slopes(costs, np.array([end for _, end in ends]))
    found = minimize(cost, values, method="L-BFGS-B", jac=True, bounds=ends)
    if not np.isfinite(found.fun):
        raise CannotEstimate("no_convergence", "The search for a growth curve found no end.")
    whole, k, zero, cv = (float(value) for value in found.x)
    return FormFit(
        form=GrowthForm.VON_BERTALANFFY,
        linf_mm=float(np.exp(whole)),
        k=float(np.exp(k)),
        t0=zero,
        cv=float(np.exp(cv)),
        aicc=first.aicc,
        n=first.n,
        n_effective=first.n_effective,
    )


def born_fish(
    left: DrawnCurve,
    f: Floats,
    times: npt.ArrayLike,
    lengths_mm: npt.ArrayLike,
    *,
    fished_from_mm: float,
    weights: npt.ArrayLike | None = None,
    kept_from_mm: npt.ArrayLike | None = None,
) -> BornFish:
    """Move draws of a curve of the fish that are left to one of all that were born.

    Parameters
    ----------
    left : DrawnCurve
        Growth of the fish that are left.
    f : ndarray, shape (draws,)
        F, per year, of each draw.
    times, lengths_mm, fished_from_mm, weights, kept_from_mm
        As for `fit_survivors`.

    Returns
    -------
    BornFish

    Raises
    ------
    ValueError, CannotEstimate
        As `fit_survivors`; if draws differ in number.

    Notes
    -----
    Each draw moves by as much as the likeliest curve does at its F: log Linf, log K and t0.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.likelihood import fit_form
    >>> from samples.science.growth.resample import Draws
    >>> from samples.science.growth.survivors import born_fish
    >>> from samples.science.growth.year_effects import DrawnCurve
    >>> times = np.tile([1.2, 2.2, 3.2, 4.2, 5.2, 6.2], 5)
    >>> lengths = 350 * (1 - np.exp(-0.4 * times)) * np.random.default_rng(1).normal(1, 0.05, 30)
    >>> curve = fit_form(times, lengths).curve
    >>> draws = Draws(np.full(2, curve.linf_mm), np.full(2, curve.k), np.full(2, curve.t0), 2)
    >>> born = born_fish(
    ...     DrawnCurve(curve, draws), np.array([0.3, 0.5]), times, lengths, fished_from_mm=220
    ... )
    >>> bool(born.grown.curve.length_at(6) > curve.length_at(6))
    True
    """
    alike(f=not_negative(f, "f"), k=left.draws.k)
    first = fit_form(times, lengths_mm, weights=weights, kept_from_mm=kept_from_mm)
    nodes = np.unique(np.append(0.0, np.quantile(f, NODES)))
    fits = [first]
    for node in nodes[1:]:
        fits.append(
            fit_survivors(
                times,
                lengths_mm,
                f=float(node),
                fished_from_mm=fished_from_mm,
                weights=weights,
                kept_from_mm=kept_from_mm,
                start=fits[-1],
            )
        )

    wanted = np.append(np.median(f), f)
    of_each = [(np.log(one.linf_mm), np.log(one.k), one.t0) for one in fits]
    moves = np.array(of_each) - of_each[0]
    by_draw = np.array([np.interp(wanted, nodes, column) for column in moves.T])
    by_draw[:2] = np.exp(by_draw[:2])
    spread = float(np.interp(wanted[0], nodes, [one.cv for one in fits])) / first.cv
    return BornFish(_moved(left, by_draw), spread, by_draw)


def _moved(left: DrawnCurve, moves: Floats) -> DrawnCurve:
    whole, k, zero = moves
    curve, draws = left.curve, left.draws
    return DrawnCurve(
        Curve(
            float(curve.linf_mm * whole[0]),
            float(curve.k * k[0]),
            float(curve.t0 + zero[0]),
        ),
        Draws(
            draws.linf_mm * whole[1:],
            draws.k * k[1:],
            draws.t0 + zero[1:],
            draws.asked,
            draws.warnings,
        ),
    )


def _costs(
    time: Floats, length: Floats, share: Floats, kept: Floats, f: float, fished_from: float
) -> Callable[[Floats], Floats]:
    """Return minus the mean log likelihood of a fish as a function of several sets of values.

    Sets stand side by side, shape (values, sets): what takes time here is to begin, not to count.
    """
    from scipy.special import ndtr

    nodes, worth = gauss_legendre(POINTS)
    # What is left of all fish changes slowly with time: once for all fish of about one time.
    about = np.column_stack([np.round(time * STEPS) / STEPS, kept])
    (times, cuts), alike_fish = _distinct(about)

    def mean_at(values: Floats, when: Floats) -> Floats:
        since = when - values[2]
        mean = -np.exp(values[0]) * np.expm1(-np.exp(values[1]) * since)
        return np.asarray(np.maximum(mean, 1.0), dtype=np.float64)

    def fished(values: Floats, when: Floats, own: Floats, mean: Floats) -> Floats:
        """Return F times the years since fish so long for their age came to the length."""
        inside = np.minimum(fished_from / (own * np.exp(values[0])), 1 - 1e-12)
        years = when - values[2] + np.log1p(-inside) / np.exp(values[1])
        over = np.where(own * mean > fished_from, np.maximum(years, 0.0), 0.0)
        return np.asarray(f * over, dtype=np.float64)

    def there(values: Floats) -> Floats:
        """Return the share of a cohort that is left and may be seen, apart from natural death."""
        cv, mean = np.exp(values[3]), mean_at(values, times)
        lowest, highest = np.maximum(1 - TAIL * cv, SHORTEST), 1 + TAIL * cv
        seen = np.clip(cuts / mean, lowest, highest)
        taken = np.clip(fished_from / mean, seen, highest)
        untouched = ndtr((taken - 1) / cv) - ndtr((seen - 1) / cv)
        half = (highest - taken) / 2
        own = taken[:, None] + half[:, None] * (1 + nodes[:, None])
        gone = fished(values[..., None], times, own, mean[:, None])
        density = np.exp(-0.5 * ((own - 1) / cv[..., None]) ** 2 - gone)
        left = half * np.array([worth @ one for one in density]) / (cv * np.sqrt(2 * np.pi))
        return np.asarray(np.maximum(untouched + left, 1e-300), dtype=np.float64)

    def costs(values: Floats) -> Floats:
        values = values[..., None]
        cv, mean = np.exp(values[3]), mean_at(values, time)
        own = length / mean
        log_density = -np.log(cv * mean) - 0.5 * ((own - 1) / cv) ** 2 - 0.5 * np.log(2 * np.pi)
        log_density -= fished(values, time, own, mean) + np.log(there(values))[:, alike_fish]
        return -np.array([share @ one for one in log_density])

    return costs


def _with_slopes(
    costs: Callable[[Floats], Floats], highest: Floats
) -> Callable[[Floats], tuple[float, Floats]]:
    """Return a cost with its slopes, by a small step of each value, all of them at once."""

    def cost(values: Floats) -> tuple[float, Floats]:
        steps = np.where(values + STEP > highest, -STEP, STEP)
        sets = np.column_stack([values, values[:, None] + np.diag(steps)])
        here, *moved = costs(sets)
        return float(here), (np.array(moved) - here) / ((values + steps) - values)

    return cost


def _distinct(rows: Floats) -> tuple[Floats, Ints]:
    """Return the columns of the rows that differ, and the place of each row among them."""
    distinct, place = np.unique(rows, axis=0, return_inverse=True)
    return distinct.T, place.ravel()
