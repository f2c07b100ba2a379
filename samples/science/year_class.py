"""Year classes: their share of a season's fish, and how strong each is."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import ages_in_years, alike, at_least, not_negative, whole
from samples.science.errors import CannotEstimate

Floats = npt.NDArray[np.float64]

LOWER, UPPER = 0.025, 0.975
HALF = 0.5
FEWEST_AGES = 4


@dataclass(frozen=True, slots=True)
class ShareOfClass:
    """Share of the fish of a season that one year class makes, with its 95% interval."""

    year_class: int
    share: float
    lower: float
    upper: float


@dataclass(frozen=True, slots=True)
class YearClassResidual:
    """How much one year class stands over or under the catch curve.

    Attributes
    ----------
    year_class, age : int
        Year of hatching, and age in the season.
    residual : float
        Of log numbers about the curve.
    index : float
        Residual over its standard error with this class left out (externally studentised).
    lower, upper : float
        95% interval of the residual, by Student's t.
    """

    year_class: int
    age: int
    residual: float
    index: float
    lower: float
    upper: float


@dataclass(frozen=True, slots=True)
class Strengths:
    """Year classes of one season about its catch curve; ``slope`` is -Z, per year."""

    classes: tuple[YearClassResidual, ...]
    intercept: float
    slope: float


def shares_of_classes(
    ages: npt.ArrayLike, numbers: npt.ArrayLike, drawn: npt.ArrayLike, *, season_year: int
) -> list[ShareOfClass]:
    """Return the share of each year class among the fish of a season.

    Parameters
    ----------
    ages : array_like of int, shape (ages,)
        Whole ages in the season.
    numbers : array_like, shape (ages,)
        Fish of each age, as the measured fish have them.
    drawn : array_like, shape (draws, ages)
        The same of each resample.
    season_year : int
        Calendar year in which the fish were caught.

    Returns
    -------
    list of ShareOfClass
        Youngest first.

    Raises
    ------
    ValueError
        If shapes do not match, an age is not whole, or a number is negative or not finite.
    CannotEstimate
        no_fish; no_resample.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.year_class import shares_of_classes
    >>> ages, numbers = np.arange(2, 9), np.array([200, 120, 70, 40, 26, 15, 8])
    >>> rows = shares_of_classes(ages, numbers, np.tile(numbers, (5, 1)), season_year=2026)
    >>> rows[0].year_class, round(rows[0].share, 2)
    (2024, 0.42)
    """
    age = whole(ages_in_years(ages), "ages")
    number = not_negative(numbers, "numbers")
    alike(ages=age, numbers=number)
    at_least(season_year, 0, "season_year")
    every = not_negative(drawn, "drawn", ndim=2)
    if every.shape[1] != age.size:
        raise ValueError("drawn must have a column for each age")
    if number.sum() <= 0:
        raise CannotEstimate("no_fish", "There are no aged fish in this season yet.")
    # A resample whose aged fish met no measured one says nothing.
    every = every[every.sum(axis=1) > 0]
    if not every.size:
        raise CannotEstimate("no_resample", "Too few fish are aged to say how sure the shares are.")
    of_all = every / every.sum(axis=1, keepdims=True)
    lower, upper = np.quantile(of_all, (LOWER, UPPER), axis=0)
    return [
        ShareOfClass(season_year - int(one), float(share), float(low), float(high))
        for one, share, low, high in zip(age, number / number.sum(), lower, upper, strict=True)
    ]


def class_strengths(ages: npt.ArrayLike, numbers: npt.ArrayLike, *, season_year: int) -> Strengths:
    """Compare year classes by their distance from the catch curve [1]_, [2]_.

    Parameters
    ----------
    ages : array_like of int, shape (ages,)
        Whole ages from the first fully caught one on.
    numbers : array_like, shape (ages,)
        Fish of each age, above 0.
    season_year : int
        Calendar year in which the fish were caught.

    Returns
    -------
    Strengths
        Residuals of ``ln N = a - Z age`` by least squares without weights.

    Raises
    ------
    ValueError
        If shapes differ, an age is not whole, or a number is negative or not finite.
    CannotEstimate
        too_few_ages, with fewer than 4 that have fish.

    References
    ----------
    .. [1] Maceina (1997), Fish. Res. 32:115-121.
    .. [2] Cook & Weisberg (1982), Residuals and Influence in Regression, for studentised
       residuals.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.year_class import class_strengths
    >>> ages, numbers = np.arange(2, 9), np.array([200, 120, 70, 40, 26, 15, 8])
    >>> found = class_strengths(ages, numbers, season_year=2026)
    >>> round(-found.slope, 2), found.classes[0].year_class
    (0.53, 2024)
    """
    age = whole(ages_in_years(ages), "ages").astype(np.float64)
    number = not_negative(numbers, "numbers")
    alike(ages=age, numbers=number)
    at_least(season_year, 0, "season_year")
    age, number = age[number > 0], number[number > 0]
    if age.size < FEWEST_AGES:
        raise CannotEstimate(
            "too_few_ages",
            f"Year classes are told apart from at least {FEWEST_AGES} ages past the most numerous "
            f"one; here are {age.size}.",
        )
    from scipy.stats import t as t_distribution

    design = np.column_stack([np.ones_like(age), age])
    values, *_ = np.linalg.lstsq(design, np.log(number), rcond=None)
    residual = np.log(number) - design @ values
    leverage = np.diag(design @ np.linalg.pinv(design))
    df = age.size - 2
    # Numbers that fall on the line to the last digit have residuals of rounding alone.
    variance = max(float(residual @ residual) / df, 1e-24)
    inner = residual / np.sqrt(variance * (1 - leverage))
    index = inner * np.sqrt((df - 1) / np.maximum(df - inner**2, 1e-12))
    half = float(t_distribution.ppf(UPPER, df)) * np.sqrt(variance * (1 - leverage))
    classes = tuple(
        YearClassResidual(
            year_class=season_year - int(age[place]),
            age=int(age[place]),
            residual=float(residual[place]),
            index=float(index[place]),
            lower=float(residual[place] - half[place]),
            upper=float(residual[place] + half[place]),
        )
        for place in range(age.size)
    )
    return Strengths(classes, float(values[0]), float(values[1]))


def finding(shares: list[ShareOfClass], *, season: str) -> str:
    """Return a sentence on which year class makes most of a season's fish, as far as it is sure.

    Parameters
    ----------
    shares : list of ShareOfClass
        Year classes of one season.
    season : str
        What the season is called.

    Returns
    -------
    str

    Raises
    ------
    ValueError
        If there are no shares.

    Examples
    --------
    >>> from samples.science.year_class import ShareOfClass, finding
    >>> shares = [ShareOfClass(2022, 0.7, 0.6, 0.8), ShareOfClass(2023, 0.3, 0.2, 0.4)]
    >>> finding(shares, season="2026")
    'More than half of the 2026 fish were hatched in 2022.'
    """
    most = max(shares, key=lambda one: one.share)
    fish = f"of the {season} fish"
    if most.lower > HALF:
        return f"More than half {fish} were hatched in {most.year_class}."
    others = [one.upper for one in shares if one is not most]
    if most.lower > max(others, default=0.0):
        percent = f"{100 * most.share:.0f}%"
        return f"The largest share {fish}, about {percent}, was hatched in {most.year_class}."
    return f"No year class clearly makes the largest share {fish}."


def followed(seasons: Mapping[int, list[ShareOfClass]]) -> dict[int, list[tuple[int, float]]]:
    """Follow each year class over seasons: class -> (season year, share), in order.

    Parameters
    ----------
    seasons : mapping of int to list of ShareOfClass
        Year classes of each season.

    Returns
    -------
    dict of int to list of (int, float)
        Season and share of each year class.

    Examples
    --------
    >>> from samples.science.year_class import ShareOfClass, followed
    >>> before, after = ShareOfClass(2022, 0.5, 0.4, 0.6), ShareOfClass(2022, 0.4, 0.3, 0.5)
    >>> followed({2025: [before], 2026: [after]})
    {2022: [(2025, 0.5), (2026, 0.4)]}
    """
    found: dict[int, list[tuple[int, float]]] = {}
    for year in sorted(seasons):
        for one in seasons[year]:
            found.setdefault(one.year_class, []).append((year, one.share))
    return found
