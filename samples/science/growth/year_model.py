"""The model of growth years: what is found at each spread of years, groups and cells."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np

from samples.science.arguments import Floats
from samples.science.errors import CannotEstimate
from samples.science.growth.cells import MeanLengths
from samples.science.growth.fit import Curve
from samples.science.growth.likelihood import hazard

# Standard deviations that are tried: of year effects, of groups about their mean, of cells about
# the curve over their mean length; and the scales of their half-normal priors.
YEAR_SDS = np.geomspace(0.02, 0.6, 10)
GROUP_SDS = np.geomspace(0.03, 0.4, 3)
CELL_SDS = np.array([0.004, 0.012, 0.035])
YEAR_SCALE, GROUP_SCALE, CELL_SCALE = 0.2, 0.2, 0.02
# Linf, K and t0 are held this loosely about a first curve: sd of their logarithms, and years.
LOOSE = 1.0
SHARED = 3
MOST_EVALUATIONS = 60
LEAST_WEIGHT = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """The data, and where each value stands: log Linf, log K, t0, then the groups' departures of
    log Linf and of log K (none for a single group), then the years' effects."""

    cells: MeanLengths
    lived: Floats
    years: tuple[int, ...]
    groups: int
    centre: Floats
    errors: dict[float, "Errors"]

    @classmethod
    def of(cls, cells: MeanLengths, start: Curve) -> "Model":
        years = np.arange(int((cells.year - cells.age).min()), int(cells.year.max()) + 1)
        after_hatching = years >= (cells.year - cells.age)[:, None]
        lived = (after_hatching & (years < cells.year[:, None])).astype(np.float64)
        lived += (years == cells.year[:, None]) * cells.part[:, None]
        told = lived.max(axis=0) > 0
        centre = np.array([np.log(start.linf_mm), np.log(start.k), start.t0])
        groups = int(cells.group.max()) + 1
        lived_years = tuple(int(one) for one in years[told])
        errors = {float(sd): Errors.of(cells, float(sd)) for sd in CELL_SDS}
        return cls(cells, lived[:, told], lived_years, groups, centre, errors)

    @property
    def departures(self) -> int:
        return self.groups if self.groups > 1 else 0

    @property
    def first_year(self) -> int:
        return SHARED + 2 * self.departures

    @property
    def size(self) -> int:
        return self.first_year + len(self.years)

    def group_values(self, theta: Floats) -> tuple[Floats, Floats]:
        """Return log Linf and log K of each group; ``theta`` may hold draws: (..., groups)."""
        whole, k = theta[..., 0, None], theta[..., 1, None]
        if self.departures:
            whole = whole + theta[..., SHARED : SHARED + self.groups]
            k = k + theta[..., SHARED + self.groups : self.first_year]
        return whole, k

    def mean_and_slopes(self, theta: Floats) -> tuple[Floats, Floats]:
        """Return what the cells' means should be, and their derivatives:
        (cells,), (cells, size).
        """
        grown = self.lived * np.exp(theta[self.first_year :])
        whole, k = (np.exp(one[self.cells.group]) for one in self.group_values(theta))
        since = grown.sum(axis=1) - theta[2]
        turn = np.clip(k * since, -20, 700)
        left = np.exp(-turn)
        mean = -whole * np.expm1(-turn)
        slopes = np.zeros((mean.size, self.size))
        slopes[:, 0] = mean
        slopes[:, 1] = whole * left * turn
        slopes[:, 2] = -whole * left * k
        rows = np.arange(mean.size)
        if self.departures:
            slopes[rows, SHARED + self.cells.group] = slopes[:, 0]
            slopes[rows, SHARED + self.groups + self.cells.group] = slopes[:, 1]
        slopes[:, self.first_year :] = (whole * left * k)[:, None] * grown
        return self._of_kept(mean, slopes)

    def _of_kept(self, mean: Floats, slopes: Floats) -> tuple[Floats, Floats]:
        """Return the mean of the fish above the length from which they were kept."""
        kept = self.cells.kept_from_mm
        if not kept.any():
            return mean, slopes
        cut = kept > 0
        floor, cv = np.maximum(mean, 1.0), self.cells.cv
        z = np.where(cut, (kept / floor - 1) / cv, -40.0)
        lost = np.where(cut, hazard(z), 0.0)
        by_mean = 1 + cv * lost - lost * (lost - z) * kept / floor
        above = np.where(cut, floor * (1 + cv * lost), mean)
        return above, slopes * np.where(cut, by_mean, 1.0)[:, None]


