"""Age structure of the measured fish, by the key, with variance and interval."""

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from samples.science.age_length_key.inputs import (
    Floats,
    Ints,
    counts_of,
    fixed,
    needs_measured,
    needs_two_ages,
)
from samples.science.age_length_key.observed import (
    PRIOR_WEIGHT,
    AgeLengthKey,
    Shares,
    softened_shares,
)
from samples.science.arguments import alike, not_negative, share

CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True, eq=False)
class AgeStructure:
    """How many of the measured fish are of each age.

    Shares are of all the measured fish: with `share_no_age_known` they add up to one.

    Attributes
    ----------
    ages : (ages,) int array
        Whole years.
    numbers, shares : (ages,) float array
        Measured fish of each age, and their share.
    variance_from_ages, variance_from_lengths : (ages,) float array
        What the variance of a share owes to the number of aged and of measured fish.
    standard_errors, lower, upper : (ages,) float array
        Of the shares.
    measured : int
        Measured fish in all, N.
    no_age_known : int
        Measured fish in bins without aged ones.
    share_no_age_known : float
    """

    ages: Ints
    numbers: Floats
    shares: Floats
    variance_from_ages: Floats
    variance_from_lengths: Floats
    standard_errors: Floats
    lower: Floats
    upper: Floats
    measured: int
    no_age_known: int
    share_no_age_known: float


def age_structure(
    key: AgeLengthKey, *, confidence: float = CONFIDENCE, prior_weight: float = PRIOR_WEIGHT
) -> AgeStructure:
    """Return the measured fish at the ages of their bins, as shares [1]_.

    With l_i = N_i / N and r_ij = n_ij / n_i the share of age j is p_j = sum_i l_i r_ij, and

        Var(p_j) = sum_i [ l_i^2 r_ij (1 - r_ij) / (n_i - 1) + l_i (r_ij - p_j)^2 / N ].

    Three things are ours. A bin whose fish are all of one age has `softened_shares` in the
    first term, since it is not certain. A bin with a single aged fish has those, divided by
    1, since n_i - 1 is 0. A bin without aged fish counts as an age of its own, "no age
    known". The interval is normal on the log odds of the share, so that it stays between 0
    and 1; an age that no fish had is 0 to 0. It takes fish as drawn one by one: fish of a
    party are alike, and `resample_parties` shows what that costs.

    Parameters
    ----------
    key : AgeLengthKey
    confidence : float
        Of the interval.
    prior_weight : float
        Of `softened_shares`; with 0 the formula is as published.

    Returns
    -------
    AgeStructure

    Raises
    ------
    ValueError
        If the confidence is not between 0 and 1, or the prior weight negative.
    CannotEstimate
        no_measured_fish, no_shared_bins, one_age.

    References
    ----------
    .. [1] Quinn & Deriso (1999), Quantitative Fish Dynamics, after Kimura (1977), J. Fish. Res.
       Board Can. 34:317-324, who divides by n_i.

    Examples
    --------
    >>> from samples.science.age_length_key import key_from_counts
    >>> from samples.science.age_length_key.structure import age_structure
    >>> key = key_from_counts([[3, 1], [1, 4]], [8, 10], lower_edges=[200, 225], ages=[2, 3])
    >>> found = age_structure(key)
    >>> found.shares.round(2), found.lower.round(2), found.upper.round(2)
    (array([0.44, 0.56]), array([0.17, 0.25]), array([0.75, 0.83]))
    """
    needs_measured(key.measured, key.aged)
    needs_two_ages(key.counts)
    total = int(key.measured.sum())
    of_bin = (key.measured / total)[:, None]
    numbers = numbers_at_age(key, key.measured)
    shares = numbers / total
    soft = softened_shares(key, prior_weight=prior_weight)
    fewer = np.maximum(key.aged - 1, 1)[:, None]
    from_ages = (of_bin**2 * soft * (1 - soft) / fewer).sum(axis=0)
    from_lengths = (of_bin * (key.shares - shares) ** 2 / total).sum(axis=0)
    errors = np.sqrt(from_ages + from_lengths)
    lower, upper = log_odds_interval(shares, errors, confidence)
    return AgeStructure(
        ages=key.ages,
        numbers=fixed(numbers),
        shares=fixed(shares),
        variance_from_ages=fixed(from_ages),
        variance_from_lengths=fixed(from_lengths),
        standard_errors=fixed(errors),
        lower=fixed(lower),
        upper=fixed(upper),
        measured=total,
        no_age_known=key.no_age_known,
        share_no_age_known=key.no_age_known / total,
    )


def numbers_at_age(key: Shares, measured: ArrayLike) -> Floats:
    """Spread measured fish over ages, sum_i N_i r_ij, by an observed or a smoothed key.

    Fish of bins that the key does not know are in no age: `key.known` says which.

    Parameters
    ----------
    key : AgeLengthKey or SmoothedKey
    measured : (bins,) array
        Measured fish of each bin of the key.

    Returns
    -------
    (ages,) float array

    Raises
    ------
    ValueError
        If measured has not one whole count, zero or more, for each bin.

    Examples
    --------
    >>> from samples.science.age_length_key import key_from_counts
    >>> from samples.science.age_length_key.structure import numbers_at_age
    >>> key = key_from_counts([[3, 1], [1, 4]], [8, 10], lower_edges=[200, 225], ages=[2, 3])
    >>> numbers_at_age(key, [8, 10])
    array([ 8., 10.])
    """
    fish = counts_of(measured, 1)
    if fish.size != key.lower_edges.size:
        msg = "measured fish are needed for each bin of the key"
        raise ValueError(msg)
    return np.asarray(fish @ key.shares, dtype=np.float64)


def log_odds_interval(shares: Floats, errors: Floats, confidence: float) -> tuple[Floats, Floats]:
    """Return p / (p + (1 - p) exp(+-z se / (p (1 - p)))), or p itself where it is 0 or 1.

    Parameters
    ----------
    shares, errors : ndarray, shape (shares,)
        Shares and their standard errors.
    confidence : float
        Between 0 and 1.

    Returns
    -------
    lower, upper : ndarray, shape (shares,)
        Ends of the intervals.

    Raises
    ------
    ValueError
        If shapes differ, a share is not between 0 and 1, an error is negative, or the confidence
        not between 0 and 1.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.age_length_key.structure import log_odds_interval
    >>> lower, upper = log_odds_interval(np.array([0.2, 0.5]), np.array([0.05, 0.05]), 0.95)
    >>> lower.round(3), upper.round(3)
    (array([0.119, 0.403]), array([0.316, 0.597]))
    """
    shares, errors = not_negative(shares, "shares"), not_negative(errors, "errors")
    alike(shares=shares, errors=errors)
    if (shares > 1).any():
        raise ValueError("shares must be at most 1")
    share(confidence, "confidence")
    spread = shares * (1 - shares)
    inside = spread > 0
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    # A share near 0 of a wide bin can make the odds overflow; by 700 the edge is reached.
    reach = np.minimum(z * errors / np.where(inside, spread, 1), 700.0)
    lower = np.where(inside, shares / (shares + (1 - shares) * np.exp(reach)), shares)
    upper = np.where(inside, shares / (shares + (1 - shares) * np.exp(-reach)), shares)
    return lower, upper
