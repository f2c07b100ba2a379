"""The observed key: counts and shares of the aged fish, bin by age."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from samples.science.age_length_key.inputs import (
    Floats,
    Ints,
    Mask,
    ages_of,
    bins_of,
    counts_of,
    edges_of,
    fixed,
    lengths_of,
    same_length,
)
from samples.science.arguments import at_least
from samples.science.errors import CannotEstimate

# Jeffreys' weight of a category in a multinomial.
PRIOR_WEIGHT = 0.5


class Shares(Protocol):
    """Any key that says which share of a bin's fish is of which age."""

    @property
    def lower_edges(self) -> Floats: ...
    @property
    def ages(self) -> Ints: ...
    @property
    def shares(self) -> Floats: ...
    @property
    def known(self) -> Mask: ...


@dataclass(frozen=True, slots=True, eq=False)
class AgeLengthKey:
    """Aged fish by bin and age, with the measured fish of each bin.

    Attributes
    ----------
    lower_edges : (bins,) float array
        Lower edges in mm, each part of its bin; the last bin has no upper edge.
    ages : (ages,) int array
        Whole years, from the youngest to the oldest; an age in between that no fish had
        has a column of zeros.
    counts : (bins, ages) int array
        Aged fish, n_ij.
    measured : (bins,) int array
        Measured fish, N_i: a random sample of lengths of whatever is described.
    """

    lower_edges: Floats
    ages: Ints
    counts: Ints
    measured: Ints

    @property
    def aged(self) -> Ints:
        """Return aged fish of each bin, n_i; shape (bins,)."""
        return np.asarray(self.counts.sum(axis=1), dtype=np.int64)

    @property
    def known(self) -> Mask:
        """Return which bins have aged fish; shape (bins,)."""
        return self.aged > 0

    @property
    def shares(self) -> Floats:
        """Share of each age in a bin, r_ij = n_ij / n_i; zeros in a bin that is not known."""
        return np.asarray(self.counts / np.maximum(self.aged, 1)[:, None], dtype=np.float64)

    @property
    def without_ages(self) -> Floats:
        """Return lower edges of the bins that have measured fish and no aged ones."""
        return np.asarray(
            self.lower_edges[(self.measured > 0) & (self.aged == 0)], dtype=np.float64
        )

    @property
    def no_age_known(self) -> int:
        """Return measured fish in bins without aged ones."""
        return int(self.measured[self.aged == 0].sum())

    @property
    def one_fish(self) -> Floats:
        """Return lower edges of the bins with a single aged fish."""
        return np.asarray(self.lower_edges[self.aged == 1], dtype=np.float64)

    @property
    def one_age(self) -> Floats:
        """Return lower edges of the bins with two aged fish or more, all of one age."""
        return np.asarray(self.lower_edges[(self.aged > 1) & self.seem_certain], dtype=np.float64)

    @property
    def seem_certain(self) -> Mask:
        """Return which bins show a single age, be it of one fish or of many; shape (bins,)."""
        return np.asarray((self.counts > 0).sum(axis=1) == 1, dtype=np.bool_)


def observed_key(
    lengths: ArrayLike,
    ages: ArrayLike,
    measured_lengths: ArrayLike,
    *,
    lower_edges: ArrayLike,
) -> AgeLengthKey:
    """Count the aged fish by length bin and age [1]_, [2]_.

    A key holds for one population, one year and one phase of growth (Westrheim & Ricker
    1978): give the fish of one such only.

    Parameters
    ----------
    lengths : (fish,) array
        Lengths of the aged fish in mm; rounded to hundredths, as they are stored.
    ages : (fish,) array
        Their ages in whole years.
    measured_lengths : (measured fish,) array
        Lengths in mm of the fish to be given ages: a random sample of lengths. Aged fish
        that belong to it are part of it.
    lower_edges : (bins,) array
        Lower edges of the bins in mm, rising.

    Returns
    -------
    AgeLengthKey

    Raises
    ------
    ValueError
        If a length is not above zero, an age is not whole or not between 0 and 300, bins do not
        rise, or there is not one age for each length.
    CannotEstimate
        no_fish, no_bins, fish_below_bins.

    References
    ----------
    .. [1] Quinn & Deriso (1999), Quantitative Fish Dynamics, Oxford University Press.
    .. [2] Westrheim & Ricker (1978), J. Fish. Res. Board Can. 35:184-189.

    Examples
    --------
    >>> from samples.science.age_length_key.observed import observed_key
    >>> lengths, ages = [205, 212, 231, 238, 244], [2, 2, 2, 3, 3]
    >>> key = observed_key(lengths, ages, [208, 219, 226, 233, 241, 247], lower_edges=[200, 225])
    >>> key.shares.round(2)
    array([[1.  , 0.  ],
           [0.33, 0.67]])
    """
    edges = edges_of(lower_edges)
    years = ages_of(ages)
    places = bins_of(lengths_of(lengths, "aged"), edges)
    same_length(places, years)
    measured = bins_of(lengths_of(measured_lengths, "measured"), edges)
    columns = np.arange(years.min(), years.max() + 1)
    cells = places * columns.size + years - columns[0]
    counts = np.bincount(cells, minlength=edges.size * columns.size)
    return AgeLengthKey(
        fixed(edges.copy()),
        fixed(columns),
        fixed(counts.reshape(edges.size, columns.size)),
        fixed(np.bincount(measured, minlength=edges.size)),
    )


