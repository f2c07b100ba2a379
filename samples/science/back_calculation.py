"""Lengths at earlier ages from rings, and the growth between them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import alike, at_least, positive
from samples.science.errors import CannotEstimate

Floats = npt.NDArray[np.float64]

FEWEST_FISH = 10


def proportional(length_mm: npt.ArrayLike, radius: npt.ArrayLike, at: npt.ArrayLike) -> Floats:
    """Return lengths at rings as shares of the radius (Dahl-Lea): ``Li = Lc Ri / Rc``.

    Parameters
    ----------
    length_mm, radius : array_like
        Length and radius at capture, broadcast against ``at``.
    at : array_like
        Radii of the rings, in the unit of ``radius``.

    Returns
    -------
    ndarray
        Lengths in mm at the rings, of the shape broadcast.

    Raises
    ------
    ValueError
        If a length or a radius is not finite or not above zero, or shapes do not broadcast.
    CannotEstimate
        outside, where a ring lies outside the edge.

    Examples
    --------
    >>> from samples.science.back_calculation import proportional
    >>> proportional(270, 1.5, [0.6, 1.2])
    array([108., 216.])
    """
    return with_intercept(length_mm, radius, at, intercept_mm=0.0)


def with_intercept(
    length_mm: npt.ArrayLike, radius: npt.ArrayLike, at: npt.ArrayLike, *, intercept_mm: float
) -> Floats:
    """Return lengths at rings from an intercept (Fraser-Lee): ``Li = a + (Lc - a) Ri / Rc``.

    Parameters
    ----------
    length_mm, radius : array_like
        Length and radius at capture, broadcast against ``at``.
    at : array_like
        Radii of the rings, in the unit of ``radius``.
    intercept_mm : float
        Length in mm at which the otolith would have no radius.

    Returns
    -------
    ndarray
        Lengths in mm at the rings, of the shape broadcast.

    Raises
    ------
    ValueError
        As `proportional`; if the intercept is negative or not finite.
    CannotEstimate
        As `proportional`; intercept_above, where a fish is no longer than the intercept.

    Examples
    --------
    >>> from samples.science.back_calculation import with_intercept
    >>> with_intercept(270, 1.5, [0.6, 1.2], intercept_mm=20)
    array([120., 220.])
    """
    length, edge, ring = _checked(length_mm, radius, at)
    at_least(intercept_mm, 0, "intercept_mm")
    if (length <= intercept_mm).any():
        raise CannotEstimate("intercept_above", "A fish is no longer than the intercept.")
    found: Floats = intercept_mm + (length - intercept_mm) * ring / edge
    return found


def from_hatching(
    length_mm: npt.ArrayLike,
    radius: npt.ArrayLike,
    at: npt.ArrayLike,
    *,
    length_at_start_mm: float,
    radius_at_start: float,
) -> Floats:
    """Return lengths at rings from length and radius at the start of life (biological intercept).

    ``Li = Lc + (Ri - Rc)(Lc - L0) / (Rc - R0)`` [1]_.

    Parameters
    ----------
    length_mm, radius : array_like
        Length and radius at capture, broadcast against ``at``.
    at : array_like
        Radii of the rings, in the unit of ``radius``.
    length_at_start_mm, radius_at_start : float
        Length in mm and radius at the start of life.

    Returns
    -------
    ndarray
        Lengths in mm at the rings, of the shape broadcast.

    Raises
    ------
    ValueError
        As `proportional`; if the start is negative or not finite.
    CannotEstimate
        As `proportional`; start_outside, where the start lies outside the edge or is longer than
        the fish; inside_start, where a ring lies inside the start.

    References
    ----------
    .. [1] Campana (1990), Can. J. Fish. Aquat. Sci. 47:2219-2227.

    Examples
    --------
    >>> from samples.science.back_calculation import from_hatching
    >>> from_hatching(270, 1.5, [0.6, 1.2], length_at_start_mm=5, radius_at_start=0.05).round(1)
    array([105.5, 215.2])
    """
    length, edge, ring = _checked(length_mm, radius, at)
    at_least(length_at_start_mm, 0, "length_at_start_mm")
    at_least(radius_at_start, 0, "radius_at_start")
    if (length <= length_at_start_mm).any():
        raise CannotEstimate("start_outside", "A fish is no longer than at hatching.")
    if (edge <= radius_at_start).any():
        raise CannotEstimate("start_outside", "The radius at hatching is larger than the otolith.")
    if (ring < radius_at_start).any():
        raise CannotEstimate("inside_start", "A ring lies inside the radius at hatching.")
    slope = (length - length_at_start_mm) / (edge - radius_at_start)
    found: Floats = length + (ring - edge) * slope
    return found


def estimated_intercept(lengths_mm: npt.ArrayLike, radii: npt.ArrayLike) -> float:
    """Estimate the intercept as the length where a line of length on radius meets radius 0.

    Parameters
    ----------
    lengths_mm, radii : array_like, shape (fish,)
        Lengths in mm and radii at capture.

    Returns
    -------
    float
        Length in mm at radius 0.

    Raises
    ------
    ValueError
        If shapes differ, or a length or a radius is not finite or not above zero.
    CannotEstimate
        too_few_fish, with fewer than 10 or radii all alike; no_slope.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.back_calculation import estimated_intercept
    >>> lengths = np.arange(100, 300, 20)
    >>> round(estimated_intercept(lengths, lengths / 160 - 0.15), 1)
    24.0
    """
    length, radius = positive(lengths_mm, "lengths_mm"), positive(radii, "radii")
    alike(lengths_mm=length, radii=radius)
    if length.size < FEWEST_FISH or np.ptp(radius) == 0:
        raise CannotEstimate(
            "too_few_fish", f"An intercept needs at least {FEWEST_FISH} fish of different sizes."
        )
    slope, intercept = np.polyfit(radius, length, 1)
    if slope <= 0:
        raise CannotEstimate("no_slope", "Longer fish do not have larger otoliths here.")
    return float(intercept)


def _checked(
    length_mm: npt.ArrayLike, radius: npt.ArrayLike, at: npt.ArrayLike
) -> tuple[Floats, Floats, Floats]:
    length, edge, ring = np.broadcast_arrays(
        positive(length_mm, "length_mm", ndim=None),
        positive(radius, "radius", ndim=None),
        positive(at, "at", ndim=None),
    )
    if (ring > edge * (1 + 1e-9)).any():
        raise CannotEstimate("outside", "A ring lies outside the edge of its otolith.")
    return length, edge, ring


@dataclass(frozen=True, slots=True)
class Increments:
    """Growth in length between rings, each with the calendar year it grew in.

    ``fish``, ``age`` (1 for nucleus to first ring), ``year``, ``grown_mm`` and ``group`` (such as
    the arm of the fish) have one row an increment: shape (increments,).
    """

    fish: npt.NDArray[np.int64]
    age: npt.NDArray[np.int64]
    year: npt.NDArray[np.int64]
    grown_mm: Floats
    group: npt.NDArray[np.int64]

    def of_years_with(self, fewest: int) -> tuple["Increments", list[int]]:
        """Return the increments of years with so many of them, and the years left out."""
        years, counts = np.unique(self.year, return_counts=True)
        kept = np.isin(self.year, years[counts >= fewest])
        columns = (getattr(self, name)[kept] for name in self.__slots__)
        return Increments(*columns), [int(year) for year in years[counts < fewest]]


def increments_of(
    rows: list[tuple[int, list[float]]], *, groups: Sequence[int] | None = None
) -> Increments:
    """Take lengths at rings apart into increments.

    Parameters
    ----------
    rows : list of (year class, lengths at rings in mm)
        One fish a row, its rings from the nucleus out. The growth after the last ring is not
        finished and is not in it.
    groups : (fish,) int, optional
        What each fish belongs to, such as an arm, where these grow differently.

    Returns
    -------
    Increments
        Increment k belongs to the calendar year ``year class + k - 1``.

    Raises
    ------
    ValueError
        If a length is not finite or not above zero, or groups are not one for each fish.

    Examples
    --------
    >>> from samples.science.back_calculation import increments_of
    >>> grown = increments_of([(2020, [80.0, 130.0, 160.0])])
    >>> grown.year, grown.grown_mm
    (array([2020, 2021, 2022]), array([80., 50., 30.]))
    """
    for _, lengths in rows:
        positive(lengths, "lengths at rings")
    if groups is not None and len(groups) != len(rows):
        raise ValueError("groups must have one entry for each fish")
    found: list[tuple[int, int, int, float]] = []
    for fish, (year_class, lengths) in enumerate(rows):
        steps = np.diff(np.asarray([0.0, *lengths]))
        found += [(fish, k + 1, year_class + k, float(step)) for k, step in enumerate(steps)]
    table = np.array(found, dtype=np.float64).reshape(-1, 4)
    whole = table[:, :3].astype(np.int64)
    of = np.asarray([0] * len(rows) if groups is None else groups, dtype=np.int64)
    return Increments(whole[:, 0], whole[:, 1], whole[:, 2], table[:, 3], of[whole[:, 0]])
