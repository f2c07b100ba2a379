"""A key smoothed over length: the age of a fish as a multinomial logit of its length."""

import warnings
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from samples.science.age_length_key.inputs import (
    Floats,
    Ints,
    Mask,
    ages_of,
    edges_of,
    fixed,
    lengths_of,
    same_length,
)
from samples.science.arguments import alike, finite, positive, whole
from samples.science.errors import CannotEstimate

FEWEST = 100
MOST_STEPS = 400


@dataclass(frozen=True, slots=True, eq=False)
class LogitFit:
    """A multinomial logit of a category on one measure.

    Attributes
    ----------
    categories : (categories,) int array
        The first is the one that the others are set against.
    coefficients : (categories - 1, 2) float array
        Intercept and slope of each other category's log odds.
    standard_errors : (categories - 1, 2) float array
    log_likelihood : float
    """

    categories: Ints
    coefficients: Floats
    standard_errors: Floats
    log_likelihood: float

    def shares(self, measures: ArrayLike) -> Floats:
        """Return the share of each category at each measure; shape (measures, categories)."""
        at = np.asarray(measures, dtype=np.float64)
        odds = np.column_stack([np.ones_like(at), at]) @ self.coefficients.T
        logs = np.column_stack([np.zeros(at.size), odds])
        grown = np.exp(logs - logs.max(axis=1, keepdims=True))
        return np.asarray(grown / grown.sum(axis=1, keepdims=True), dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class SmoothedKey:
    """Shares of ages at the middle of every bin, also of those without aged fish.

    Attributes
    ----------
    lower_edges : (bins,) float array
    ages : (ages,) int array
        Whole years; an age that no fish had has zeros.
    shares : (bins, ages) float array
    fit : LogitFit
        Of lengths in mm.
    """

    lower_edges: Floats
    ages: Ints
    shares: Floats
    fit: LogitFit

    @property
    def known(self) -> Mask:
        """Return that every bin is known; shape (bins,)."""
        return np.ones(self.lower_edges.size, dtype=np.bool_)


def multinomial_logit(categories: ArrayLike, measures: ArrayLike) -> LogitFit:
    """Fit a multinomial logit of a whole category on a measure [1]_, [2]_.

    Parameters
    ----------
    categories : (fish,) array of int
    measures : (fish,) array

    Returns
    -------
    LogitFit

    Raises
    ------
    ValueError
        If shapes differ, a category is not whole, or a measure is not finite.
    CannotEstimate
        one_age, same_length, no_convergence.

    References
    ----------
    .. [1] Gerritsen, McGrath & Lordan (2006), ICES J. Mar. Sci. 63:1096-1100, for keys.
    .. [2] Agresti (2013), Categorical Data Analysis, 8.1.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.age_length_key.smoothed import multinomial_logit
    >>> lengths = np.array([200, 205, 210, 215, 220, 225, 230, 235, 240, 245, 250, 255.0])
    >>> ages = np.array([1, 1, 1, 2, 1, 1, 2, 2, 1, 2, 2, 2])
    >>> multinomial_logit(ages, lengths).shares([210.0, 245.0]).round(2)
    array([[0.85, 0.15],
           [0.15, 0.85]])
    """
    from statsmodels.discrete.discrete_model import MNLogit

    category, measure = whole(categories, "categories"), finite(measures, "measures")
    alike(categories=category, measures=measure)
    found = np.unique(category)
    if found.size < 2:
        raise CannotEstimate("one_age", "All the aged fish are of one age.")
    if np.ptp(measure) == 0:
        raise CannotEstimate(
            "same_length", "All the aged fish are of one length: it tells no ages apart."
        )
    # Fitted on a standard scale, where the search is steady, and told on the measure's own.
    middle, scale = float(measure.mean()), float(measure.std())
    design = np.column_stack([np.ones_like(measure), (measure - middle) / scale])
    with warnings.catch_warnings():
        # What it warns of is asked of the result below, and answered in words.
        warnings.simplefilter("ignore")
        try:
            result: Any = MNLogit(np.searchsorted(found, category), design).fit(
                method="newton", maxiter=MOST_STEPS, disp=False
            )
            values = np.asarray(result.params, dtype=np.float64).T
            spread = np.asarray(result.cov_params(), dtype=np.float64)
        except np.linalg.LinAlgError:
            raise _no_convergence() from None
    # A variance below zero is what a search that ran away leaves behind.
    sound = np.isfinite(values).all() and np.isfinite(spread).all() and (np.diag(spread) > 0).all()
    if not (result.mle_retvals["converged"] and sound):
        raise _no_convergence()
    slopes = values[:, 1] / scale
    intercepts = values[:, 0] - middle * slopes
    to_own = np.array([[1.0, -middle / scale], [0.0, 1 / scale]])
    errors = np.empty_like(values)
    for place in range(values.shape[0]):
        block = spread[2 * place : 2 * place + 2, 2 * place : 2 * place + 2]
        errors[place] = np.sqrt(np.diag(to_own @ block @ to_own.T))
    return LogitFit(
        fixed(found),
        fixed(np.column_stack([intercepts, slopes])),
        fixed(errors),
        float(result.llf),
    )


def _no_convergence() -> CannotEstimate:
    return CannotEstimate(
        "no_convergence",
        "A smoothed key cannot be fitted: length parts these ages without overlap. Use the "
        "observed key.",
    )


def smoothed_key(
    lengths: ArrayLike, ages: ArrayLike, *, lower_edges: ArrayLike, bin_width: float
) -> SmoothedKey:
    """Smooth a key over length.

    Parameters
    ----------
    lengths : (fish,) array
        Lengths of the aged fish in mm.
    ages : (fish,) array
        Their ages in whole years.
    lower_edges : (bins,) array
        Lower edges of the bins in mm, rising.
    bin_width : float
        In mm; shares are those at the middle of each bin.

    Returns
    -------
    SmoothedKey

    Raises
    ------
    ValueError
        As `observed_key`; if the bin width is not above zero.
    CannotEstimate
        no_fish, no_bins, too_few_fish, one_age, same_length, no_convergence.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.age_length_key.smoothed import smoothed_key
    >>> rng = np.random.default_rng(1)
    >>> ages = np.repeat([1, 2], 60)
    >>> lengths = rng.normal(np.where(ages == 1, 210, 245), 12)
    >>> smoothed_key(lengths, ages, lower_edges=[200, 225, 250], bin_width=25).shares.round(2)
    array([[0.98, 0.02],
           [0.03, 0.97],
           [0.  , 1.  ]])
    """
    measure, years = lengths_of(lengths, "aged"), ages_of(ages)
    edges = edges_of(lower_edges)
    positive(bin_width, "bin_width", ndim=0)
    same_length(measure, years)
    if years.size < FEWEST:
        raise CannotEstimate(
            "too_few_fish",
            f"A smoothed key needs at least {FEWEST} aged fish; here are {years.size}.",
        )
    fit = multinomial_logit(years, measure)
    columns = np.arange(years.min(), years.max() + 1)
    shares = np.zeros((edges.size, columns.size))
    shares[:, fit.categories - columns[0]] = fit.shares(edges + bin_width / 2)
    return SmoothedKey(fixed(edges.copy()), fixed(columns), fixed(shares), fit)
