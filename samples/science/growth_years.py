"""Which calendar years were good for growth, from increments between rings.

Increments of one fish are alike, and a ring that is measured too far out makes one increment
longer and the next one shorter. Fish hatched in one year are alike too, and so are those of one
year class in one year: these shares of chance do not grow smaller with the number of fish.
"""

from dataclasses import dataclass
from itertools import product

import numpy as np

from samples.science.arguments import Floats, Ints, alike, finite
from samples.science.back_calculation import Increments
from samples.science.errors import CannotEstimate

FEWEST_YEARS, FEWEST_AGES, FEWEST_INCREMENTS = 3, 2, 20
# Standard deviations, of the logarithm of growth, that are tried: of year classes, and of one
# class in one year; and the scale of their half-normal priors.
CLASS_SDS = CELL_SDS = (0.0, 0.03, 0.06, 0.1, 0.16, 0.25)
SCALE = 0.1
# How many increments the variance of all ages is worth beside an age's own.
WORTH = 10.0
FARTHEST_LAG = 2
MOST_ALIKE = 0.95


@dataclass(frozen=True, slots=True)
class YearEffect:
    """Growth of one calendar year against the mean of the years, per cent, with 95 % interval."""

    year: int
    percent: float
    lower: float
    upper: float
    n: int


def year_effects(increments: Increments) -> list[YearEffect]:
    """Compare years for growth: which were good, which poor [1]_, [2]_.

    Parameters
    ----------
    increments : Increments
        Increments above zero are used.

    Returns
    -------
    list of YearEffect
        Each year against the mean of all. With groups apart, old fish of a slow-growing arm do not
        pass for poor early years.

    Raises
    ------
    ValueError
        If columns differ in length, or growth is not finite.
    CannotEstimate
        too_few_increments, with fewer than 3 years, 2 ages or 20 increments; not_connected, where
        years share no age.

    Notes
    -----
    Means of the logarithm of growth by group, year class and age: age and year as factors, the
    ages of each group apart, and year classes and cells as random effects, their standard
    deviations on a grid weighed by the restricted likelihood. Errors of the means come from fish
    within cells, correlated at a lag of one ring and of more.

    References
    ----------
    .. [1] Weisberg (1993), Can. J. Fish. Aquat. Sci. 50:1229-1237.
    .. [2] Weisberg, Spangler & Richmond (2010), Can. J. Fish. Aquat. Sci. 67:269-277, for
       random effects in growth increments.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.back_calculation import increments_of
    >>> from samples.science.growth_years import year_effects
    >>> rng = np.random.default_rng(1)
    >>> pace = {2022: 1.3}
    >>> rows = []
    >>> for fish in range(30):
    ...     hatched = 2018 + fish % 4
    ...     years = range(hatched, 2024)
    ...     steps = [90 * 0.7**k * pace.get(year, 1) for k, year in enumerate(years)]
    ...     rows.append((hatched, list(np.cumsum(steps * rng.normal(1, 0.05, len(steps))))))
    ...
    >>> best = max(year_effects(increments_of(rows)), key=lambda one: one.percent)
    >>> best.year, best.lower > 0
    (2022, True)
    """
    alike(**{name: getattr(increments, name) for name in increments.__slots__})
    kept = finite(increments.grown_mm, "grown_mm") > 0
    used = Increments(*(getattr(increments, name)[kept] for name in increments.__slots__))
    years, ages = np.unique(used.year), np.unique(used.age)
    if years.size < FEWEST_YEARS or ages.size < FEWEST_AGES or used.year.size < FEWEST_INCREMENTS:
        raise CannotEstimate(
            "too_few_increments",
            f"Growth by year needs at least {FEWEST_INCREMENTS} increments of {FEWEST_YEARS} years "
            f"and {FEWEST_AGES} ages; here are {used.year.size} of {years.size} and {ages.size}.",
        )
    cells = _Cells.of(used)
    design, of_ages = _design(cells, years)
    if np.linalg.matrix_rank(design) < design.shape[1]:
        raise CannotEstimate(
            "not_connected", "These years share too few ages to be told apart. Get more fish."
        )
    effects, variance = _mixed(cells, design, of_ages)
    from scipy.stats import t as t_distribution

    reach = float(t_distribution.ppf(0.975, max(np.unique(used.fish).size - 1, 1)))
    half = reach * np.sqrt(variance)
    return [
        YearEffect(
            int(one),
            float(100 * np.expm1(effect)),
            float(100 * np.expm1(effect - reaches)),
            float(100 * np.expm1(effect + reaches)),
            int(np.count_nonzero(used.year == one)),
        )
        for one, effect, reaches in zip(years, effects, half, strict=True)
    ]


