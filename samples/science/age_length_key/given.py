"""What is given to a key: lengths, whole ages, lower edges of bins; checked once, here."""

from typing import Any, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from samples.science.errors import CannotEstimate

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
Array = TypeVar("Array", bound=NDArray[Any])

OLDEST = 300
# Lengths and edges meet in whole hundredths of a millimetre, as they are stored: 7 in is
# 177.8 mm, which 7 * 25.4 misses by a rounding.
HUNDREDTHS = 100


def lengths_of(values: ArrayLike, whose: str) -> Floats:
    """Check lengths in mm, shape (fish,).

    Raises
    ------
    CannotEstimate
        no_fish, length_missing, length_not_positive.
    """
    lengths = _line(values)
    if not lengths.size:
        raise CannotEstimate("no_fish", f"There are no {whose} fish.")
    if not np.isfinite(lengths).all():
        raise CannotEstimate("length_missing", f"Some of the {whose} fish have no length.")
    if (lengths <= 0).any():
        raise CannotEstimate(
            "length_not_positive", f"Some of the {whose} fish have a length of zero or less."
        )
    return lengths


def ages_of(values: ArrayLike) -> Ints:
    """Check ages in whole years, shape (fish,).

    Raises
    ------
    CannotEstimate
        no_fish, age_missing, age_negative, age_not_whole, age_too_high.
    """
    ages = _line(values)
    if not ages.size:
        raise CannotEstimate("no_fish", "There are no aged fish.")
    if not np.isfinite(ages).all():
        raise CannotEstimate("age_missing", "Some of the aged fish have no age.")
    if (ages < 0).any():
        raise CannotEstimate("age_negative", "Some of the ages are below zero.")
    if (ages != np.floor(ages)).any():
        raise CannotEstimate("age_not_whole", "A key needs ages in whole years.")
    if (ages > OLDEST).any():
        raise CannotEstimate("age_too_high", f"Some of the ages are above {OLDEST} years.")
    return ages.astype(np.int64)


def edges_of(values: ArrayLike) -> Floats:
    """Check the lower edges of the bins in mm, shape (bins,), rising.

    Raises
    ------
    CannotEstimate
        no_bins, bins_out_of_order.
    """
    edges = _line(values)
    if not edges.size:
        raise CannotEstimate("no_bins", "There are no length bins.")
    if not np.isfinite(edges).all() or (np.diff(_hundredths(edges)) <= 0).any():
        raise CannotEstimate("bins_out_of_order", "The length bins do not follow one another.")
    return edges


def bins_of(lengths: Floats, edges: Floats) -> Ints:
    """Give the place of each fish's bin; a bin includes its lower edge, the last is open.

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
    CannotEstimate
        bad_counts.
    """
    counts = np.asarray(values, dtype=np.float64)
    if counts.ndim != dimensions:
        msg = f"counts of {dimensions} dimensions are needed, not {counts.ndim}"
        raise ValueError(msg)
    if not np.isfinite(counts).all() or (counts < 0).any() or (counts % 1 != 0).any():
        raise CannotEstimate("bad_counts", "Counts of fish are whole numbers, zero or more.")
    return counts.astype(np.int64)


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


def _line(values: ArrayLike) -> Floats:
    array = np.asarray(values, dtype=np.float64)
    if array.ndim != 1:
        msg = "one line of numbers is needed"
        raise ValueError(msg)
    return array


def _hundredths(lengths: Floats) -> Ints:
    return np.rint(lengths * HUNDREDTHS).astype(np.int64)