@dataclass(frozen=True, slots=True, eq=False)
class Errors:
    """What turns the errors of cells into independent ones of sd 1, and the logarithm of their
    size: half that of the determinant of their covariance.
    """

    whitening: Floats
    log_size: float

    @classmethod
    def of(cls, cells: MeanLengths, cell_sd: float) -> "Errors":
        """Add to the errors of the means how far cells lie from the curve, over mean length."""
        covariance = cells.covariance_mm2
        if covariance is None:
            covariance = np.diag(cells.se_mm**2)
        root = np.linalg.cholesky(covariance + np.diag((cell_sd * cells.mean_mm) ** 2))
        return cls(np.linalg.inv(root), float(np.log(np.diag(root)).sum()))


@dataclass(frozen=True, slots=True)
class Spreads:
    """Standard deviations of years, groups and cells, and their log prior on this grid."""

    years: float
    groups: float
    cells: float

    @property
    def log_prior(self) -> float:
        """Return the half-normal priors; grids of the first two are even in their logarithms."""
        parts = ((self.years, YEAR_SCALE), (self.groups, GROUP_SCALE), (self.cells, CELL_SCALE))
        halves = sum(-0.5 * (sd / scale) ** 2 for sd, scale in parts)
        return float(halves + np.log(self.years) + np.log(self.groups) + np.log(self.cells))


@dataclass(frozen=True, slots=True, eq=False)
class Mixture:
    """Modes at each set of spreads, Cholesky roots of their curvatures, and their weights."""

    modes: Floats
    roots: list[Floats]
    weights: Floats
    spreads: list[Spreads]

    def draw(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw values, shape (count, values)."""
        chosen = rng.choice(self.weights.size, count, p=self.weights)
        normal = rng.standard_normal((count, self.modes.shape[1]))
        drawn = np.empty_like(normal)
        for place in np.unique(chosen):
            here = chosen == place
            drawn[here] = self.modes[place] + np.linalg.solve(self.roots[place].T, normal[here].T).T
        return drawn


def _grid(groups: int) -> Iterator[Spreads]:
    of_groups = GROUP_SDS if groups > 1 else np.ones(1)
    for cell_sd, group_sd, year_sd in product(CELL_SDS, of_groups, YEAR_SDS[::-1]):
        yield Spreads(float(year_sd), float(group_sd), float(cell_sd))


def fit_mixture(model: Model) -> Mixture:
    theta = np.concatenate([model.centre, np.zeros(model.size - SHARED)])
    modes, roots, logs, spreads = [], [], [], []
    for one in _grid(model.groups):
        found = find_mode(model, theta, one)
        if found is None:
            continue
        theta, root, log_weight = found
        modes.append(theta)
        roots.append(root)
        logs.append(log_weight)
        spreads.append(one)
    if not modes:
        raise CannotEstimate(
            "no_convergence", "Growth of these fish and years could not be fitted together."
        )
    weights = np.exp(np.array(logs) - max(logs))
    kept = np.flatnonzero(weights > LEAST_WEIGHT)
    return Mixture(
        np.array(modes)[kept],
        [roots[place] for place in kept],
        weights[kept] / weights[kept].sum(),
        [spreads[place] for place in kept],
    )


def find_mode(model: Model, theta: Floats, spreads: Spreads) -> tuple[Floats, Floats, float] | None:
    """Find the likeliest values at these spreads; nothing where the search does not end."""
    from scipy.optimize import least_squares

    cells = model.cells
    errors = model.errors[spreads.cells]
    loose = np.full(model.size, LOOSE)
    loose[SHARED : model.first_year] = spreads.groups
    loose[model.first_year :] = spreads.years
    middle = np.concatenate([model.centre, np.zeros(model.size - SHARED)])
    pulls = np.diag(1 / loose)
    latest: dict[bytes, tuple[Floats, Floats]] = {}

    def at(values: Floats) -> tuple[Floats, Floats]:
        """Return means and slopes: slopes are asked for where residuals just were."""
        place = values.tobytes()
        if place not in latest:
            latest.clear()
            latest[place] = model.mean_and_slopes(values)
        return latest[place]

    def residuals(values: Floats) -> Floats:
        mean, _ = at(values)
        return np.concatenate(
            [errors.whitening @ (mean - cells.mean_mm), (values - middle) / loose]
        )

    def jacobian(values: Floats) -> Floats:
        _, slopes = at(values)
        return np.vstack([errors.whitening @ slopes, pulls])

    with np.errstate(over="ignore", invalid="ignore"):
        found = least_squares(
            residuals, theta, jac=jacobian, method="lm", max_nfev=MOST_EVALUATIONS
        )
    if not found.success or not np.isfinite(found.cost):
        return None
    root = np.linalg.cholesky(found.jac.T @ found.jac)
    log_weight = (
        -float(found.cost)
        - errors.log_size
        - float(np.log(loose).sum())
        - float(np.log(np.diag(root)).sum())
        + spreads.log_prior
    )
    return found.x, root, log_weight
