"""Death rates from numbers at age, and the conversions between rates.

Numbers at age are those of the measured fish, expanded by an age-length key: aged fish picked by
length are no sample of the ages, and their counts give too low a rate.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import ages_in_years, alike, at_least, not_negative, whole
from samples.science.errors import CannotEstimate

Floats = npt.NDArray[np.float64]

FEWEST_AGES = 3
FEWEST_FISH = 30
LOWER, UPPER = 0.025, 0.975


@dataclass(frozen=True, slots=True)
class DeathRate:
    """A total rate of death Z, per year, from one catch.

    Attributes
    ----------
    method : str
        "chapman_robson" or "weighted_regression".
    z : float
        Z, per year.
    se : float
        Standard error, spread of the year classes included.
    a : float
        A = 1 - exp(-Z), the share that dies in a year.
    first_age : int
        From this age on the fish are counted.
    n : float
        Fish counted.
    over : float or None
        c-hat, how much more the numbers scatter than chance alone lets them.
    warnings : tuple of (str, str)
        Code and sentence.
    """

    method: str
    z: float
    se: float
    a: float
    first_age: int
    n: float
    over: float | None
    warnings: tuple[tuple[str, str], ...] = ()


def chapman_robson(
    ages: npt.ArrayLike, numbers: npt.ArrayLike, *, first_age: int | None = None
) -> DeathRate:
    """Estimate Z from the mean age of the fish past the most numerous one [1]_, [2]_, [3]_.

    Parameters
    ----------
    ages : array_like of int, shape (ages,)
        Whole ages without gaps, rising.
    numbers : array_like, shape (ages,)
        Fish of each age.
    first_age : int, optional
        From this age on fish count; the age after the most numerous unless given.

    Returns
    -------
    DeathRate
        ``S = T / (n + T - 1)``, ``Z = -ln S - (n-1)(n-2) / (n (T+1)(n+T-1))``, with ``SE =
        (1 - exp(-Z)) / sqrt(n exp(-Z))`` times the square root of c-hat where that exceeds 1.

    Raises
    ------
    ValueError
        If shapes differ, ages leave a gap, or a number is negative or not finite.
    CannotEstimate
        no_fish; too_few_ages, with fewer than 3, or too_few_fish, with fewer than 30, from the
        first age on; one_age.

    References
    ----------
    .. [1] Chapman & Robson (1960), Biometrics 16:354-368.
    .. [2] Hoenig, Lawing & Hoenig (1983), ICES CM 1983/D:23.
    .. [3] Smith et al. (2012), N. Am. J. Fish. Manage. 32:956-967.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.mortality import chapman_robson
    >>> ages, numbers = np.arange(2, 9), np.array([200, 120, 70, 40, 26, 15, 8])
    >>> round(chapman_robson(ages, numbers).z, 3)
    0.612
    """
    age, number = _checked(ages, numbers)
    start = _peak(age, number) + 1 if first_age is None else first_age
    at_least(start, 0, "first_age")
    kept = age >= start
    age, number = age[kept], number[kept]
    _refuse_if_few(age, number)
    coded = age - age[0]
    n, total = float(number.sum()), float(number @ coded)
    if total <= 0:
        raise CannotEstimate("one_age", "All these fish are of one age, so no death rate shows.")
    survival = total / (n + total - 1)
    z = -np.log(survival) - (n - 1) * (n - 2) / (n * (total + 1) * (n + total - 1))
    over = overdispersion(number, survival)
    plain = (1 - np.exp(-z)) / np.sqrt(n * np.exp(-z))
    return DeathRate(
        method="chapman_robson",
        z=float(z),
        se=float(plain * np.sqrt(max(over, 1.0))),
        a=float(-np.expm1(-z)),
        first_age=int(age[0]),
        n=n,
        over=over,
    )


def overdispersion(numbers: npt.ArrayLike, survival: float) -> float:
    """Return c-hat: Pearson's chi-squared of numbers at age over its degrees of freedom.

    Parameters
    ----------
    numbers : array_like, shape (ages,)
        Fish of each age from the first one on.
    survival : float
        Share that lives through a year.

    Returns
    -------
    float
        Against the same number of fish dying steadily, ages past the last one left out of the
        expectation; ages less 1 degrees of freedom.

    Raises
    ------
    ValueError
        If a number is negative or not finite, or the share is not between 0 and 1.
    CannotEstimate
        too_few_ages, with fewer than 2; no_fish.

    Examples
    --------
    >>> from samples.science.mortality import overdispersion
    >>> round(overdispersion([200, 120, 70, 40, 26, 15, 8], 0.6), 2)
    0.13
    """
    number = not_negative(numbers, "numbers")
    if not 0 < survival < 1:
        raise ValueError("survival must lie between 0 and 1")
    if number.size < 2:
        raise CannotEstimate("too_few_ages", "Scatter about a catch curve needs 2 ages or more.")
    if number.sum() <= 0:
        raise CannotEstimate("no_fish", "There are no numbers at age to work with.")
    expected = number.sum() * (1 - survival) * survival ** np.arange(number.size)
    return float(((number - expected) ** 2 / expected).sum() / (number.size - 1))


def weighted_regression(
    ages: npt.ArrayLike, numbers: npt.ArrayLike, *, first_age: int | None = None
) -> DeathRate:
    """Estimate Z as the slope of log numbers on age, weighted by what a plain line predicts [1]_.

    Parameters
    ----------
    ages, numbers
        As for `chapman_robson`.
    first_age : int, optional
        From this age on; the most numerous unless given.

    Returns
    -------
    DeathRate

    Raises
    ------
    ValueError
        As `chapman_robson`.
    CannotEstimate
        As `chapman_robson`; no_weight, where the plain line leaves too few ages a weight;
        no_decline, where numbers rise with age.

    References
    ----------
    .. [1] Maceina & Bettoli (1998), N. Am. J. Fish. Manage. 18:998-1003.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.mortality import weighted_regression
    >>> ages, numbers = np.arange(2, 9), np.array([200, 120, 70, 40, 26, 15, 8])
    >>> round(weighted_regression(ages, numbers).z, 3)
    0.527
    """
    age, number = _checked(ages, numbers)
    start = _peak(age, number) if first_age is None else first_age
    at_least(start, 0, "first_age")
    kept = (age >= start) & (number > 0)
    age, number = age[kept], number[kept]
    _refuse_if_few(age, number)
    log = np.log(number)
    plain = np.polynomial.Polynomial.fit(age, log, 1).convert()
    weight = plain(age)
    warnings: tuple[tuple[str, str], ...] = ()
    if (weight <= 0).any():
        left_out = ", ".join(str(int(one)) for one in age[weight <= 0])
        keep = weight > 0
        age, log, weight = age[keep], log[keep], weight[keep]
        if age.size < FEWEST_AGES:
            raise CannotEstimate("no_weight", "Too few old fish for a weighted catch curve.")
        sentence = f"Age {left_out} had no weight in the weighted regression and is left out."
        warnings = (("age_left_out", sentence),)
    weight = weight / weight.mean()
    mean_age, mean_log = np.average(age, weights=weight), np.average(log, weights=weight)
    square = float(weight @ (age - mean_age) ** 2)
    slope = float(weight @ ((age - mean_age) * (log - mean_log)) / square)
    if slope >= 0:
        raise CannotEstimate(
            "no_decline", "Numbers do not fall with age here, so no death rate shows."
        )
    residual = log - mean_log - slope * (age - mean_age)
    variance = float(weight @ residual**2) / (age.size - 2)
    return DeathRate(
        method="weighted_regression",
        z=-slope,
        se=float(np.sqrt(variance / square)),
        a=float(-np.expm1(slope)),
        first_age=int(age[0]),
        n=float(number.sum()),
        over=None,
        warnings=warnings,
    )


def drawn_rates(ages: npt.ArrayLike, drawn: npt.ArrayLike, *, first_age: int) -> Floats:
    """Work Z out anew for each draw of numbers at age, both stages of sampling in it.

    Parameters
    ----------
    ages : array_like of int, shape (ages,)
        Whole ages.
    drawn : array_like, shape (draws, ages)
        Numbers at age of each resample of key and measured fish.
    first_age : int
        From this age on, the same for every draw.

    Returns
    -------
    ndarray, shape (found,)
        Z of the draws that have at least two ages with fish; sort or take quantiles of them.

    Raises
    ------
    ValueError
        If shapes do not match, or a number is negative or not finite.
    CannotEstimate
        no_resample, where no draw carries a rate.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.mortality import drawn_rates
    >>> ages, numbers = np.arange(2, 9), np.array([200, 120, 70, 40, 26, 15, 8])
    >>> drawn_rates(ages, np.tile(numbers, (3, 1)), first_age=2).round(3)
    array([0.58, 0.58, 0.58])
    """
    age = ages_in_years(ages)
    every = not_negative(drawn, "drawn", ndim=2)
    if every.shape[1] != age.size:
        raise ValueError("drawn must have a column for each age")
    at_least(first_age, 0, "first_age")
    numbers = every[:, age >= first_age]
    coded = np.arange(numbers.shape[1])
    n, total = numbers.sum(axis=1), numbers @ coded
    good = (total > 0) & (n > 2)
    if not good.any():
        raise CannotEstimate("no_resample", "Resampled, these fish give no mortality estimate.")
    n, total = n[good], total[good]
    survival = total / (n + total - 1)
    rates: Floats = -np.log(survival) - (n - 1) * (n - 2) / (n * (total + 1) * (n + total - 1))
    return rates


def _checked(ages: npt.ArrayLike, numbers: npt.ArrayLike) -> tuple[Floats, Floats]:
    age = ages_in_years(ages)
    number = not_negative(numbers, "numbers")
    alike(ages=age, numbers=number)
    whole(age, "ages")
    if (np.diff(age) != 1).any():
        raise ValueError("ages must follow one another; give 0 fish where there are none")
    if not number.any():
        raise CannotEstimate("no_fish", "There are no numbers at age to work with.")
    return age, number


def _peak(age: Floats, number: Floats) -> int:
    return int(age[np.argmax(number)])


def _refuse_if_few(age: Floats, number: Floats) -> None:
    n = number.sum()
    ages = int(np.count_nonzero(number))
    if ages < FEWEST_AGES:
        raise CannotEstimate(
            "too_few_ages",
            f"A death rate needs at least {FEWEST_AGES} ages past the most numerous one; here are "
            f"{ages}.",
        )
    if n < FEWEST_FISH:
        raise CannotEstimate(
            "too_few_fish",
            f"A death rate needs at least {FEWEST_FISH} fish past the most numerous age; here are "
            f"{n:.0f}.",
        )
