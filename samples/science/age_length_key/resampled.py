"""Age structure drawn anew: aged fish and measured fish both, fish by fish or by parties."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from samples.science.age_length_key.given import (
    Floats,
    Ints,
    bins_of,
    fixed,
    lengths_of,
    needs_measured,
    needs_two_ages,
)
from samples.science.age_length_key.observed import AgeLengthKey, softened_shares

LOWER, UPPER = 0.025, 0.975


@dataclass(frozen=True, slots=True, eq=False)
class ResampledStructure:
    """Age structures of the resamples.

    Attributes
    ----------
    ages : (ages,) int array
        Whole years.
    numbers : (draws, ages) float array
        Measured fish of each age; of as many fish as were measured, less those of bins that a
        resample left without aged ones.
    no_age_known : (draws,) float array
        Measured fish in such bins.
    """

    ages: Ints
    numbers: Floats
    no_age_known: Floats

    @property
    def shares(self) -> Floats:
        """Share of each age among all the measured fish; shape (draws, ages)."""
        total = self.numbers.sum(axis=1) + self.no_age_known
        return np.asarray(self.numbers / total[:, None], dtype=np.float64)

    def interval(self) -> tuple[Floats, Floats]:
        """Give the middle 95 % of each share; shape (ages,) each."""
        lower, upper = np.quantile(self.shares, (LOWER, UPPER), axis=0)
        return lower, upper


def resample_fish(key: AgeLengthKey, rng: np.random.Generator, *, draws: int) -> ResampledStructure:
    """Draw aged fish within their bins and measured fish over bins, fish by fish.

    Parameters
    ----------
    key : AgeLengthKey
        Bins whose fish are all of one age have `softened_shares`.
    rng : numpy.random.Generator
    draws : int
        Number of resamples.

    Returns
    -------
    ResampledStructure

    Raises
    ------
    CannotEstimate
        no_measured_fish, no_shared_bins, one_age.

    References
    ----------
    Efron & Tibshirani (1993), An Introduction to the Bootstrap.
    """
    needs_measured(key.measured, key.aged)
    needs_two_ages(key.counts)
    shares = softened_shares(key)
    total = int(key.measured.sum())
    lengths = rng.multinomial(total, key.measured / total, size=draws)
    numbers = np.zeros((draws, key.ages.size))
    for place in np.flatnonzero(key.known & (key.measured > 0)):
        # Ages that no fish of the bin has are never drawn: the fewer there are, the faster.
        shown = np.flatnonzero(shares[place])
        aged = int(key.aged[place])
        drawn = rng.multinomial(aged, shares[place, shown], size=draws)
        numbers[:, shown] += lengths[:, place, None] * drawn / aged
    unknown = lengths[:, ~key.known].sum(axis=1).astype(np.float64)
    return ResampledStructure(key.ages, fixed(numbers), fixed(unknown))


def resample_parties(
    key: AgeLengthKey,
    rng: np.random.Generator,
    *,
    lengths: ArrayLike,
    ages: ArrayLike,
    parties: ArrayLike,
    draws: int,
) -> ResampledStructure:
    """Draw parties first, then the fish within them, aged and measured alike.

    Fish of one party are alike, so twenty parties of ten fish say less than two hundred fish
    of two hundred parties.

    Parameters
    ----------
    key : AgeLengthKey
        Its bins and ages are those of the resamples.
    rng : numpy.random.Generator
    lengths : (measured fish,) array
        Lengths in mm of the measured fish, the aged ones among them.
    ages : (measured fish,) array
        Their ages in whole years; below 0 for a fish that was not aged.
    parties : (measured fish,) array
        The party of each.
    draws : int
        Number of resamples.

    Returns
    -------
    ResampledStructure

    Raises
    ------
    CannotEstimate
        As `resample_fish`, and those of lengths.
    """
    needs_measured(key.measured, key.aged)
    needs_two_ages(key.counts)
    bins = bins_of(lengths_of(lengths, "measured"), key.lower_edges)
    years = np.asarray(ages, dtype=np.int64)
    _, party = np.unique(np.asarray(parties), return_inverse=True)
    weights = _times_drawn(party, rng, draws)
    shape = (draws, key.lower_edges.size, key.ages.size)
    measured = _summed(weights, bins, shape[1])
    aged = years >= 0
    cells = bins[aged] * shape[2] + years[aged] - key.ages[0]
    counts = _summed(weights[:, aged], cells, shape[1] * shape[2]).reshape(shape)
    of_bin = counts.sum(axis=2)
    with np.errstate(divide="ignore", invalid="ignore"):
        shares = np.where(of_bin[..., None] > 0, counts / of_bin[..., None], 0.0)
    numbers = np.einsum("db,dba->da", measured, shares)
    unknown = (measured * (of_bin == 0)).sum(axis=1)
    return ResampledStructure(key.ages, fixed(numbers), fixed(unknown))


def _times_drawn(party: Ints, rng: np.random.Generator, draws: int) -> Floats:
    """Give how often each fish is in each resample: (draws, fish)."""
    sizes = np.bincount(party)
    times = rng.multinomial(sizes.size, np.full(sizes.size, 1 / sizes.size), size=draws)
    drawn = np.empty((draws, party.size))
    for place, size in enumerate(sizes):
        fish = np.flatnonzero(party == place)
        drawn[:, fish] = rng.multinomial(times[:, place] * size, np.full(size, 1 / size))
    return drawn


def _summed(weights: Floats, places: Ints, count: int) -> Floats:
    """Add up the columns of each place: (draws, count)."""
    here = np.zeros((places.size, count))
    here[np.arange(places.size), places] = 1.0
    return np.asarray(weights @ here, dtype=np.float64)
