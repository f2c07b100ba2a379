"""Growth over seasons, with good and poor growth years told apart from the curve.

Fish of one lake share good and bad years, and fish of seasons in a row lived the same ones; so
years, not fish, are the unit of chance. Mean length is ``Linf (1 - exp(-K (tau - t0)))``, where
``tau`` adds up ``exp(e_t)`` over the growing seasons that the fish lived, the last in part. The
effects ``e_t`` are normal about 0 and shared by all groups; groups have Linf and K of their own,
drawn towards a common one.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np
import numpy.typing as npt

from samples.science.arguments import ages_in_years, alike, at_least, not_negative, whole
from samples.science.errors import CannotEstimate
from samples.science.growth.cells import LATEST_YEAR, MeanLengths
from samples.science.growth.fit import FEWEST_AGES, Curve
from samples.science.growth.likelihood import hazard
from samples.science.growth.profile import Floats
from samples.science.growth.resample import LOWER, UPPER, Draws

# Standard deviations that are tried: of year effects, of groups about their mean, of cells about
# the curve over their mean length; and the scales of their half-normal priors.
YEAR_SDS = np.geomspace(0.02, 0.6, 10)
GROUP_SDS = np.geomspace(0.03, 0.4, 3)
CELL_SDS = np.array([0.004, 0.012, 0.035])
YEAR_SCALE, GROUP_SCALE, CELL_SCALE = 0.2, 0.2, 0.02
# Linf, K and t0 are held this loosely about a first curve: sd of their logarithms, and years.
LOOSE = 1.0
RECENT_YEARS = 3
MOSTLY = 0.5
SHARED = 3
MOST_EVALUATIONS = 60
LEAST_WEIGHT = 1e-6


@dataclass(frozen=True, slots=True)
class GrowthYear:
    """Growth of one calendar year over that of an average year, with its 95 % interval."""

    year: int
    ratio: float
    lower: float
    upper: float


@dataclass(frozen=True, slots=True)
class DrawnCurve:
    """A curve with draws of it."""

    curve: Curve
    draws: Draws


@dataclass(frozen=True, slots=True, eq=False)
class YearEffects:
    """Growth of groups in an average year and in recent years.

    Attributes
    ----------
    average : tuple of DrawnCurve
        Of each group, in a year without effect.
    recent : tuple of DrawnCurve
        Of each group, at the mean growth of the last few years that fish lived through.
    years : tuple of GrowthYear
        Oldest first.
    recent_years : tuple of int
    year_sd : float
        Standard deviation of the logarithm of a year's growth.
    seasons : int
        Calendar years in which fish were caught; of one, ``year_sd`` is the prior's.
    """

    average: tuple[DrawnCurve, ...]
    recent: tuple[DrawnCurve, ...]
    years: tuple[GrowthYear, ...]
    recent_years: tuple[int, ...]
    year_sd: float
    seasons: int

    def clock_of(self, year: npt.ArrayLike, age: npt.ArrayLike, part: npt.ArrayLike) -> Floats:
        """Return the average years of growth that fish have behind them, good years for more.

        :param year: calendar year of capture
        :param age: whole years
        :param part: part of the last year's growing season, 0 to 1
        """
        caught, ages = whole(year, "year"), whole(ages_in_years(age, "age"), "age")
        last = not_negative(part, "part")
        alike(year=caught, age=ages, part=last)
        first = int((caught - ages).min(initial=LATEST_YEAR))
        grown = np.ones(int(caught.max(initial=first)) - first + 1)
        for one in self.years:
            if 0 <= one.year - first < grown.size:
                grown[one.year - first] = one.ratio
        behind = np.append(0.0, np.cumsum(grown))
        place = caught - first
        clock: Floats = behind[place] - behind[place - ages] + last * grown[place]
        return clock


def fit_year_effects(
    cells: MeanLengths, start: Curve, *, rng: np.random.Generator, draws: int = 2_000
) -> YearEffects:
    """Fit the growth of groups and of years together.

    Parameters
    ----------
    cells : MeanLengths
        Groups are numbered from 0 without a gap.
    start : Curve
        A curve of all the fish, about which the values are held loosely.
    rng : numpy.random.Generator
    draws : int
        Number of draws.

    Returns
    -------
    YearEffects

    Raises
    ------
    ValueError
        If draws is below 1, groups leave a gap, or Linf or K of the start is not above zero.
    CannotEstimate
        too_few_ages, with fewer than 4; no_convergence.

    References
    ----------
    Weisberg, Spangler & Richmond (2010), Can. J. Fish. Aquat. Sci. 67:269-277, for growth years as
    random effects. Rue, Martino & Chopin (2009), J. R. Stat. Soc. B 71:319-392, for a mixture of
    normal approximations over a grid of standard deviations.
    """
    at_least(draws, 1, "draws")
    if not (start.length_max_mm > 0 and start.rate > 0 and np.isfinite(start.age_zero)):
        raise ValueError("start must be a curve that rises")
    ages = np.unique(cells.age).size
    if ages < FEWEST_AGES:
        raise CannotEstimate(
            "too_few_ages",
            f"A growth curve needs fish of at least {FEWEST_AGES} ages; here are {ages}. "
            "Get the youngest from nets.",
        )
    groups = np.unique(cells.group)
    if (groups != np.arange(groups.size)).any():
        raise ValueError("groups must be numbered from 0 without a gap")
    model = _Model.of(cells, start)
    mixture = _mixture(model)
    return _told(model, mixture, rng, draws)


@dataclass(frozen=True, slots=True, eq=False)
class _Model:
    """The data, and where each value stands: log Linf, log K, t0, then the groups' departures of
    log Linf and of log K (none for a single group), then the years' effects."""

    cells: MeanLengths
    lived: Floats
    years: tuple[int, ...]
    groups: int
    centre: Floats
    errors: dict[float, "_Errors"]

    @classmethod
    def of(cls, cells: MeanLengths, start: Curve) -> "_Model":
        years = np.arange(int((cells.year - cells.age).min()), int(cells.year.max()) + 1)
        after_hatching = years >= (cells.year - cells.age)[:, None]
        lived = (after_hatching & (years < cells.year[:, None])).astype(np.float64)
        lived += (years == cells.year[:, None]) * cells.part[:, None]
        told = lived.max(axis=0) > 0
        centre = np.array([np.log(start.length_max_mm), np.log(start.rate), start.age_zero])
        groups = int(cells.group.max()) + 1
        lived_years = tuple(int(one) for one in years[told])
        errors = {float(sd): _Errors.of(cells, float(sd)) for sd in CELL_SDS}
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
        whole, rate = theta[..., 0, None], theta[..., 1, None]
        if self.departures:
            whole = whole + theta[..., SHARED : SHARED + self.groups]
            rate = rate + theta[..., SHARED + self.groups : self.first_year]
        return whole, rate

    def mean_and_slopes(self, theta: Floats) -> tuple[Floats, Floats]:
        """Return what the cells' means should be, and their derivatives:
        (cells,), (cells, size).
        """
        grown = self.lived * np.exp(theta[self.first_year :])
        whole, rate = (np.exp(one[self.cells.group]) for one in self.group_values(theta))
        since = grown.sum(axis=1) - theta[2]
        turn = np.clip(rate * since, -20, 700)
        left = np.exp(-turn)
        mean = -whole * np.expm1(-turn)
        slopes = np.zeros((mean.size, self.size))
        slopes[:, 0] = mean
        slopes[:, 1] = whole * left * turn
        slopes[:, 2] = -whole * left * rate
        rows = np.arange(mean.size)
        if self.departures:
            slopes[rows, SHARED + self.cells.group] = slopes[:, 0]
            slopes[rows, SHARED + self.groups + self.cells.group] = slopes[:, 1]
        slopes[:, self.first_year :] = (whole * left * rate)[:, None] * grown
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
class _Errors:
    """What turns the errors of cells into independent ones of sd 1, and the logarithm of their
    size: half that of the determinant of their covariance.
    """

    whitening: Floats
    log_size: float

    @classmethod
    def of(cls, cells: MeanLengths, cell_sd: float) -> "_Errors":
        """Add to the errors of the means how far cells lie from the curve, over mean length."""
        covariance = cells.covariance_mm2
        if covariance is None:
            covariance = np.diag(cells.se_mm**2)
        root = np.linalg.cholesky(covariance + np.diag((cell_sd * cells.mean_mm) ** 2))
        return cls(np.linalg.inv(root), float(np.log(np.diag(root)).sum()))