@dataclass(frozen=True, slots=True, eq=False)
class _Cells:
    """Mean logarithms of growth by group, year class and age, and the errors of fish in them."""

    group: Ints
    year_class: Ints
    age: Ints
    mean: Floats
    covariance: Floats

    @classmethod
    def of(cls, used: Increments) -> "_Cells":
        log = np.log(used.grown_mm)
        keys = np.column_stack([used.group, used.year - used.age + 1, used.age])
        rows, cell = np.unique(keys, axis=0, return_inverse=True)
        cell = cell.ravel()
        number = np.bincount(cell).astype(np.float64)
        mean = np.bincount(cell, weights=log) / number
        covariance = _errors(used, log - mean[cell], rows, cell, number)
        return cls(rows[:, 0], rows[:, 1], rows[:, 2], mean, covariance)

    @property
    def of_one_class(self) -> Floats:
        same = (self.group[:, None] == self.group) & (self.year_class[:, None] == self.year_class)
        return np.asarray(same, dtype=np.float64)


def _errors(used: Increments, off: Floats, rows: Ints, cell: Ints, number: Floats) -> Floats:
    """Return the covariance of the cells' means, from how fish lie about them."""
    ages, of_age = np.unique(used.age, return_inverse=True)
    age_of_cell = np.searchsorted(ages, rows[:, 2])
    squares = np.bincount(of_age, weights=off**2)
    df = np.bincount(age_of_cell, weights=number - 1, minlength=ages.size)
    variance = (squares + WORTH * squares.sum() / max(df.sum(), 1.0)) / (df + WORTH)
    sd = np.sqrt(np.maximum(variance, 1e-12))
    fish = np.unique(used.fish, return_inverse=True)[1]
    # One row a fish, one column a ring; a mean takes 1 / n of what its fish differ by.
    seen, expected = (np.zeros((int(fish.max()) + 1, ages.size)) for _ in range(2))
    seen[fish, of_age] = off / sd[of_age]
    expected[fish, of_age] = np.sqrt(1 - 1 / number[cell])
    products, pairs = seen.T @ seen, expected.T @ expected
    lag = np.minimum(np.abs(np.subtract.outer(ages, ages)), FARTHEST_LAG)
    likeness = np.ones(FARTHEST_LAG + 1)
    for one in range(1, FARTHEST_LAG + 1):
        found = products[lag == one].sum() / max(pairs[lag == one].sum(), 1e-9)
        likeness[one] = np.clip(found, -MOST_ALIKE, MOST_ALIKE)
    member = np.zeros((seen.shape[0], number.size))
    member[fish, cell] = 1.0
    both = (member.T @ member) / np.outer(number, number)
    apart = np.minimum(np.abs(np.subtract.outer(rows[:, 2], rows[:, 2])), FARTHEST_LAG)
    found = both * likeness[apart] * np.outer(sd[age_of_cell], sd[age_of_cell])
    # Likeness by lag need not be that of any fish; the nearest covariance is.
    values, vectors = np.linalg.eigh(found)
    nearest: Floats = (vectors * np.maximum(values, 1e-6 * values.max())) @ vectors.T
    return nearest


def _design(cells: _Cells, years: Ints) -> tuple[Floats, int]:
    """Return factors of age within group and of year, whose effects sum to 0; count the former."""
    kinds, of_kind = np.unique(
        np.column_stack([cells.group, cells.age]), axis=0, return_inverse=True
    )
    year = cells.year_class + cells.age - 1
    by_year = (year[:, None] == years[:-1]).astype(np.float64) - (year == years[-1])[:, None]
    return np.hstack([np.eye(len(kinds))[of_kind.ravel()], by_year]), len(kinds)


def _mixed(cells: _Cells, design: Floats, of_ages: int) -> tuple[Floats, Floats]:
    """Return the years' effects and their variances, over the grid of random effects."""
    classes, alone = cells.of_one_class, np.eye(cells.mean.size)
    count = design.shape[1] - of_ages
    to_years = np.vstack([np.eye(count), -np.ones(count)])
    logs, effects, variances = [], [], []
    for class_sd, cell_sd in product(CLASS_SDS, CELL_SDS):
        root = np.linalg.cholesky(cells.covariance + class_sd**2 * classes + cell_sd**2 * alone)
        whitened = np.linalg.solve(root, np.column_stack([design, cells.mean]))
        factors, mean = whitened[:, :-1], whitened[:, -1]
        curvature = factors.T @ factors
        spread = np.linalg.inv(curvature)
        values = spread @ (factors.T @ mean)
        left = mean - factors @ values
        logs.append(
            -0.5 * float(left @ left)
            - float(np.log(np.diag(root)).sum())
            - 0.5 * float(np.linalg.slogdet(curvature)[1])
            - 0.5 * (class_sd**2 + cell_sd**2) / SCALE**2
        )
        effects.append(to_years @ values[of_ages:])
        inner = spread[of_ages:, of_ages:]
        variances.append(np.einsum("ij,jk,ik->i", to_years, inner, to_years))
    weight = np.exp(np.array(logs) - max(logs))
    weight /= weight.sum()
    middle = weight @ np.array(effects)
    variance: Floats = weight @ (np.array(variances) + (np.array(effects) - middle) ** 2)
    return middle, variance
