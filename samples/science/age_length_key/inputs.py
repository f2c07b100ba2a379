"""What is given to a key: lengths, whole ages, lower edges of bins; checked once, here."""

from typing import Any, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from samples.science.arguments import ages_in_years, not_negative, positive, whole
from samples.science.errors import CannotEstimate

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
Array = TypeVar("Array", bound=NDArray[Any])

# Lengths and edges meet in whole hundredths of a millimetre, as they are stored: 7 in is
# 177.8 mm, which 7 * 25.4 misses by a rounding.
HUNDREDTHS = 100


def lengths_of(values: ArrayLike, whose: str) -> Floats:
    """Check lengths in mm, shape (fish,).

    Raises
    ------
    ValueError
        If one is not finite or not above zero.
    CannotEstimate
        no_fish.
    """
    lengths = positive(values, f"lengths of {whose} fish")
    if not lengths.size:
        raise CannotEstimate("no_fish", f"There are no {whose} fish.")
    return lengths


def ages_of(values: ArrayLike) -> Ints:
    """Check ages in whole years, shape (fish,).

    Raises
    ------
    ValueError
        If one is not whole, or not between 0 and 300.
    CannotEstimate
        no_fish.
    """
    ages = whole(ages_in_years(values), "ages")
    if not ages.size:
        raise CannotEstimate("no_fish", "There are no aged fish.")
    return ages


def edges_of(values: ArrayLike) -> Floats:
    """Check the lower edges of the bins in mm, shape (bins,), rising.

    Raises
    ------
    ValueError
        If one is negative or not finite, or they do not rise.
    CannotEstimate
        no_bins.
    """
    edges = not_negative(values, "lower_edges")
    if not edges.size:
        raise CannotEstimate("no_bins", "There are no length bins.")
    if (np.diff(_hundredths(edges)) <= 0).any():
        raise ValueError("lower_edges must rise")
    return edges


def bins_of(lengths: Floats, edges: Floats) -> Ints:
    """Return the place of each fish's bin; a bin includes its lower edge, the last is open.

    Raises
    ------
    CannotEstimate
        fish_below_bins.
    """
    places = np.searchsorted(_hundredths(edges), _hundredths(lengths), side="right") - 1
    if (places < 0).any():
        raise CannotEstimate(
            "fish_below_bins", "Some of the fish are shorter than the first length bin."
        )
    return places.astype(np.int64)


def counts_of(values: ArrayLike, dimensions: int) -> Ints:
    """Check counts of fish: whole, zero or more, of so many dimensions.

    Raises
    ------
    ValueError
        If one is negative, not finite or not whole, or the dimensions differ.
    """
    counts = whole(values, "counts", ndim=dimensions)
    not_negative(counts, "counts", ndim=dimensions)
    return counts


def same_length(*arrays: NDArray[Any]) -> None:
    if len({len(array) for array in arrays}) > 1:
        msg = "the arrays must have one entry for each fish, alike"
        raise ValueError(msg)


def needs_measured(measured: Ints, aged: Ints) -> None:
    """Refuse a key that says nothing of the measured fish.

    Raises
    ------
    CannotEstimate
        no_measured_fish, no_shared_bins.
    """
    if not measured.sum():
        raise CannotEstimate("no_measured_fish", "There are no measured fish to give ages to.")
    if not measured[aged > 0].sum():
        raise CannotEstimate(
            "no_shared_bins", "No measured fish lies in a length bin that has aged fish."
        )


def needs_two_ages(counts: Ints) -> None:
    """Refuse a key whose fish are all of one age.

    Raises
    ------
    CannotEstimate
        one_age.
    """
    if (counts.sum(axis=0) > 0).sum() < 2:
        raise CannotEstimate(
            "one_age", "All the aged fish are of one age: there are no shares to work out."
        )


def fixed(array: Array) -> Array:
    """Let nobody write into an array that a frozen result holds."""
    array.setflags(write=False)
    return array


def _hundredths(lengths: Floats) -> Ints:
    return np.rint(lengths * HUNDREDTHS).astype(np.int64)
