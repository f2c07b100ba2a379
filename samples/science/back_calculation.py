"""Lengths at earlier ages from rings, and which calendar years were good for growth."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import alike, at_least, finite, positive
from samples.science.errors import CannotEstimate

Floats = npt.NDArray[np.float64]

FEWEST_YEARS, FEWEST_AGES, FEWEST_INCREMENTS = 3, 2, 20
FEWEST_FISH = 10


def proportional(length_mm: npt.ArrayLike, radius: npt.ArrayLike, at: npt.ArrayLike) -> Floats:
    """Return lengths at rings as shares of the radius (Dahl-Lea): ``Li = Lc Ri / Rc``.

    Parameters
    ----------
    length_mm, radius : array_like
        Length and radius at capture, broadcast against ``at``.
    at : array_like
        Radii of the rings, in the unit of ``radius``.

    Raises
    ------
    ValueError
        If a length or a radius is not finite or not above zero, or shapes do not broadcast.
    CannotEstimate
        outside, where a ring lies outside the edge.
    """
    return with_intercept(length_mm, radius, at, intercept_mm=0.0)


def with_intercept(
    length_mm: npt.ArrayLike, radius: npt.ArrayLike, at: npt.ArrayLike, *, intercept_mm: float
) -> Floats:
    """Return lengths at rings from an intercept (Fraser-Lee): ``Li = a + (Lc - a) Ri / Rc``.

    Raises
    ------
    ValueError
        As `proportional`; if the intercept is negative or not finite.
    CannotEstimate
        As `proportional`; intercept_above, where a fish is no longer than the intercept.
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

    ``Li = Lc + (Ri - Rc)(Lc - L0) / (Rc - R0)`` (Campana 1990, Can. J. Fish. Aquat. Sci.
    47:2219-2227).

    Raises
    ------
    ValueError
        As `proportional`; if the start is negative or not finite.
    CannotEstimate
        As `proportional`; start_outside, where the start lies outside the edge or is longer than
        the fish; inside_start, where a ring lies inside the start.
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

    Raises
    ------
    ValueError
        If shapes differ, or a length or a radius is not finite or not above zero.
    CannotEstimate
        too_few_fish, with fewer than 10 or radii all alike; no_slope.
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


@dataclass(frozen=True, slots=True)
class YearEffect:
    """Growth of one calendar year against the mean of the years, per cent, with 95 % interval."""

    year: int
    percent: float
    lower: float
    upper: float
    n: int


def year_effects(increments: Increments) -> list[YearEffect]:
    """Compare years for growth: which were good, which poor.

    Parameters
    ----------
    increments : Increments
        Increments above zero are used.

    Returns
    -------
    list of YearEffect
        From ``ln increment = age + year`` with both as factors, the ages of each group apart, by
        least squares; each year against the mean of all. Standard errors let increments of one
        fish be alike. With groups apart, old fish of a slow-growing arm do not pass for poor
        early years.

    Raises
    ------
    ValueError
        If columns differ in length, or growth is not finite.
    CannotEstimate
        too_few_increments, with fewer than 3 years, 2 ages or 20 increments; not_connected, where
        years share no age.

    References
    ----------
    Weisberg (1993), Can. J. Fish. Aquat. Sci. 50:1229-1237. Liang & Zeger (1986), Biometrika
    73:13-22, for errors that are alike within a fish.
    """
    alike(**{name: getattr(increments, name) for name in increments.__slots__})
    kept = finite(increments.grown_mm, "grown_mm") > 0
    fish, age, year = increments.fish[kept], increments.age[kept], increments.year[kept]
    log = np.log(increments.grown_mm[kept])
    years, ages = np.unique(year), np.unique(age)
    if years.size < FEWEST_YEARS or ages.size < FEWEST_AGES or log.size < FEWEST_INCREMENTS:
        raise CannotEstimate(
            "too_few_increments",
            f"Growth by year needs at least {FEWEST_INCREMENTS} increments of {FEWEST_YEARS} years "
            f"and {FEWEST_AGES} ages; here are {log.size} of {years.size} and {ages.size}.",
        )
    cells = np.stack([increments.group[kept], age], axis=1)
    kinds, of_kind = np.unique(cells, axis=0, return_inverse=True)
    by_age = np.eye(len(kinds))[of_kind.ravel()]
    # The years' effects sum to 0: the last is minus the sum of the others.
    by_year = (year[:, None] == years[:-1]).astype(np.float64) - (year == years[-1])[:, None]
    design = np.hstack([by_age, by_year])
    if np.linalg.matrix_rank(design) < design.shape[1]:
        raise CannotEstimate(
            "not_connected", "These years share too few ages to be told apart. Get more fish."
        )
    values, *_ = np.linalg.lstsq(design, log, rcond=None)
    spread = _alike_within_fish(design, log - design @ values, fish)
    from scipy.stats import t as t_distribution

    groups = np.unique(fish).size
    reach = float(t_distribution.ppf(0.975, max(groups - 1, 1)))
    to_years = np.vstack([np.eye(years.size - 1), -np.ones(years.size - 1)])
    effects = to_years @ values[len(kinds) :]
    inner = to_years @ spread[len(kinds) :, len(kinds) :] @ to_years.T
    half = reach * np.sqrt(np.diag(inner))
    return [
        YearEffect(
            int(one),
            float(100 * np.expm1(effect)),
            float(100 * np.expm1(effect - reaches)),
            float(100 * np.expm1(effect + reaches)),
            int(np.count_nonzero(year == one)),
        )
        for one, effect, reaches in zip(years, effects, half, strict=True)
    ]


def _alike_within_fish(design: Floats, residual: Floats, fish: npt.NDArray[np.int64]) -> Floats:
    bread = np.linalg.pinv(design.T @ design)
    _, place = np.unique(fish, return_inverse=True)
    scores = np.zeros((int(place.max()) + 1, design.shape[1]))
    np.add.at(scores, place, design * residual[:, None])
    groups, rows, columns = scores.shape[0], *design.shape
    few = groups / max(groups - 1, 1) * (rows - 1) / max(rows - columns, 1)
    spread: Floats = few * bread @ (scores.T @ scores) @ bread
    return spread
