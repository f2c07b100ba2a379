"""What is known of each arm: measured and aged fish, and what others lead one to expect."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import minimize_scalar
from scipy.special import gammaln

from samples.science.arguments import Floats, at_least, not_negative, positive
from samples.science.errors import CannotEstimate

# Of what the fish of a bin are expected to be, this much goes over from one bin to the next.
FROM_NEXT_BIN = 0.1
# A prior is worth one to ten fish: less would leave an empty cell without an answer, more would
# let other arms speak louder than ten fish of the arm itself.
LEAST_PRIOR, MOST_PRIOR, USUAL_PRIOR = 1.0, 10.0, 2.0
# Below so many cells with two fish and more, how alike arms are is not estimated.
FEWEST_CELLS = 10


@dataclass(frozen=True, slots=True, eq=False)
class Survey:
    """Aged and measured fish of the arms of a lake, in the same bins and ages.

    Attributes
    ----------
    aged : (arms, bins) float array
        Aged fish, n_i.
    effective : (arms, bins) float array
        What they are worth in independent fish (`effective_number`), e_i.
    length_shares : (arms, bins) float array
        Measured fish of each bin over all those of the arm, l_i.
    measured_effective : (arms,) float array
        Independent fish that the arm's length sample is worth, N.
    shares : (arms, bins, ages) float array
        Expected share of each age in a bin, r_ij = (a q_ij + e_i n_ij / n_i) / A_i.
    information : (arms, bins) float array
        Fish that stand behind them, A_i = a + e_i.
    prior_weight : float
        Fish that the prior shares q_ij are worth, a.
    mid_lengths : (bins,) float array
        Middle of each bin in mm, L_i.
    ages : (ages,) int array
        Whole years.
    """

    aged: Floats
    effective: Floats
    length_shares: Floats
    measured_effective: Floats
    shares: Floats
    information: Floats
    prior_weight: float
    mid_lengths: Floats
    ages: np.ndarray

    @property
    def variance_of_shares(self) -> Floats:
        """Return r_ij (1 - r_ij) / (A_i + 1), the variance of a Dirichlet; (arms, bins, ages)."""
        spread = self.shares * (1 - self.shares) / (self.information + 1)[:, :, None]
        return np.asarray(spread, dtype=np.float64)


def prior_shares(others: ArrayLike, *, from_next_bin: float = FROM_NEXT_BIN) -> Floats:
    """Return what ages a bin's fish are expected to be, by fish of other arms and seasons.

    Each bin has the counts of its own length, and those of the bins beside it by a weight that
    falls to a tenth from bin to bin: it decides nothing where others aged fish of that length,
    and everything where nobody did.

    Parameters
    ----------
    others : (bins, ages) array
        Aged fish elsewhere, as counts that may be weighted.
    from_next_bin : float
        Weight of the next bin over that of the bin itself, from 0 to 1.

    Returns
    -------
    (bins, ages) ndarray
        Shares q_ij that add up to one in each bin.

    Raises
    ------
    ValueError
        If a count is negative or not finite, or the weight is not from 0 to 1.
    CannotEstimate
        no_fish.

    Examples
    --------
    >>> from samples.science.worth.survey import prior_shares
    >>> prior_shares([[4, 0], [0, 0], [1, 3]]).round(2)
    array([[0.99, 0.01],
           [0.62, 0.38],
           [0.26, 0.74]])
    """
    counts = not_negative(others, "others", ndim=2)
    if not 0 <= from_next_bin <= 1:
        raise ValueError("from_next_bin must be from 0 to 1")
    if not counts.sum():
        raise CannotEstimate("no_fish", "No fish of this species has an age yet.")
    places = np.arange(len(counts))
    # Never quite 0, so that a bin far from any aged fish still has shares.
    weights = np.maximum(from_next_bin, 1e-6) ** np.minimum(np.abs(places[:, None] - places), 40)
    spread = weights @ counts
    return np.asarray(spread / spread.sum(axis=1, keepdims=True), dtype=np.float64)


def fit_prior_weight(counts: ArrayLike, prior: ArrayLike) -> float:
    """Estimate how many fish of the arm itself the prior is worth.

    Counts of a cell are Dirichlet-multinomial about its prior, with one weight a for all cells,
    found by maximum likelihood between 1 and 10 fish: arms that differ make it small, arms that
    are alike make it large. With fewer than 10 cells of two aged fish or more it is 2.

    Parameters
    ----------
    counts : (cells, ages) array
        Aged fish of each cell, n_ij.
    prior : (cells, ages) array
        Shares expected from others, q_ij.

    Returns
    -------
    float
        a, in fish.

    Raises
    ------
    ValueError
        If shapes differ, or a number is negative or not finite.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.worth.survey import fit_prior_weight
    >>> prior = np.full((12, 2), 0.5)
    >>> fit_prior_weight(np.tile([[9, 0], [0, 9]], (6, 1)), prior)
    1.0
    >>> fit_prior_weight(np.tile([[5, 5], [4, 6]], (6, 1)), prior)
    10.0
    """
    fish = not_negative(counts, "counts", ndim=2)
    expected = not_negative(prior, "prior", ndim=2)
    if fish.shape != expected.shape:
        raise ValueError("counts and prior must have one shape")
    told = fish.sum(axis=1) >= 2
    if told.sum() < FEWEST_CELLS:
        return USUAL_PRIOR
    fit = minimize_scalar(
        _less_likely(fish[told], expected[told]),
        bounds=(np.log(LEAST_PRIOR), np.log(MOST_PRIOR)),
        method="bounded",
    )
    # The search never comes to the ends themselves.
    return float(np.clip(round(float(np.exp(fit.x)), 2), LEAST_PRIOR, MOST_PRIOR))


def _less_likely(fish: Floats, prior: Floats) -> Callable[[float], float]:
    """Return minus the log likelihood of the log of the weight."""
    n = fish.sum(axis=1)
    share = np.maximum(prior, 1e-9)

    def cost(log_weight: float) -> float:
        a = float(np.exp(log_weight))
        cells = gammaln(a) - gammaln(a + n)
        ages = gammaln(a * share + fish) - gammaln(a * share)
        return -float(cells.sum() + ages.sum())

    return cost


def survey_of(
    counts: ArrayLike,
    measured: ArrayLike,
    prior: ArrayLike,
    *,
    mid_lengths: ArrayLike,
    ages: ArrayLike,
    prior_weight: float,
    effective: ArrayLike | None = None,
    measured_effective: ArrayLike | None = None,
) -> Survey:
    """Put what is known of the arms together.

    Parameters
    ----------
    counts : (arms, bins, ages) array
        Aged fish, n_ij.
    measured : (arms, bins) array
        Measured fish, N_i: a random sample of the arm's lengths. Each arm has some.
    prior : (arms, bins, ages) array
        Shares expected from others, q_ij (`prior_shares`).
    mid_lengths : (bins,) array
        Middle of each bin in mm, L_i.
    ages : (ages,) array
        Whole years.
    prior_weight : float
        Fish that the prior is worth, a, above 0 (`fit_prior_weight`).
    effective : (arms, bins) array, optional
        Independent fish that the aged ones are worth, e_i; as many as there are where not given.
    measured_effective : (arms,) array, optional
        Independent fish that the measured ones are worth; as many as there are where not given.

    Returns
    -------
    Survey

    Raises
    ------
    ValueError
        If shapes do not match, a number is negative or not finite, or the weight not above 0.
    CannotEstimate
        no_measured_fish: an arm has no length sample.

    Examples
    --------
    >>> from samples.science.worth.survey import survey_of
    >>> found = survey_of(
    ...     [[[3, 1], [0, 0]]], [[8, 12]], [[[0.5, 0.5], [0.1, 0.9]]],
    ...     mid_lengths=[212, 237], ages=[2, 3], prior_weight=2,
    ... )
    >>> found.shares.round(2)
    array([[[0.67, 0.33],
            [0.1 , 0.9 ]]])
    """
    fish = not_negative(counts, "counts", ndim=3)
    lengths = not_negative(measured, "measured", ndim=2)
    expected = not_negative(prior, "prior", ndim=3)
    middles = positive(mid_lengths, "mid_lengths")
    years = not_negative(ages, "ages").astype(np.int64)
    at_least(prior_weight, 0.01, "prior_weight")
    arms, bins, columns = fish.shape
    aged = fish.sum(axis=2)
    worth = aged if effective is None else not_negative(effective, "effective", ndim=2)
    total = lengths.sum(axis=1)
    known = (
        total
        if measured_effective is None
        else not_negative(measured_effective, "measured_effective")
    )
    shapes = (lengths.shape, expected.shape, middles.shape, years.shape, worth.shape, known.shape)
    if shapes != ((arms, bins), fish.shape, (bins,), (columns,), (arms, bins), (arms,)):
        raise ValueError("counts, measured, prior, bins and ages must match")
    if not total.size or not total.all() or not known.all():
        raise CannotEstimate("no_measured_fish", "An arm has no length sample.")
    if expected.size and not np.allclose(expected.sum(axis=2), 1):
        raise ValueError("prior shares must add up to 1 in each cell")
    seen = fish / np.maximum(aged, 1)[:, :, None]
    # What no fish of the cell was seen to be is the prior's alone.
    informed = np.where(aged > 0, worth, 0.0)
    information = prior_weight + informed
    shares = (prior_weight * expected + informed[:, :, None] * seen) / information[:, :, None]
    return Survey(
        aged=aged,
        effective=informed,
        length_shares=lengths / total[:, None],
        measured_effective=known,
        shares=shares,
        information=information,
        prior_weight=float(prior_weight),
        mid_lengths=middles,
        ages=years,
    )
