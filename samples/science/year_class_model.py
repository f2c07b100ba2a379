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

from samples.science.arguments import Floats, at_least, not_negative
from samples.science.catch_at_age import CatchAtAge, Cells, Fits
from samples.science.errors import CannotEstimate

FEWEST_AGES, FEWEST_AGED = 3, 30
LOWER, UPPER = 0.025, 0.975
# A class is named only where so many aged fish were expected; one without fish, where so many.
FEWEST_EXPECTED, FEWEST_EXPECTED_OF_NONE = 5.0, 3.0
FEWEST_SEASONS = 2


class YearClassRating(StrEnum):
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
    strength: YearClassRating


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
        """Return the middle 95 % of the draws of Z."""
        lower, upper = np.quantile(self.z_draws, (LOWER, UPPER))
        return float(lower), float(upper)

    @property
    def annual_mortality(self) -> float:
        """Return A = 1 - exp(-Z)."""
        return float(-np.expm1(-self.z))


def effective_number(shares: npt.ArrayLike, drawn: npt.ArrayLike) -> float:
    """Return how many independently aged fish would know the shares of ages as well.

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

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.year_class_model import effective_number
    >>> round(effective_number([0.5, 0.5], np.array([[0.4, 0.6], [0.6, 0.4]])))
    25
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
    series: Sequence[CatchAtAge],
    *,
    rng: np.random.Generator,
    draws: int = 2_000,
    leave_out: bool = True,
) -> CatchCurve:
    """Estimate Z and the strength of year classes together [1]_, [2]_, [3]_.

    A steady trend in recruitment looks the same as a change in Z: season, age and class hold one
    linear trend in common, and the prior of the classes sets it to none.

    Parameters
    ----------
    series : sequence of CatchAtAge
        One for each season and way of capture.
    rng : numpy.random.Generator
    draws : int
        Number of draws of Z and of the classes.
    leave_out : bool
        Fit once more without each class, to see how far Z hangs on one of them; half of the time.

    Returns
    -------
    CatchCurve
        Without ``leave_out``, ``most_moved`` is 0 and ``moved_by`` is None.

    Raises
    ------
    ValueError
        If draws is below 1.
    CannotEstimate
        too_few_fish, with fewer than 30 aged; too_few_ages, with fewer than 3 that have fish.

    References
    ----------
    .. [1] Maceina (1997), Fish. Res. 32:115-121, for year classes as departures from a catch
       curve.
    .. [2] Catalano, Dutterer, Pine & Allen (2009), N. Am. J. Fish. Manage. 29:295-305, for how
       little one season's departures tell.
    .. [3] Breslow & Clayton (1993), J. Am. Stat. Assoc. 88:9-25, for the approximation of the
       likelihood.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.catch_at_age import CatchAtAge
    >>> from samples.science.year_class_model import fit_catch_curve
    >>> ages, numbers = np.arange(2, 9), np.array([200.0, 120, 70, 40, 26, 15, 8])
    >>> series = [CatchAtAge(year, ages, numbers, np.ones(7), 80) for year in (2025, 2026)]
    >>> found = fit_catch_curve(series, rng=np.random.default_rng(1), draws=200)
    >>> round(found.z, 2)
    0.52
    """
    at_least(draws, 1, "draws")
    used = [one for one in series if one.ages.size and one.numbers.sum() > 0]
    _refuse_if_few(used)
    cells = Cells.of(used)
    fits = cells.fit()
    theta = fits.draw(rng, draws)
    z_draws = theta[:, cells.levels]
    effects = theta[:, cells.first_class :]
    effects = effects - effects.mean(axis=1, keepdims=True)
    se = max(float(z_draws.std()), 1e-12)
    moved = {year: abs(cells.without(place).fit().z - fits.z) / se
             for place, year in enumerate(cells.years if leave_out else ())}  # fmt: skip
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


def _classes(cells: Cells, fits: Fits, effects: Floats, *, seasons: int) -> tuple[YearClass, ...]:
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


def _strength(
    lower: float, upper: float, seen: float, expected: float, seasons: int
) -> YearClassRating:
    if seen == 0 and expected < FEWEST_EXPECTED_OF_NONE:
        return YearClassRating.NOT_SAMPLED
    enough = expected >= (FEWEST_EXPECTED_OF_NONE if seen == 0 else FEWEST_EXPECTED)
    if seasons >= FEWEST_SEASONS and enough and lower > 1:
        return YearClassRating.STRONG
    if seasons >= FEWEST_SEASONS and enough and upper < 1:
        return YearClassRating.WEAK
    return YearClassRating.NOT_DIFFERENT
