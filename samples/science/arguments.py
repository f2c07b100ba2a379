"""Checks of arguments: what is no sample at all raises ValueError, as in scipy.

A sample that is sound and yet too poor for an estimate is `CannotEstimate`'s matter.
"""

from typing import Any

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

# No length, weight, rate or number of fish is so large; squares and cubes of it stay finite.
LARGEST = 1e12
OLDEST_YEARS = 300


def finite(values: npt.ArrayLike, name: str, *, ndim: int | None = 1) -> Floats:
    """Return the values as floats.

    Parameters
    ----------
    values : array_like
    name : str
        What the values are, for the message.
    ndim : int, optional
        Dimensions they must have; None for any.

    Raises
    ------
    ValueError
        If one is NaN, infinite or beyond 1e12 in size, or the dimensions differ.
    """
    array = np.asarray(values, dtype=np.float64)
    if ndim is not None and array.ndim != ndim:
        raise ValueError(f"{name} must have {ndim} dimension(s), not {array.ndim}")
    if not np.isfinite(array).all() or (np.abs(array) > LARGEST).any():
        raise ValueError(f"{name} must be finite, and no larger than {LARGEST:g}")
    return array


def not_negative(values: npt.ArrayLike, name: str, *, ndim: int | None = 1) -> Floats:
    """Return finite values of zero and more; ValueError otherwise."""
    array = finite(values, name, ndim=ndim)
    if (array < 0).any():
        raise ValueError(f"{name} must not be negative")
    return array


def positive(values: npt.ArrayLike, name: str, *, ndim: int | None = 1) -> Floats:
    """Return finite values above zero; ValueError otherwise."""
    array = finite(values, name, ndim=ndim)
    if (array <= 0).any():
        raise ValueError(f"{name} must be above zero")
    return array


def ages_in_years(values: npt.ArrayLike, name: str = "ages", *, ndim: int | None = 1) -> Floats:
    """Return ages from 0 to 300 years, so that calendar years do not pass; ValueError otherwise."""
    array = not_negative(values, name, ndim=ndim)
    if (array > OLDEST_YEARS).any():
        raise ValueError(f"{name} must be at most {OLDEST_YEARS}: give ages, not calendar years")
    return array


def whole(values: npt.ArrayLike, name: str, *, ndim: int | None = 1) -> Ints:
    """Return whole numbers; ValueError otherwise."""
    array = finite(values, name, ndim=ndim)
    if (array != np.floor(array)).any():
        raise ValueError(f"{name} must be whole numbers")
    return array.astype(np.int64)


def share(value: float, name: str) -> float:
    """Return a share strictly between 0 and 1; ValueError otherwise."""
    if not 0 < value < 1:
        raise ValueError(f"{name} must lie between 0 and 1")
    return float(value)


def at_least(value: float, least: float, name: str) -> None:
    """Refuse a number that is below the least, NaN or infinite with ValueError."""
    if not least <= value <= LARGEST:
        raise ValueError(f"{name} must be at least {least:g}, and finite")


def alike(**arrays: npt.NDArray[Any]) -> None:
    """Refuse arrays of different shapes with ValueError."""
    if len({array.shape for array in arrays.values()}) > 1:
        shapes = ", ".join(f"{name} {array.shape}" for name, array in arrays.items())
        raise ValueError(f"shapes differ: {shapes}")


def labels(values: npt.ArrayLike, name: str, *, size: int) -> npt.NDArray[Any]:
    """Return what each fish belongs to; ValueError where it is not said of each, or is NaN."""
    array = np.asarray(values)
    if array.shape != (size,):
        raise ValueError(f"{name} must have one entry for each fish")
    if array.dtype.kind == "f":
        finite(array, name)
    return array
