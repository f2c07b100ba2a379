"""Rates of death, converted; natural death from how long fish live; the share taken, from tags."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import LARGEST, alike, finite, not_negative
from samples.science.errors import CannotEstimate

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Rates:
    """Fishing and natural death working through a year; all arrays or floats alike.

    Attributes
    ----------
    z, f, m : Z, F, M, per year
    a : A, share that dies in a year
    u, v : share that is taken, and that dies of natural causes, in a year
    conditional_taken, conditional_lost : cf and cm, the same if the other were not
    """

    z: Floats
    f: Floats
    m: Floats
    a: Floats
    u: Floats
    v: Floats
    cf: Floats
    cm: Floats


def rates_of(f: npt.ArrayLike, m: npt.ArrayLike) -> Rates:
    """Convert F and M into every other rate [1]_.

    Parameters
    ----------
    f, m : array_like
        F and M, per year, broadcast against each other.

    Returns
    -------
    Rates

    Raises
    ------
    ValueError
        If a rate is negative or not finite, or both are 0.

    References
    ----------
    .. [1] Ricker (1975), Bull. Fish. Res. Board Can. 191, ch. 1: A = 1 - exp(-Z), u = F A / Z,
       v = M A / Z.

    Examples
    --------
    >>> from samples.science.rates import rates_of
    >>> found = rates_of(f=0.3, m=0.4)
    >>> round(float(found.a), 3), round(float(found.u), 3)
    (0.503, 0.216)
    """
    f = not_negative(f, "f", ndim=None)
    m = not_negative(m, "m", ndim=None)
    z = f + m
    if (z <= 0).any():
        raise ValueError("f and m must not both be 0")
    a = -np.expm1(-z)
    return Rates(
        z=z,
        f=f,
        m=m,
        a=a,
        u=f * a / z,
        v=m * a / z,
        cf=-np.expm1(-f),
        cm=-np.expm1(-m),
    )


def rates_from_shares(a: npt.ArrayLike, u: npt.ArrayLike) -> Rates:
    """Convert A and u, the shares that die and that are taken in a year, into every other rate.

    After [1]_.

    Parameters
    ----------
    a, u : array_like
        Shares that die, and that are taken, in a year.

    Returns
    -------
    Rates

    Raises
    ------
    ValueError
        If more are taken than die, or a share is not between 0 and 1.

    References
    ----------
    .. [1] Ricker (1975), as above: Z = -ln(1 - A), F = u Z / A, M = Z - F.

    Examples
    --------
    >>> from samples.science.rates import rates_from_shares
    >>> round(float(rates_from_shares(a=0.5034, u=0.2157).f), 2)
    0.3
    """
    a = finite(a, "a", ndim=None)
    u = not_negative(u, "u", ndim=None)
    if (a <= 0).any() or (a >= 1).any() or (u > a).any():
        raise ValueError("a must lie between 0 and 1, and u must not be above it")
    z = -np.log1p(-a)
    f = u * z / a
    return rates_of(f, z - f)


def natural_from_oldest(oldest_years: float) -> dict[str, float]:
    """Return M, per year, from the oldest age of lightly fished fish, two ways.

    Parameters
    ----------
    oldest_years : float
        Oldest age in years; of a fished lake it pushes M up to Z.

    Returns
    -------
    dict
        "then": 4.899 t^-0.916 [1]_; "hamel": 5.4 / t [2]_.

    Raises
    ------
    ValueError
        If the age is not above zero or not finite.

    References
    ----------
    .. [1] Then, Hoenig, Hall & Hewitt (2015), ICES J. Mar. Sci. 72:82-92.
    .. [2] Hamel & Cope (2022), Fish. Res. 256:106477.

    Examples
    --------
    >>> from samples.science.rates import natural_from_oldest
    >>> round(natural_from_oldest(12)["hamel"], 3)
    0.45
    """
    if not 0 < oldest_years <= LARGEST:
        raise ValueError("oldest_years must be above zero, and finite")
    return {"then": 4.899 * oldest_years**-0.916, "hamel": 5.4 / oldest_years}


def natural_from_growth(linf_mm: float, k: float) -> float:
    """Return M, per year, from Linf in mm and K per year.

    ``M = 4.118 K^0.73 Linf^-0.33`` with Linf in cm [1]_.

    Parameters
    ----------
    linf_mm : float
        Linf in mm.
    k : float
        K, per year.

    Returns
    -------
    float
        M, per year.

    Raises
    ------
    ValueError
        If either is not above zero or not finite.

    References
    ----------
    .. [1] Then, Hoenig, Hall & Hewitt (2015), ICES J. Mar. Sci. 72:82-92.

    Examples
    --------
    >>> from samples.science.rates import natural_from_growth
    >>> round(natural_from_growth(linf_mm=350, k=0.4), 2)
    0.65
    """
    if not (0 < linf_mm <= LARGEST and 0 < k <= LARGEST):
        raise ValueError("linf_mm and k must be above zero, and finite")
    return float(4.118 * k**0.73 * (linf_mm / 10) ** -0.33)


@dataclass(frozen=True, slots=True)
class Exploitation:
    """Share of the fish taken in a year, from tags, with its 95 % interval."""

    u: float
    lower: float
    upper: float


def exploitation_from_tags(
    tags_out: int,
    returned: int,
    *,
    reporting: tuple[float, float],
    tags_kept: float = 1.0,
    survived: float = 1.0,
) -> Exploitation:
    """Estimate the share taken in a year from tags sent back [1]_.

    Parameters
    ----------
    tags_out, returned : int
        Tags put on fish, and sent back within the year.
    reporting : tuple of float
        Least and most of the share of caught tags that anglers report.
    tags_kept, survived : float
        Share of tags still on, and of fish that lived through tagging.

    Returns
    -------
    Exploitation
        ``u = returned / (out x reporting x kept x survived)`` at the middle of the reporting;
        the interval joins the exact one of the returns with the range of the reporting.

    Raises
    ------
    ValueError
        If more tags came back than were out, or a share is not above 0 and at most 1.
    CannotEstimate
        more_taken_than_tagged.

    References
    ----------
    .. [1] Clopper & Pearson (1934), Biometrika 26:404-413, for the exact interval of a share.

    Examples
    --------
    >>> from samples.science.rates import exploitation_from_tags
    >>> found = exploitation_from_tags(200, 24, reporting=(0.5, 0.7), tags_kept=0.9, survived=0.95)
    >>> round(found.u, 3), round(found.lower, 3), round(found.upper, 3)
    (0.234, 0.131, 0.405)
    """
    from scipy.stats import beta

    shares = (*reporting, tags_kept, survived)
    if not (0 <= returned <= tags_out <= LARGEST and tags_out > 0):
        raise ValueError("returned must lie between 0 and tags_out")
    if not all(0 < one <= 1 for one in shares):
        raise ValueError("reporting, tags_kept and survived must be above 0 and at most 1")
    least, most = min(reporting), max(reporting)
    at_risk = tags_out * tags_kept * survived
    share = returned / (at_risk * (least + most) / 2)
    if share >= 1:
        raise CannotEstimate(
            "more_taken_than_tagged",
            "By these shares more fish were taken than were tagged. Look at the reporting.",
        )
    low = beta.ppf(0.025, returned, tags_out - returned + 1) if returned else 0.0
    high = beta.ppf(0.975, returned + 1, tags_out - returned) if returned < tags_out else 1.0
    scale = tags_out / at_risk
    return Exploitation(share, float(low * scale / most), float(min(high * scale / least, 1.0)))


@dataclass(frozen=True, slots=True)
class FishingDraws:
    """F as what is left of Z when M is taken off, draw by draw.

    ``f`` holds all of them as they are; ``not_above_zero`` is the share at or below zero,
    where Z and M contradict each other.
    """

    f: Floats
    not_above_zero: float


def fishing_left(z: npt.ArrayLike, m: npt.ArrayLike) -> FishingDraws:
    """Take M off Z, draw by draw; draws at or below zero are counted and never made positive.

    Parameters
    ----------
    z, m : array_like, shape (draws,)
        Z and M, per year.

    Returns
    -------
    FishingDraws

    Raises
    ------
    ValueError
        If shapes differ, a rate is not finite, or M is negative.
    CannotEstimate
        no_draws.

    Examples
    --------
    >>> from samples.science.rates import fishing_left
    >>> left = fishing_left([0.8, 0.9, 0.35], [0.4, 0.5, 0.4])
    >>> left.f.round(2), round(left.not_above_zero, 2)
    (array([ 0.4 ,  0.4 , -0.05]), 0.33)
    """
    z, m = finite(z, "z"), not_negative(m, "m")
    alike(z=z, m=m)
    if not z.size:
        raise CannotEstimate("no_draws", "There are no draws of total mortality.")
    left = z - m
    return FishingDraws(left, float(np.mean(left <= 0)))
