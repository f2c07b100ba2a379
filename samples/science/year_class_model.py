"""Total mortality and year classes in one model of the numbers at age of several seasons.

``N_ya ~ Poisson(exp(d_y - Z (a - a0) + log kept_a + u_c))`` with the class c = y - a. Each season
has a level d_y of its own, so no effort is needed; class effects u_c are drawn towards 0 by a
normal prior whose spread is estimated too. Fish of several arms may share their classes and die
at rates of their own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from samples.science.arguments import (
    Floats,
    Ints,
    ages_in_years,
    alike,
    at_least,
    not_negative,
    positive,
    whole,
)
from samples.science.errors import CannotEstimate

FEWEST_AGES, FEWEST_AGED = 3, 30
# Spreads of recruitment (sd of its logarithm) that are tried, and the scale of their prior.
SPREADS = np.geomspace(0.03, 2.5, 14)
PRIOR_SCALE = 1.0
STEPS, CLOSE = 60, 1e-9
LOWER, UPPER = 0.025, 0.975
# A class is named only where so many aged fish were expected; one without fish, where so many.
FEWEST_EXPECTED, FEWEST_EXPECTED_OF_NONE = 5.0, 3.0
FEWEST_SEASONS = 2
# Without a prior of their own, levels and Z are held this loosely: it keeps the algebra sound.
HARDLY = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class CatchAtAge:
    """Fish at age of one season and one way of capture, from the first fully caught age on.

    Attributes
    ----------
    season_year : int
        Calendar year of the season.
    ages : (ages,) int array
        Whole years, each one more than the last; old ages without fish stay in.
    numbers : (ages,) float array
        Fish of each age that the sample is worth: its effective number times the share of the age.
    kept : (ages,) float array
        Share of the age that is long enough to be kept, above 0 and at most 1.
    aged : int
        Fish of these ages that were aged.
    group : int
        Fish of one group, such as an arm, die at one rate; classes are shared by all groups.

    Raises
    ------
    ValueError
        If shapes differ, ages leave a gap, or a number is negative or not finite.
    """

    season_year: int
    ages: Ints
    numbers: Floats
    kept: Floats
    aged: int
    group: int = 0

    def __post_init__(self) -> None:
        ages = whole(ages_in_years(self.ages), "ages")
        numbers, kept = not_negative(self.numbers, "numbers"), positive(self.kept, "kept")
        alike(ages=ages, numbers=numbers, kept=kept)
        at_least(self.season_year, 0, "season_year")
        at_least(self.aged, 0, "aged")
        at_least(self.group, 0, "group")
        if (np.diff(ages) != 1).any():
            raise ValueError("ages must follow one another; give 0 fish where there are none")
        if (kept > 1).any():
            raise ValueError("kept must be at most 1")


class Strength(StrEnum):
    """What may be said of a year class."""

    STRONG = "strong"
    WEAK = "weak"
    NOT_DIFFERENT = "not different from the average"
    NOT_SAMPLED = "not sampled"


@dataclass(frozen=True, slots=True)
class YearClass:
    """One year class against the mean class, as a ratio with its 95 % interval.

    Attributes
    ----------
    year : int
        Year of hatching.
    ratio, lower, upper : float
        Times the mean class (geometric).
    seen : float
        Fish of it, as the samples are worth.
    expected_aged : float
        Aged fish that a mean class would have had.
    strength : Strength
    """

    year: int
    ratio: float
    lower: float
    upper: float
    seen: float
    expected_aged: float
    strength: Strength


@dataclass(frozen=True, slots=True, eq=False)
class CatchCurve:
    """Total mortality with the year classes that it was told apart from.

    Attributes
    ----------
    z, se : float
        Z, per year, and its standard error; of several groups, of the first.
    z_draws : (draws,) float array
        Z drawn from the fit, the spread of recruitment drawn with it.
    recruitment_sd : float
        Standard deviation of the logarithm of year-class strength.
    classes : tuple of YearClass
        Oldest first.
    seasons : int
        Seasons with fish.
    aged : int
        Aged fish that it rests on.
    most_moved : float
        The largest change of Z when one class is left out, in standard errors.
    moved_by : int or None
        The class that does so.
    """

    z: float
    se: float
    z_draws: Floats
    recruitment_sd: float
    classes: tuple[YearClass, ...]
    seasons: int
    aged: int
    most_moved: float
    moved_by: int | None

    @property
    def interval(self) -> tuple[float, float]:
        """Give the middle 95 % of the draws of Z."""
        lower, upper = np.quantile(self.z_draws, (LOWER, UPPER))
        return float(lower), float(upper)

    @property
    def annual_mortality(self) -> float:
        """Give A = 1 - exp(-Z)."""
        return float(-np.expm1(-self.z))


def effective_number(shares: npt.ArrayLike, drawn: npt.ArrayLike) -> float:
    """Give how many independently aged fish would know the shares of ages as well.

    Parameters
    ----------
    shares : array_like, shape (ages,)
        Shares of the ages.
    drawn : array_like, shape (draws, ages)
        The same of each resample, both stages of sampling in them.

    Returns
    -------
    float
        ``sum p (1 - p) / sum var(p)``.

    Raises
    ------
    ValueError
        If shapes do not match, or a share is negative, above 1 or not finite.
    CannotEstimate
        no_spread, where the resamples do not differ.
    """
    p, every = not_negative(shares, "shares"), not_negative(drawn, "drawn", ndim=2)
    if every.shape[1:] != p.shape:
        raise ValueError("drawn must have a column for each age")
    if (p > 1).any() or (every > 1).any():
        raise ValueError("shares must be at most 1")
    variance = float(every.var(axis=0).sum()) if every.size else 0.0
    if variance <= 0 or not (p * (1 - p)).any():
        raise CannotEstimate("no_spread", "The resamples of these ages do not differ.")
    return float((p * (1 - p)).sum()) / variance


def fit_catch_curve(
    series: Sequence[CatchAtAge], *, rng: np.random.Generator, draws: int = 2_000
) -> CatchCurve:
    """Estimate Z and the strength of year classes together.

    A steady trend in recruitment looks the same as a change in Z: season, age and class hold one
    linear trend in common, and the prior of the classes sets it to none.

    Parameters
    ----------
    series : sequence of CatchAtAge
        One for each season and way of capture.
    rng : numpy.random.Generator
    draws : int
        Number of draws of Z and of the classes.

    Returns
    -------
    CatchCurve

    Raises
    ------
    ValueError
        If draws is below 1.
    CannotEstimate
        too_few_fish, with fewer than 30 aged; too_few_ages, with fewer than 3 that have fish.

    References
    ----------
    Maceina (1997), Fish. Res. 32:115-121, for year classes as departures from a catch curve.
    Catalano, Dutterer, Pine & Allen (2009), N. Am. J. Fish. Manage. 29:295-305, for how little one
    season's departures tell. Breslow & Clayton (1993), J. Am. Stat. Assoc. 88:9-25, for the
    approximation of the likelihood.
    """
    at_least(draws, 1, "draws")
    used = [one for one in series if one.ages.size and one.numbers.sum() > 0]
    _refuse_if_few(used)
    cells = _Cells.of(used)
    fits = cells.fit()
    theta = fits.draw(rng, draws)
    z_draws = theta[:, cells.levels]
    effects = theta[:, cells.first_class :]
    effects = effects - effects.mean(axis=1, keepdims=True)
    se = max(float(z_draws.std()), 1e-12)
    moved = {year: abs(cells.without(place).fit().z - fits.z) / se
             for place, year in enumerate(cells.years)}  # fmt: skip
    most = max(moved, key=lambda year: moved[year]) if len(moved) > 2 else None
    return CatchCurve(
        z=fits.z,
        se=se,
        z_draws=z_draws,
        recruitment_sd=fits.recruitment_sd,
        classes=_classes(cells, fits, effects, seasons=len({one.season_year for one in used})),
        seasons=len({one.season_year for one in used}),
        aged=sum(one.aged for one in used),
        most_moved=moved[most] if most is not None else 0.0,
        moved_by=most,
    )


def _refuse_if_few(used: Sequence[CatchAtAge]) -> None:
    aged = sum(one.aged for one in used)
    with_fish = {int(age) for one in used for age in one.ages[one.numbers > 0]}
    if len(with_fish) < FEWEST_AGES:
        raise CannotEstimate(
            "too_few_ages",
            f"Total mortality needs at least {FEWEST_AGES} fully recruited ages with fish; here "
            f"are {len(with_fish)}.",
        )
    if aged < FEWEST_AGED:
        raise CannotEstimate(
            "too_few_fish",
            f"Total mortality needs at least {FEWEST_AGED} aged fish of fully recruited ages; here "
            f"are {aged}.",
        )


@dataclass(frozen=True, slots=True, eq=False)
class _Cells:
    """Numbers of every season and age, with the columns that stand for them.

    ``design`` has the levels of the series, then minus the age about its mean for each group, then
    the classes from the column ``first_class`` on.
    """

    numbers: Floats
    offset: Floats
    design: Floats
    levels: int
    first_class: int
    years: tuple[int, ...]
    aged_share: Floats

    @classmethod
    def of(cls, used: Sequence[CatchAtAge]) -> "_Cells":
        place = np.concatenate([np.full(one.ages.size, k) for k, one in enumerate(used)])
        ages = np.concatenate([one.ages for one in used]).astype(np.float64)
        born = np.concatenate([one.season_year - one.ages for one in used])
        years = np.unique(born)
        numbers = np.concatenate([one.numbers for one in used]).astype(np.float64)
        middle = float(np.average(ages, weights=numbers))
        group = np.concatenate([np.full(one.ages.size, one.group) for one in used])
        groups = np.unique(group)
        design = np.hstack(
            [
                (place[:, None] == np.arange(len(used))).astype(np.float64),
                -(ages - middle)[:, None] * (group[:, None] == groups),
                (born[:, None] == years).astype(np.float64),
            ]
        )
        share = np.array([one.aged / one.numbers.sum() for one in used])
        offset = np.log(np.concatenate([one.kept for one in used]))
        return cls(
            numbers,
            offset,
            design,
            len(used),
            len(used) + groups.size,
            tuple(int(year) for year in years),
            share[place],
        )

    def without(self, place: int) -> "_Cells":
        """Give the cells with the fish of one class left out."""
        keep = self.design[:, self.first_class + place] == 0
        return _Cells(
            self.numbers[keep],
            self.offset[keep],
            self.design[keep],
            self.levels,
            self.first_class,
            self.years,
            self.aged_share[keep],
        )

    def fit(self) -> "_Fits":
        """Fit at every spread of recruitment, and weigh the spreads by what they explain."""
        theta = np.zeros(self.design.shape[1])
        theta[self.levels : self.first_class] = 0.5
        for place in range(self.levels):
            here = self.design[:, place] > 0
            level = self.numbers[here].sum() / max(int(here.sum()), 1)
            theta[place] = np.log(max(level, 0.1))
        modes: list[Floats] = []
        roots: list[Floats] = []
        logs: list[float] = []
        for spread in SPREADS:
            theta, hessian, log_posterior = self._mode(theta, float(spread))
            root = np.asarray(np.linalg.cholesky(hessian), dtype=np.float64)
            modes.append(theta)
            roots.append(root)
            prior = -0.5 * (spread / PRIOR_SCALE) ** 2 + np.log(spread)
            logs.append(
                log_posterior
                - len(self.years) * np.log(spread)
                - float(np.log(np.diag(root)).sum())
                + prior
            )
        weights = np.exp(np.array(logs) - max(logs))
        return _Fits(np.array(modes), roots, weights / weights.sum(), self.levels)

    def _mode(self, theta: Floats, spread: float) -> tuple[Floats, Floats, float]:
        """Climb to the mode at one spread by Newton's steps, halved where they overshoot."""
        penalty = np.full(theta.size, HARDLY)
        penalty[self.first_class :] = 1 / spread**2
        value = self._log_posterior(theta, penalty)
        for _ in range(STEPS):
            mean = np.exp(self.design @ theta + self.offset)
            gradient = self.design.T @ (self.numbers - mean) - penalty * theta
            hessian = self.design.T @ (mean[:, None] * self.design) + np.diag(penalty)
            step = np.linalg.solve(hessian, gradient)
            size = 1.0
            while size > 1e-6:
                moved = self._log_posterior(theta + size * step, penalty)
                if moved >= value:
                    break
                size /= 2
            theta, gained, value = theta + size * step, moved - value, moved
            if abs(gained) < CLOSE:
                break
        mean = np.exp(self.design @ theta + self.offset)
        hessian = self.design.T @ (mean[:, None] * self.design) + np.diag(penalty)
        return theta, hessian, value

    def _log_posterior(self, theta: Floats, penalty: Floats) -> float:
        log_mean = np.minimum(self.design @ theta + self.offset, 50.0)
        fit = self.numbers @ log_mean - np.exp(log_mean).sum()
        return float(fit - 0.5 * penalty @ theta**2)