def key_from_counts(
    counts: ArrayLike, measured: ArrayLike, *, lower_edges: ArrayLike, ages: ArrayLike
) -> AgeLengthKey:
    """Make a key of fish that are counted already.

    Parameters
    ----------
    counts : (bins, ages) array
        Aged fish.
    measured : (bins,) array
        Measured fish.
    lower_edges : (bins,) array
        Lower edges of the bins in mm, rising.
    ages : (ages,) array
        Whole years, rising.

    Returns
    -------
    AgeLengthKey

    Raises
    ------
    ValueError
        If shapes do not match, bins or ages do not rise, or a count is negative or not whole.
    CannotEstimate
        no_fish, no_bins.

    Examples
    --------
    >>> from samples.science.age_length_key.observed import key_from_counts
    >>> key = key_from_counts([[3, 1], [1, 4]], [8, 10], lower_edges=[200, 225], ages=[2, 3])
    >>> key.shares
    array([[0.75, 0.25],
           [0.2 , 0.8 ]])
    """
    edges, years = edges_of(lower_edges), ages_of(ages)
    table, fish = counts_of(counts, 2), counts_of(measured, 1)
    if table.shape != (edges.size, years.size) or fish.size != edges.size:
        msg = "counts must have a row for each bin and a column for each age"
        raise ValueError(msg)
    if (np.diff(years) <= 0).any():
        raise ValueError("ages must rise")
    if not table.sum():
        raise CannotEstimate("no_fish", "There are no aged fish.")
    return AgeLengthKey(fixed(edges.copy()), fixed(years), fixed(table), fixed(fish))


def softened_shares(key: AgeLengthKey, *, prior_weight: float = PRIOR_WEIGHT) -> Floats:
    """Take certainty from bins whose aged fish are all of one age.

    Ten fish of age 2 do not make a bin of age 2 alone. In such a bin each age that it or the
    nearest bin with aged fish on either side shows is given a small weight a (Dirichlet
    prior, Jeffreys' one half): r_ij = (n_ij + a) / (n_i + a m), with m such ages. Every other
    bin keeps n_ij / n_i. Used where spread is worked out, in variances and resamples, never
    in an estimate itself.

    Parameters
    ----------
    key : AgeLengthKey
    prior_weight : float
        a, in fish; 0 leaves the certainty.

    Returns
    -------
    (bins, ages) float array

    Raises
    ------
    ValueError
        If the prior weight is negative or not finite.

    Examples
    --------
    >>> from samples.science.age_length_key import key_from_counts
    >>> from samples.science.age_length_key.observed import softened_shares
    >>> key = key_from_counts([[4, 0], [1, 4]], [8, 10], lower_edges=[200, 225], ages=[2, 3])
    >>> softened_shares(key).round(2)
    array([[0.9, 0.1],
           [0.2, 0.8]])
    """
    at_least(prior_weight, 0, "prior_weight")
    shares = key.shares.copy()
    filled = np.flatnonzero(key.known)
    shown = key.counts > 0
    for place in np.flatnonzero(key.seem_certain):
        around = int(np.searchsorted(filled, place))
        near = filled[max(around - 1, 0) : around + 2]
        weights = key.counts[place] + prior_weight * shown[near].any(axis=0)
        shares[place] = weights / weights.sum()
    return shares
