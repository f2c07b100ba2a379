"""Fish of one trip are alike: how alike, and how many independent fish they are worth."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from samples.science.arguments import finite, labels, not_negative
from samples.science.errors import CannotEstimate

# Fewer degrees of freedom within trips than this, and the correlation is anybody's guess.
FEWEST_WITHIN = 20


@dataclass(frozen=True, slots=True)
class TripLikeness:
    """How alike fish of one trip are.

    Attributes
    ----------
    correlation : float
        Intraclass correlation, rho, from 0 to 1.
    df_between, df_within : int
        Degrees of freedom between the trips of a cell, and within its trips.
    """

    correlation: float
    df_between: int
    df_within: int


def likeness_of_trips(values: ArrayLike, cells: ArrayLike, trips: ArrayLike) -> TripLikeness:
    """Estimate the intraclass correlation of fish of one trip, within cells [1]_.

    One-way analysis of variance inside each cell (arm and length bin), sums pooled over cells:

        rho = (MSB - MSW) / (MSB + (m0 - 1) MSW),

    with m0 = sum over cells of (n - sum m^2 / n) / df_between, n fish and m fish of a trip in
    the cell. An estimate below 0 is returned as 0.

    Parameters
    ----------
    values : (fish,) array
        Ages in years.
    cells, trips : (fish,) array
        What cell and what trip each fish is of.

    Returns
    -------
    TripLikeness

    Raises
    ------
    ValueError
        If a value is not finite, or there is not one cell and trip for each fish.
    CannotEstimate
        too_few_trips: fewer than 20 degrees of freedom within trips, or none between them;
        one_value: every fish of a cell is of one age.

    References
    ----------
    .. [1] Donner (1986), International Statistical Review 54:67-82.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.worth.fish_of_a_trip import likeness_of_trips
    >>> ages = np.repeat([2, 3, 2, 3, 3, 2], 6) + np.tile([0, 0, 0, 0, 1, 0], 6)
    >>> found = likeness_of_trips(ages, np.zeros(36), np.repeat(np.arange(6), 6))
    >>> round(found.correlation, 2), found.df_within
    (0.62, 30)
    """
    fish = finite(values, "values")
    cell_of = labels(cells, "cells", size=fish.size)
    trip_of = labels(trips, "trips", size=fish.size)
    if not fish.size:
        raise CannotEstimate("too_few_trips", "There are no aged fish yet.")
    # Far from zero, squares would lose the differences between ages.
    fish = fish - fish.mean()
    _, cell = np.unique(cell_of, return_inverse=True)
    _, trip = np.unique(trip_of, return_inverse=True)
    pairs, group = np.unique(np.column_stack([cell, trip]), axis=0, return_inverse=True)
    of_group = np.bincount(group.reshape(-1))
    mean = np.bincount(group.reshape(-1), weights=fish) / of_group
    of_cell = np.bincount(cell)
    cell_mean = np.bincount(cell, weights=fish) / of_cell
    between = int(len(pairs) - of_cell.size)
    within = int(fish.size - len(pairs))
    if between < 1 or within < FEWEST_WITHIN:
        raise CannotEstimate(
            "too_few_trips", "Too few trips have several aged fish of one length bin."
        )
    msb = float((of_group * (mean - cell_mean[pairs[:, 0]]) ** 2).sum()) / between
    msw = float(((fish - mean[group.reshape(-1)]) ** 2).sum()) / within
    squares = np.bincount(pairs[:, 0], weights=of_group.astype(float) ** 2)
    m0 = float((of_cell - squares / of_cell).sum()) / between
    spread = msb + (m0 - 1) * msw
    if spread <= 0:
        raise CannotEstimate("one_value", "The aged fish of each length bin are of one age.")
    rho = min(max((msb - msw) / spread, 0.0), 1.0)
    return TripLikeness(rho, between, within)


def effective_number(fish_per_trip: ArrayLike, *, rho: float) -> float:
    """Return how many independent fish the fish of some trips are worth [1]_.

        n_eff = n^2 / sum_k m_k (1 + (m_k - 1) rho),

    which for trips of m fish each is n / (1 + (m - 1) rho). It is that of the plain share or
    mean of all n fish, so that a trip that brings far more fish than the others adds little,
    or takes away.

    Parameters
    ----------
    fish_per_trip : (trips,) array
        Fish of each trip, m_k; n in all.
    rho : float
        Intraclass correlation of fish of one trip, 0 to 1.

    Returns
    -------
    float
        Fish; 0 where there are none.

    Raises
    ------
    ValueError
        If a number is negative or not finite, or rho is not from 0 to 1.

    References
    ----------
    .. [1] Kish (1965), Survey Sampling, Wiley, section 5.4: the design effect.

    Examples
    --------
    >>> from samples.science.worth.fish_of_a_trip import effective_number
    >>> round(effective_number([10] * 20, rho=0.2), 1)
    71.4
    """
    fish = not_negative(fish_per_trip, "fish_per_trip")
    if not 0 <= rho <= 1:
        raise ValueError("rho must be from 0 to 1")
    n = float(fish.sum())
    if not n:
        return 0.0
    # A trip with a part of a fish is no trip that is less than itself.
    design = 1 + (np.maximum(fish, 1) - 1) * rho
    return n * n / float((fish * design).sum())