@dataclass(frozen=True, slots=True, eq=False)
class _Fits:
    """Modes at each spread of recruitment, roots of their curvatures, and their weights."""

    modes: Floats
    roots: list[Floats]
    weights: Floats
    levels: int

    @property
    def mean(self) -> Floats:
        return np.asarray(self.weights @ self.modes, dtype=np.float64)

    @property
    def z(self) -> float:
        return float(self.mean[self.levels])

    @property
    def recruitment_sd(self) -> float:
        return float(self.weights @ SPREADS)

    def draw(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw from the mixture of normals; shape (count, values)."""
        chosen = rng.choice(self.weights.size, count, p=self.weights)
        normal = rng.standard_normal((count, self.modes.shape[1]))
        drawn = np.empty_like(normal)
        for place in np.unique(chosen):
            here = chosen == place
            spread = np.linalg.solve(self.roots[place].T, normal[here].T).T
            drawn[here] = self.modes[place] + spread
        return drawn


def _classes(cells: _Cells, fits: _Fits, effects: Floats, *, seasons: int) -> tuple[YearClass, ...]:
    mean = fits.mean.copy()
    mean[cells.first_class :] = mean[cells.first_class :].mean()
    expected = np.exp(cells.design @ mean + cells.offset)
    of_class = cells.design[:, cells.first_class :]
    seen = cells.numbers @ of_class
    expected_aged = (expected * cells.aged_share) @ of_class
    lower, middle, upper = np.exp(np.quantile(effects, (LOWER, 0.5, UPPER), axis=0))
    return tuple(
        YearClass(
            year,
            float(middle[place]),
            float(lower[place]),
            float(upper[place]),
            float(seen[place]),
            float(expected_aged[place]),
            _strength(
                float(lower[place]),
                float(upper[place]),
                float(seen[place]),
                float(expected_aged[place]),
                seasons,
            ),
        )
        for place, year in enumerate(cells.years)
    )


def _strength(lower: float, upper: float, seen: float, expected: float, seasons: int) -> Strength:
    if seen == 0 and expected < FEWEST_EXPECTED_OF_NONE:
        return Strength.NOT_SAMPLED
    enough = expected >= (FEWEST_EXPECTED_OF_NONE if seen == 0 else FEWEST_EXPECTED)
    if seasons >= FEWEST_SEASONS and enough and lower > 1:
        return Strength.STRONG
    if seasons >= FEWEST_SEASONS and enough and upper < 1:
        return Strength.WEAK
    return Strength.NOT_DIFFERENT