@dataclass(frozen=True, slots=True)
class _Spreads:
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
class _Mixture:
    """Modes at each set of spreads, Cholesky roots of their curvatures, and their weights."""

    modes: Floats
    roots: list[Floats]
    weights: Floats
    spreads: list[_Spreads]

    def draw(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw values, shape (count, values)."""
        chosen = rng.choice(self.weights.size, count, p=self.weights)
        normal = rng.standard_normal((count, self.modes.shape[1]))
        drawn = np.empty_like(normal)
        for place in np.unique(chosen):
            here = chosen == place
            drawn[here] = self.modes[place] + np.linalg.solve(self.roots[place].T, normal[here].T).T
        return drawn


def _grid(groups: int) -> Iterator[_Spreads]:
    of_groups = GROUP_SDS if groups > 1 else np.ones(1)
    for cell_sd, group_sd, year_sd in product(CELL_SDS, of_groups, YEAR_SDS[::-1]):
        yield _Spreads(float(year_sd), float(group_sd), float(cell_sd))


def _mixture(model: _Model) -> _Mixture:
    theta = np.concatenate([model.centre, np.zeros(model.size - SHARED)])
    modes, roots, logs, spreads = [], [], [], []
    for one in _grid(model.groups):
        found = _mode(model, theta, one)
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
    return _Mixture(
        np.array(modes)[kept],
        [roots[place] for place in kept],
        weights[kept] / weights[kept].sum(),
        [spreads[place] for place in kept],
    )


def _mode(model: _Model, theta: Floats, spreads: _Spreads) -> tuple[Floats, Floats, float] | None:
    """Find the likeliest values at these spreads; nothing where the search does not end."""
    from scipy.optimize import least_squares

    cells = model.cells
    errors = model.errors[spreads.cells]
    loose = np.full(model.size, LOOSE)
    loose[SHARED : model.first_year] = spreads.groups
    loose[model.first_year :] = spreads.years
    middle = np.concatenate([model.centre, np.zeros(model.size - SHARED)])
    pulls = np.diag(1 / loose)

    def residuals(values: Floats) -> Floats:
        mean, _ = model.mean_and_slopes(values)
        return np.concatenate(
            [errors.whitening @ (mean - cells.mean_mm), (values - middle) / loose]
        )

    def jacobian(values: Floats) -> Floats:
        _, slopes = model.mean_and_slopes(values)
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


def _told(model: _Model, mixture: _Mixture, rng: np.random.Generator, draws: int) -> YearEffects:
    drawn = mixture.draw(rng, draws)
    middle = mixture.weights @ mixture.modes
    lived = model.lived.max(axis=0) >= MOSTLY
    recent = np.flatnonzero(lived)[-RECENT_YEARS:]
    effects = drawn[:, model.first_year :]
    lower, upper = np.exp(np.quantile(effects, (LOWER, UPPER), axis=0))
    ratios = np.exp(middle[model.first_year :])
    return YearEffects(
        average=_curves(model, middle, drawn, np.array([], dtype=np.int64)),
        recent=_curves(model, middle, drawn, recent),
        years=tuple(
            GrowthYear(year, float(ratios[place]), float(lower[place]), float(upper[place]))
            for place, year in enumerate(model.years)
        ),
        recent_years=tuple(model.years[place] for place in recent),
        year_sd=float(mixture.weights @ np.array([one.years for one in mixture.spreads])),
        seasons=int(np.unique(model.cells.year).size),
    )


def _curves(
    model: _Model, middle: Floats, drawn: Floats, years: np.ndarray
) -> tuple[DrawnCurve, ...]:
    """Return the groups' curves at the mean growth of some years;
    without any, of an average one.
    """
    every = np.vstack([middle, drawn])
    whole, rate = (np.exp(one) for one in model.group_values(every))
    pace = np.ones(every.shape[0])
    if years.size:
        pace = np.exp(every[:, model.first_year + years]).mean(axis=1)
    zero = every[:, 2] / pace
    return tuple(
        DrawnCurve(
            Curve(float(whole[0, place]), float(rate[0, place] * pace[0]), float(zero[0])),
            Draws(whole[1:, place], rate[1:, place] * pace[1:], zero[1:], drawn.shape[0]),
        )
        for place in range(model.groups)
    )
