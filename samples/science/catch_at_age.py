"""Numbers at age of seasons, and the fit of levels, mortality and year classes to them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

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

# Spreads of recruitment (sd of its logarithm) that are tried, and the scale of their prior.
SPREADS = np.geomspace(0.03, 2.5, 14)
PRIOR_SCALE = 1.0
STEPS, CLOSE = 60, 1e-9
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


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
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
    def of(cls, used: Sequence[CatchAtAge]) -> "Cells":
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

    def without(self, place: int) -> "Cells":
        """Return the cells with the fish of one class left out."""
        keep = self.design[:, self.first_class + place] == 0
        return Cells(
            self.numbers[keep],
            self.offset[keep],
            self.design[keep],
            self.levels,
            self.first_class,
            self.years,
            self.aged_share[keep],
        )

    def fit(self) -> "Fits":
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
            theta, hessian, log_posterior = self.mode_at(theta, float(spread))
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
        return Fits(np.array(modes), roots, weights / weights.sum(), self.levels)

    def mode_at(self, theta: Floats, spread: float) -> tuple[Floats, Floats, float]:
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
class Fits:
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
