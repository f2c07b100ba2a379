"""What one more aged fish in a bin is worth to the age structure."""

from dataclasses import dataclass

import numpy as np

from samples.science.age_length_key.inputs import (
    Floats,
    Mask,
    fixed,
    needs_measured,
    needs_two_ages,
)
from samples.science.age_length_key.observed import PRIOR_WEIGHT, AgeLengthKey, softened_shares


@dataclass(frozen=True, slots=True, eq=False)
class WorthOfOneMore:
    """How much the next aged fish of each bin would tell.

    Attributes
    ----------
    lower_edges : (bins,) float array
        Lower edges in mm.
    gain : (bins,) float array
        Variance taken off, summed over ages; 0 where it cannot be told.
    told : (bins,) bool array
        Which bins have the two aged fish that a gain needs.
    order : (bins wanted,) float array
        Lower edges, the most wanted first: bins with measured fish and fewer than two aged
        ones, by measured fish; then the others by gain. Bins without gain are left out.
    """

    lower_edges: Floats
    gain: Floats
    told: Mask
    order: Floats


def worth_of_one_more(key: AgeLengthKey, *, prior_weight: float = PRIOR_WEIGHT) -> WorthOfOneMore:
    """Work out by how much one more aged fish in each bin shrinks the variance [1]_.

    The first term of the variance of `age_structure` falls by

        sum_j l_i^2 r_ij (1 - r_ij) [ 1 / (n_i - 1) - 1 / n_i ].

    Bins whose fish are all of one age have `softened_shares`: they would be worth nothing
    otherwise. A bin with no aged fish or one comes before all others, since nothing can be
    said of its spread.

    Parameters
    ----------
    key : AgeLengthKey
    prior_weight : float
        Of `softened_shares`.

    Returns
    -------
    WorthOfOneMore

    Raises
    ------
    ValueError
        If the prior weight is negative or not finite.
    CannotEstimate
        no_measured_fish, no_shared_bins, one_age.

    References
    ----------
    .. [1] The variance is that of Quinn & Deriso (1999), Quantitative Fish Dynamics.

    Examples
    --------
    >>> from samples.science.age_length_key import key_from_counts
    >>> from samples.science.age_length_key.worth import worth_of_one_more
    >>> key = key_from_counts([[3, 1], [1, 4]], [8, 10], lower_edges=[200, 225], ages=[2, 3])
    >>> worth_of_one_more(key).order
    array([200., 225.])
    """
    needs_measured(key.measured, key.aged)
    needs_two_ages(key.counts)
    soft = softened_shares(key, prior_weight=prior_weight)
    aged = np.maximum(key.aged, 2)
    of_bin = key.measured / key.measured.sum()
    told = key.aged >= 2
    spread = (soft * (1 - soft)).sum(axis=1)
    gain = np.where(told, of_bin**2 * spread * (1 / (aged - 1) - 1 / aged), 0.0)
    first = np.where(told, 0, key.measured)
    order = np.lexsort((-gain, -first))
    wanted = order[(gain > 0)[order] | (first > 0)[order]]
    return WorthOfOneMore(key.lower_edges, fixed(gain), fixed(told), fixed(key.lower_edges[wanted]))
