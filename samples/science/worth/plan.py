"""Which fish to read next when so many can be read: the best of all ways to divide them."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from samples.science.arguments import Floats, at_least, not_negative
from samples.science.worth.precision import CellWorth

# No office reads so many more in a season.
MOST_FISH = 5_000


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """Fish to read, cell by cell.

    Attributes
    ----------
    more : (arms, bins) int array
        Fish of each cell.
    order : (fish,) int array
        Cells in the order in which fish were given out, as places in the flattened table; the
        first so many of them are the plan for a smaller budget.
    unused : int
        Fish of the budget that no cell can supply or that would tell nothing.
    """

    more: NDArray[np.int64]
    order: NDArray[np.int64]
    unused: int

    def first(self, budget: int) -> NDArray[np.int64]:
        """Return the plan for a smaller budget; (arms, bins)."""
        counts = np.bincount(self.order[:budget], minlength=self.more.size)
        return np.asarray(counts.reshape(self.more.shape), dtype=np.int64)


def plan_by_worth(
    worth: CellWorth,
    *,
    budget: int,
    can_be_had: ArrayLike,
    lengths_weight: float = 0.5,
    limit_weight: float = 0.0,
    effective_each: float = 1.0,
) -> Plan:
    """Give each fish of a budget to the cell where it takes off most [1]_, [2]_.

    What a cell owes falls ever more slowly, so giving out one fish at a time to the cell of the
    largest drop leaves the least variance that the budget can leave. Without limits and priors
    it comes to Neyman's allocation.

    Parameters
    ----------
    worth : CellWorth
    budget : int
        Fish that can be read.
    can_be_had : (arms, bins) array
        Fish that each cell can supply at most.
    lengths_weight : float
        0 plans for the age shares alone, 1 for the mean lengths alone.
    limit_weight : float
        1 plans for the answer about a length limit alone, 0 for the others alone.
    effective_each : float
        Independent fish that each further fish is worth, above 0 and up to 1: less than 1 where
        fish come several from a trip.

    Returns
    -------
    Plan

    Raises
    ------
    ValueError
        If the budget or a limit is negative or too large, or a weight not from 0 to 1.

    References
    ----------
    .. [1] Fox (1966), Management Science 13:210-216: marginal allocation of a convex sum.
    .. [2] Wright (2012), The American Statistician 66:217-224: the exact optimum allocation.

    Examples
    --------
    >>> from samples.science.worth import plan_by_worth, survey_of, worth_of_cells
    >>> found = survey_of(
    ...     [[[3, 1], [1, 4]]], [[8, 12]], [[[0.5, 0.5], [0.1, 0.9]]],
    ...     mid_lengths=[212, 237], ages=[2, 3], prior_weight=2,
    ... )
    >>> worth = worth_of_cells(found, ages_planned=[2, 3])
    >>> plan_by_worth(worth, budget=10, can_be_had=[[8, 12]]).more
    array([[4, 6]])
    """
    limits = _limits(can_be_had, worth.information.shape)
    _check(budget)
    if not (0 <= lengths_weight <= 1 and 0 <= limit_weight <= 1):
        raise ValueError("lengths_weight and limit_weight must be from 0 to 1")
    if not 0 < effective_each <= 1:
        raise ValueError("effective_each must be above 0 and at most 1")
    owed = worth.owed(lengths_weight=lengths_weight, limit_weight=limit_weight).ravel()
    known = worth.information.ravel()

    def drop(given: Floats) -> Floats:
        """Return A owed d / ((A + b) (A + b + d)), what the next fish takes off after b."""
        stands = known + effective_each * given
        return np.asarray(owed * known * effective_each / (stands * (stands + effective_each)))

    return _one_by_one(drop, budget, limits)


def divide_equally(in_hand: ArrayLike, *, budget: int, can_be_had: ArrayLike) -> Plan:
    """Give each fish of a budget to the cell that has fewest: equal numbers a bin.

    Parameters
    ----------
    in_hand : (arms, bins) array
        Fish that each cell has already.
    budget : int
        Fish that can be read.
    can_be_had : (arms, bins) array
        Fish that each cell can supply at most.

    Returns
    -------
    Plan

    Raises
    ------
    ValueError
        If a number is negative or not finite, the budget too large, or the shapes differ.

    Examples
    --------
    >>> from samples.science.worth import divide_equally
    >>> divide_equally([[4, 1]], budget=5, can_be_had=[[9, 9]]).more
    array([[1, 4]])
    """
    have = not_negative(in_hand, "in_hand", ndim=2)
    limits = _limits(can_be_had, have.shape)
    _check(budget)
    flat = have.ravel()
    return _one_by_one(lambda given: 1 / (1 + flat + given), budget, limits)


def divide_by_length_shares(
    in_hand: ArrayLike, length_shares: ArrayLike, *, budget: int, can_be_had: ArrayLike
) -> Plan:
    """Give each fish of a budget to the cell that lags most behind its share of the lengths [1]_.

    Parameters
    ----------
    in_hand : (arms, bins) array
        Fish that each cell has already.
    length_shares : (arms, bins) array
        Share of the arm's measured fish in each bin.
    budget : int
        Fish that can be read.
    can_be_had : (arms, bins) array
        Fish that each cell can supply at most.

    Returns
    -------
    Plan

    Raises
    ------
    ValueError
        If a number is negative or not finite, the budget too large, or the shapes differ.

    References
    ----------
    .. [1] Webster's method of dividing seats: Balinski & Young (1982), Fair Representation, Yale.

    Examples
    --------
    >>> from samples.science.worth.plan import divide_by_length_shares
    >>> shares = [[0.75, 0.25]]
    >>> divide_by_length_shares([[0, 0]], shares, budget=8, can_be_had=[[9, 9]]).more
    array([[6, 2]])
    """
    have = not_negative(in_hand, "in_hand", ndim=2)
    shares = not_negative(length_shares, "length_shares", ndim=2)
    if shares.shape != have.shape:
        raise ValueError("length_shares must have one number for each cell")
    limits = _limits(can_be_had, have.shape)
    _check(budget)
    flat, wanted = have.ravel(), shares.ravel()
    return _one_by_one(lambda given: wanted / (0.5 + flat + given), budget, limits)


def _check(budget: int) -> None:
    at_least(budget, 0, "budget")
    if budget > MOST_FISH:
        raise ValueError(f"budget must be at most {MOST_FISH}")


def _limits(values: ArrayLike, shape: tuple[int, ...]) -> Floats:
    limits = not_negative(values, "can_be_had", ndim=2)
    if limits.shape != shape:
        raise ValueError("can_be_had must have one number for each cell")
    return limits


def _one_by_one(drop: Callable[[Floats], Floats], budget: int, limits: Floats) -> Plan:
    """Give out fish one at a time to the cell of the largest drop that can still supply one."""
    flat = np.floor(limits.ravel())
    given = np.zeros(flat.size)
    order: list[int] = []
    for _ in range(int(budget)):
        if not flat.size:
            break
        gains = np.where(given < flat, drop(given), 0.0)
        place = int(np.argmax(gains))
        if gains[place] <= 0:
            break
        given[place] += 1
        order.append(place)
    return Plan(
        given.reshape(limits.shape).astype(np.int64),
        np.array(order, dtype=np.int64),
        int(budget) - len(order),
    )
