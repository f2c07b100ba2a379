"""How well the ages of an arm are known, and what one more aged fish of a cell takes off."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from samples.science.arguments import Floats, finite, not_negative, positive
from samples.science.errors import CannotEstimate
from samples.science.worth.survey import Survey

# A mean length is planned for where at least this share of an arm's fish are of the age.
LEAST_SHARE = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class ArmPrecision:
    """How well age shares and mean lengths at age are known, arm by arm.

    Attributes
    ----------
    shares : (arms, ages) float array
        p_j, expected share of each age.
    share_variance : (arms, ages) float array
        Var(p_j), of both stages.
    mean_cv : (arms,) float array
        Mean weighted CV of the shares, sum_j SE(p_j): each age's CV by its share.
    mean_length : (arms, ages) float array
        mu_j in mm; 0 at ages that are not planned for there.
    length_variance : (arms, ages) float array
        Var(mu_j) in square mm; 0 likewise.
    length_weights : (arms, ages) float array
        p_j over the sum of those planned for; 0 likewise.
    """

    shares: Floats
    share_variance: Floats
    mean_cv: Floats
    mean_length: Floats
    length_variance: Floats
    length_weights: Floats

    @property
    def length_error(self) -> Floats:
        """Return the standard error of mean length in mm, root mean square by share; (arms,)."""
        mean = (self.length_weights * self.length_variance).sum(axis=1)
        return np.asarray(np.sqrt(mean), dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class CellWorth:
    """What the cells owe, and what one more fish pays.

    Attributes
    ----------
    from_shares : (arms, bins) float array
        What the cell adds to the variance of the arm's age shares, summed over ages and as a
        part of that of all arms and both stages.
    from_lengths : (arms, bins) float array
        Likewise to the variance of mean length at the ages planned for, each by its share.
    information : (arms, bins) float array
        Fish behind the cell now, A_i.
    from_limit : (arms, bins) float array, optional
        Likewise to the width of the answer about a length limit (`limit_worth`).
    """

    from_shares: Floats
    from_lengths: Floats
    information: Floats
    from_limit: Floats | None = None

    def owed(self, *, lengths_weight: float, limit_weight: float = 0.0) -> Floats:
        """Return all together, (1 - v) ((1 - w) shares + w lengths) + v limit."""
        mixed = (1 - lengths_weight) * self.from_shares + lengths_weight * self.from_lengths
        if self.from_limit is not None:
            mixed = (1 - limit_weight) * mixed + limit_weight * self.from_limit
        return np.asarray(mixed, dtype=np.float64)

    def taken_off(
        self, more: ArrayLike, *, lengths_weight: float, limit_weight: float = 0.0
    ) -> Floats:
        """Return what so many more independent fish of each cell take off; (arms, bins).

        Parameters
        ----------
        more : (arms, bins) array or float
            Independent fish, d.
        lengths_weight, limit_weight : float
            w and v, from 0 to 1.
        """
        fish = not_negative(more, "more", ndim=None)
        gone = fish / (self.information + fish)
        owed = self.owed(lengths_weight=lengths_weight, limit_weight=limit_weight)
        return np.asarray(owed * gone, dtype=np.float64)


def arm_precision(
    survey: Survey, *, ages_planned: ArrayLike, more: ArrayLike | None = None
) -> ArmPrecision:
    """Return how well the arms' age shares and mean lengths are known, or would be.

    Two stages [1]_, [2]_: N measured fish give the shares of the length bins, the aged fish
    among them the ages of a bin, whose shares are Dirichlet with A_i fish behind them:

        p_j = sum_i l_i r_ij,
        Var(p_j) = sum_i [ l_i^2 r_ij (1 - r_ij) / (A_i + 1) + l_i (r_ij - p_j)^2 / N ],
        mu_j = sum_i l_i r_ij L_i / p_j,
        Var(mu_j) = sum_i [ l_i^2 (L_i - mu_j)^2 r_ij (1 - r_ij) / (A_i + 1)
                            + l_i r_ij^2 (L_i - mu_j)^2 / N ] / p_j^2.

    With d more independent fish of a cell, of whatever ages they turn out to be, the variance
    of its r_ij is expected to fall to A_i / (A_i + d) of what it is: exactly so for a Dirichlet,
    by the law of total variance.

    Parameters
    ----------
    survey : Survey
    ages_planned : (ages planned,) array
        Ages, in years, whose mean length matters. Those with under 1% of an arm's fish are left
        out there.
    more : (arms, bins) array, optional
        Independent fish read on top, d; none where not given.

    Returns
    -------
    ArmPrecision

    Raises
    ------
    ValueError
        If a number is negative or not finite, or more has not one number for each cell.

    References
    ----------
    .. [1] Quinn & Deriso (1999), Quantitative Fish Dynamics, section 8.2, after Kimura (1977),
       J. Fish. Res. Board Can. 34:317-324. They divide by n_i - 1 and n_i, with no prior.
    .. [2] Bettoli & Miranda (2001), N. Am. J. Fish. Manage. 21:425-428, for mean length at age
       from a length-stratified sample.

    Examples
    --------
    >>> from samples.science.worth import arm_precision, survey_of
    >>> found = survey_of(
    ...     [[[3, 1], [1, 4]]], [[8, 12]], [[[0.5, 0.5], [0.1, 0.9]]],
    ...     mid_lengths=[212, 237], ages=[2, 3], prior_weight=2,
    ... )
    >>> now = arm_precision(found, ages_planned=[2, 3])
    >>> then = arm_precision(found, ages_planned=[2, 3], more=[[0, 10]])
    >>> now.mean_cv.round(2), then.mean_cv.round(2)
    (array([0.24]), array([0.21]))
    """
    planned = finite(ages_planned, "ages_planned")
    fish = np.zeros_like(survey.aged) if more is None else not_negative(more, "more", ndim=2)
    if fish.shape != survey.aged.shape:
        raise ValueError("more must have one number for each cell")
    of_bin, r = survey.length_shares[:, :, None], survey.shares
    left = (survey.information / (survey.information + fish))[:, :, None]
    variance = survey.variance_of_shares * left
    n = survey.measured_effective[:, None]
    p = (of_bin * r).sum(axis=1)
    from_ages = (of_bin**2 * variance).sum(axis=1)
    from_lengths = (of_bin * (r - p[:, None, :]) ** 2).sum(axis=1) / n
    of_shares = from_ages + from_lengths
    matters = np.isin(survey.ages, planned) & (p >= LEAST_SHARE)
    away, mean = _away(survey, p)
    squared = ((of_bin * away) ** 2 * variance).sum(axis=1)
    squared += (of_bin * (r * away) ** 2).sum(axis=1) / n
    of_mean = np.where(matters, squared / np.maximum(p, LEAST_SHARE) ** 2, 0.0)
    weights = np.where(matters, p, 0.0)
    return ArmPrecision(
        shares=p,
        share_variance=of_shares,
        mean_cv=np.sqrt(of_shares).sum(axis=1),
        mean_length=np.where(matters, mean, 0.0),
        length_variance=of_mean,
        length_weights=weights / np.maximum(weights.sum(axis=1, keepdims=True), LEAST_SHARE),
    )


def worth_of_cells(survey: Survey, *, ages_planned: ArrayLike) -> CellWorth:
    """Return what each cell adds to the variances, so that one more fish can be priced.

    Both are linear in the variance of a bin's age shares, so a cell's part falls by
    d / (A_i + d) with d more independent fish, whatever is done in the others. A fish of a new
    trip is one more independent fish; one of a trip that is there already is less
    (`effective_number`). Arms count alike.

    Parameters
    ----------
    survey : Survey
    ages_planned : (ages planned,) array
        As for `arm_precision`.

    Returns
    -------
    CellWorth

    Raises
    ------
    ValueError
        If an age is not finite.
    CannotEstimate
        one_age: all fish of all arms are of one age, so that nothing is left to learn.

    Examples
    --------
    >>> from samples.science.worth import survey_of, worth_of_cells
    >>> found = survey_of(
    ...     [[[3, 1], [1, 4]]], [[8, 12]], [[[0.5, 0.5], [0.1, 0.9]]],
    ...     mid_lengths=[212, 237], ages=[2, 3], prior_weight=2,
    ... )
    >>> worth = worth_of_cells(found, ages_planned=[2, 3])
    >>> (100 * worth.taken_off(1, lengths_weight=0)).round(1)
    array([[5. , 5.5]])
    """
    now = arm_precision(survey, ages_planned=ages_planned)
    of_bin, variance = survey.length_shares[:, :, None], survey.variance_of_shares
    all_shares = float(now.share_variance.sum())
    if all_shares <= 0:
        raise CannotEstimate("one_age", "All aged fish are of one age.")
    of_shares = (of_bin**2 * variance).sum(axis=2) / all_shares
    away, _ = _away(survey, now.shares)
    by_age = now.length_weights / np.maximum(now.shares, LEAST_SHARE) ** 2
    of_lengths = ((of_bin * away) ** 2 * variance * by_age[:, None, :]).sum(axis=2)
    all_lengths = float((now.length_error**2).sum())
    return CellWorth(
        from_shares=of_shares,
        from_lengths=of_lengths / all_lengths if all_lengths > 0 else of_lengths,
        information=positive(survey.information, "information", ndim=2),
    )


def _away(survey: Survey, shares: Floats) -> tuple[Floats, Floats]:
    """Return L_i - mu_j, (arms, bins, ages), and mu_j, (arms, ages), in mm."""
    weights = survey.length_shares[:, :, None] * survey.shares
    middles = survey.mid_lengths[None, :, None]
    mean = (weights * middles).sum(axis=1) / np.maximum(shares, 1e-12)
    return middles - mean[:, None, :], mean
