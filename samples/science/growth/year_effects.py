"""Growth over seasons, with good and poor growth years told apart from the curve.

Fish of one lake share good and bad years, and fish of seasons in a row lived the same ones; so
years, not fish, are the unit of chance. Mean length is ``Linf (1 - exp(-K (tau - t0)))``, where
``tau`` adds up ``exp(e_t)`` over the growing seasons that the fish lived, the last in part. The
effects ``e_t`` are normal about 0 and shared by all groups; groups have Linf and K of their own,
drawn towards a common one.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import ages_in_years, alike, at_least, not_negative, whole
from samples.science.errors import CannotEstimate
from samples.science.growth.cells import LATEST_YEAR, MeanLengths
from samples.science.growth.fit import FEWEST_AGES, Curve
from samples.science.growth.profile import Floats
from samples.science.growth.resample import LOWER, UPPER, Draws
from samples.science.growth.year_model import Mixture, Model, fit_mixture

RECENT_YEARS = 3
MOSTLY = 0.5


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
    """Fit the growth of groups and of years together [1]_, [2]_.

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
    .. [1] Weisberg, Spangler & Richmond (2010), Can. J. Fish. Aquat. Sci. 67:269-277, for
       growth years as random effects.
    .. [2] Rue, Martino & Chopin (2009), J. R. Stat. Soc. B 71:319-392, for a mixture of normal
       approximations over a grid of standard deviations.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.cells import MeanLengths
    >>> from samples.science.growth.fit import Curve
    >>> from samples.science.growth.year_effects import fit_year_effects
    >>> curve, age = Curve(350, 0.4, 0), np.arange(1, 7)
    >>> cells = MeanLengths(
    ...     group=np.zeros(6, dtype=int),
    ...     year=np.full(6, 2026),
    ...     age=age,
    ...     part=np.full(6, 0.2),
    ...     mean_mm=curve.length_at(age + 0.2),
    ...     se_mm=np.full(6, 5.0),
    ...     kept_from_mm=np.zeros(6),
    ...     cv=np.full(6, 0.08),
    ... )
    >>> found = fit_year_effects(cells, curve, rng=np.random.default_rng(1), draws=100)
    >>> found.seasons, found.recent_years
    (1, (2023, 2024, 2025))
    """
    at_least(draws, 1, "draws")
    if not (start.linf_mm > 0 and start.k > 0 and np.isfinite(start.t0)):
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
    model = Model.of(cells, start)
    mixture = fit_mixture(model)
    return _told(model, mixture, rng, draws)


def _told(model: Model, mixture: Mixture, rng: np.random.Generator, draws: int) -> YearEffects:
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
    model: Model, middle: Floats, drawn: Floats, years: np.ndarray
) -> tuple[DrawnCurve, ...]:
    """Return the groups' curves at the mean growth of some years;
    without any, of an average one.
    """
    every = np.vstack([middle, drawn])
    whole, k = (np.exp(one) for one in model.group_values(every))
    pace = np.ones(every.shape[0])
    if years.size:
        pace = np.exp(every[:, model.first_year + years]).mean(axis=1)
    zero = every[:, 2] / pace
    return tuple(
        DrawnCurve(
            Curve(float(whole[0, place]), float(k[0, place] * pace[0]), float(zero[0])),
            Draws(whole[1:, place], k[1:, place] * pace[1:], zero[1:], drawn.shape[0]),
        )
        for place in range(model.groups)
    )
