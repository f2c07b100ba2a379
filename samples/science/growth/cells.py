"""Mean lengths at age by group, season and part of the season, with their errors by trips.

Fish of one trip are alike, of whatever age: a mean is less sure than its number of fish says, and
the means of ages that were caught together err together. The spread of fish and the likeness of
trips are found from all cells at once: single cells have too few.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from samples.science.arguments import (
    Floats,
    Ints,
    ages_in_years,
    alike,
    finite,
    labels,
    not_negative,
    positive,
    whole,
)
from samples.science.errors import CannotEstimate
from samples.science.growth.likelihood import FormFit, hazard

# Fish caught in one quarter of a growing season are taken together.
PARTS = 4
LATEST_YEAR = 3_000
# What is taken for the likeness of trips (intraclass correlation), worth so many trips; and
# how many fish the spread about the curve is worth, against the spread within cells.
USUAL_LIKENESS, WORTH_TRIPS, WORTH_FISH = 0.1, 10.0, 10.0
MOST_LIKENESS = 0.9


@dataclass(frozen=True, slots=True, eq=False)
class MeanLengths:
    """Mean lengths at age; one row a cell.

    Attributes
    ----------
    group : (cells,) int array
        Place of the group, such as an arm, from 0.
    year : (cells,) int array
        Calendar year of capture.
    age : (cells,) int array
        Whole years, by the birthday of January 1.
    part : (cells,) float array
        Part of that year's growing season behind the fish, 0 to 1.
    mean_mm, se_mm : (cells,) float array
        Weighted mean length and its standard error.
    kept_from_mm : (cells,) float array
        Length from which these fish were kept; 0 where fish of every length were.
    cv : (cells,) float array
        Standard deviation of length at age over its mean.
    covariance_mm2 : (cells, cells) float array, optional
        Of the errors of the means, ``se_mm ** 2`` on its diagonal; without it cells err apart.

    Raises
    ------
    ValueError
        If shapes differ, or a number is out of its range.
    """

    group: Ints
    year: Ints
    age: Ints
    part: Floats
    mean_mm: Floats
    se_mm: Floats
    kept_from_mm: Floats
    cv: Floats
    covariance_mm2: Floats | None = None

    def __post_init__(self) -> None:
        group = whole(not_negative(self.group, "group"), "group")
        year, age = whole(self.year, "year"), whole(ages_in_years(self.age, "age"), "age")
        part, kept = not_negative(self.part, "part"), not_negative(self.kept_from_mm, "kept")
        mean, se = positive(self.mean_mm, "mean_mm"), positive(self.se_mm, "se_mm")
        cv = positive(self.cv, "cv")
        alike(group=group, year=year, age=age, part=part, mean=mean, se=se, kept=kept, cv=cv)
        if (part > 1).any():
            raise ValueError("part must be at most 1")
        if (year < 0).any() or (year > LATEST_YEAR).any():
            raise ValueError("year must be a calendar year")
        if (cv >= 1).any():
            raise ValueError("cv must be below 1")
        if self.covariance_mm2 is not None:
            finite(self.covariance_mm2, "covariance_mm2", ndim=2)
            if not np.allclose(np.diag(self.covariance_mm2), se**2):
                raise ValueError("covariance_mm2 must have the squares of se_mm on its diagonal")

    @property
    def time(self) -> Floats:
        """Return growing seasons behind the fish, shape (cells,)."""
        return np.asarray(self.age + self.part, dtype=np.float64)


def mean_lengths(
    curves: Sequence[FormFit],
    *,
    group: npt.ArrayLike,
    year: npt.ArrayLike,
    age: npt.ArrayLike,
    part: npt.ArrayLike,
    lengths_mm: npt.ArrayLike,
    trips: npt.ArrayLike,
    weights: npt.ArrayLike,
    kept_from_mm: npt.ArrayLike,
) -> MeanLengths:
    """Return mean lengths of the cells that fish fall into [1]_.

    Parameters
    ----------
    curves : sequence of FormFit
        A first curve of each group, which says how its lengths spread at an age.
    group, year, age, part, kept_from_mm : array_like, shape (fish,)
        As in `MeanLengths`; fish of one cell have the same ``kept_from_mm`` or 0.
    lengths_mm, weights : array_like, shape (fish,)
        Lengths, and how many fish each stands for.
    trips : array_like, shape (fish,)
        The trip of each fish.

    Returns
    -------
    MeanLengths

    Raises
    ------
    ValueError
        If shapes differ, a group has no curve, or a number is out of its range.
    CannotEstimate
        no_fish.

    References
    ----------
    .. [1] Searle, Casella & McCulloch (1992), Variance Components, ch. 5, for the two spreads
       by equating quadratic forms with what is expected of them.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.cells import mean_lengths
    >>> from samples.science.growth.likelihood import fit_form
    >>> times = np.tile([1.2, 2.2, 3.2, 4.2, 5.2, 6.2], 5)
    >>> lengths = 350 * (1 - np.exp(-0.4 * times)) * np.random.default_rng(1).normal(1, 0.05, 30)
    >>> cells = mean_lengths(
    ...     [fit_form(times, lengths)],
    ...     group=np.zeros(30, dtype=int),
    ...     year=np.full(30, 2026),
    ...     age=np.floor(times),
    ...     part=times % 1,
    ...     lengths_mm=lengths,
    ...     trips=np.arange(30) // 6,
    ...     weights=np.ones(30),
    ...     kept_from_mm=np.zeros(30),
    ... )
    >>> cells.age, cells.mean_mm.round()
    (array([1, 2, 3, 4, 5, 6]), array([128., 203., 253., 282., 314., 327.]))
    """
    place, when = whole(not_negative(group, "group"), "group"), whole(year, "year")
    years, season = whole(ages_in_years(age, "age"), "age"), not_negative(part, "part")
    length, weight = positive(lengths_mm, "lengths_mm"), positive(weights, "weights")
    kept = not_negative(kept_from_mm, "kept_from_mm")
    alike(group=place, year=when, age=years, part=season, length=length, weight=weight, kept=kept)
    if not length.size:
        raise CannotEstimate("no_fish", "There are no aged fish with a length.")
    if int(place.max()) >= len(curves):
        raise ValueError("each group needs a curve")
    trip = np.unique(labels(trips, "trips", size=length.size), return_inverse=True)[1]
    quarter = np.minimum((season * PARTS).astype(np.int64), PARTS - 1)
    keys = np.column_stack([place, when, years, quarter, kept > 0])
    rows, cell = np.unique(keys, axis=0, return_inverse=True)
    cell = cell.ravel()
    total = np.bincount(cell, weights=weight)
    means = {
        name: np.bincount(cell, weights=weight * values) / total
        for name, values in {"length": length, "part": season, "kept": kept}.items()
    }
    cv = np.array([one.cv for one in curves])[rows[:, 0]]
    sd = _sd_of(curves, cv, rows, means)
    scale, likeness = _spreads((length - means["length"][cell]) / sd[cell], cell, trip)
    alone = np.bincount(cell, weights=weight**2) / total**2
    of_trips = _by_trip(cell, trip, weight / total[cell])
    together = (of_trips @ of_trips.T).toarray()
    covariance = np.outer(scale * sd, scale * sd) * likeness * together
    covariance[np.diag_indices(sd.size)] += (scale * sd) ** 2 * (1 - likeness) * alone
    return MeanLengths(
        group=rows[:, 0],
        year=rows[:, 1],
        age=rows[:, 2],
        part=np.minimum(means["part"], 1.0),
        mean_mm=means["length"],
        se_mm=np.sqrt(np.diag(covariance)),
        kept_from_mm=means["kept"],
        cv=np.clip(cv * scale, 1e-3, 0.9),
        covariance_mm2=covariance,
    )


def _sd_of(
    curves: Sequence[FormFit], cv: Floats, rows: Ints, means: Mapping[str, Floats]
) -> Floats:
    """Return the standard deviation of lengths in a cell; of kept fish, above their length."""
    time, kept = rows[:, 2] + means["part"], means["kept"]
    mean = np.array([one.length_at(time) for one in curves])[rows[:, 0], np.arange(time.size)]
    mean = np.maximum(mean, 1.0)
    sd = cv * mean
    z = np.where(kept > 0, (kept - mean) / sd, -40.0)
    lost = np.where(kept > 0, hazard(np.maximum(z, -40.0)), 0.0)
    # The variance of a normal distribution above a point.
    left = np.clip(1 + np.where(kept > 0, z, 0.0) * lost - lost**2, 0.02, 1.0)
    spread: Floats = sd * np.sqrt(left)
    return spread


def _by_trip(cell: Ints, trip: Ints, weight: Floats) -> Any:
    """Return the weights added up, cells by trips: sparse, as a trip is in few cells."""
    from scipy.sparse import coo_array

    return coo_array((weight, (cell, trip))).tocsr()


def _spreads(off: Floats, cell: Ints, trip: Ints) -> tuple[float, float]:
    """Return the spread of standardized lengths about their cells, and the likeness of trips.

    Two sums of squares, of the fish and of the trips' totals, are set equal to what is expected of
    them where every cell has a mean of its own.
    """
    number = _by_trip(cell, trip, np.ones(off.size))
    in_cell, in_trip = np.bincount(cell).astype(np.float64), np.bincount(trip)
    left = off - (np.bincount(cell, weights=off) / in_cell)[cell]
    of_fish = float(left @ left)
    of_trips = float((np.bincount(trip, weights=left) ** 2).sum())
    df = off.size - in_cell.size
    scale = np.sqrt((of_fish + WORTH_FISH) / (df + WORTH_FISH))
    # Traces of the products of two projections: off the cells' means, and onto the trips.
    shares = number / in_cell[:, None]
    lost = (shares * number).sum(axis=0)
    once = float(in_trip.sum() - lost.sum())
    both = (number @ number.T) / np.sqrt(np.outer(in_cell, in_cell))
    twice = float((in_trip.astype(np.float64) ** 2).sum() - 2 * (in_trip @ lost) + (both**2).sum())
    # A trip tells of likeness where it has fish beside another's in a cell.
    worth = float(np.count_nonzero(in_trip - lost > 1))
    expected = np.array([[df, once], [once, twice]])
    if worth < 1 or df < 1 or np.linalg.det(expected) <= 1e-9 * df * twice:
        return float(scale), USUAL_LIKENESS
    alone, apart = np.linalg.solve(expected, [of_fish, of_trips])
    seen = min(max(apart / max(apart + alone, 1e-12), 0.0), MOST_LIKENESS)
    likeness = (worth * seen + WORTH_TRIPS * USUAL_LIKENESS) / (worth + WORTH_TRIPS)
    return float(scale), float(likeness)
