"""Rates of death, converted; natural death from how long fish live; the share taken, from tags."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.errors import CannotEstimate

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Rates:
    """Fishing and natural death working through a year; all arrays or floats alike.

    Attributes
    ----------
    total, fishing, natural : Z, F, M, per year
    dies : A, share that dies in a year
    taken, lost : u and v, share that is taken, and that dies of natural causes, in a year
    conditional_taken, conditional_lost : cf and cm, the same if the other were not
    """

    total: Floats
    fishing: Floats
    natural: Floats
    dies: Floats
    taken: Floats
    lost: Floats
    conditional_taken: Floats
    conditional_lost: Floats


def rates_of(fishing: npt.ArrayLike, natural: npt.ArrayLike) -> Rates:
    """Convert F and M into every other rate.

    Raises
    ------
    CannotEstimate
        If a rate is negative or both are 0.

    References
    ----------
    Ricker (1975), Bull. Fish. Res. Board Can. 191, ch. 1: A = 1 - exp(-Z), u = F A / Z,
    v = M A / Z.
    """
    f = np.asarray(fishing, dtype=np.float64)
    m = np.asarray(natural, dtype=np.float64)
    total = f + m
    if (f < 0).any() or (m < 0).any() or (total <= 0).any():
        raise CannotEstimate("negative_rate", "Rates of death must not be below zero.")
    dies = -np.expm1(-total)
    return Rates(
        total=total,
        fishing=f,
        natural=m,
        dies=dies,
        taken=f * dies / total,
        lost=m * dies / total,
        conditional_taken=-np.expm1(-f),
        conditional_lost=-np.expm1(-m),
    )


def rates_from_shares(dies: npt.ArrayLike, taken: npt.ArrayLike) -> Rates:
    """Convert A and u, the shares that die and that are taken in a year, into every other rate.

    Raises
    ------
    CannotEstimate
        If more are taken than die, or a share is not between 0 and 1.

    References
    ----------
    Ricker (1975), as above: Z = -ln(1 - A), F = u Z / A, M = Z - F.
    """
    a = np.asarray(dies, dtype=np.float64)
    u = np.asarray(taken, dtype=np.float64)
    if (a <= 0).any() or (a >= 1).any() or (u < 0).any() or (u > a).any():
        raise CannotEstimate(
            "shares_out_of_range", "The share that dies lies between 0 and 1, and no more is taken."
        )
    total = -np.log1p(-a)
    fishing = u * total / a
    return rates_of(fishing, total - fishing)


def natural_from_oldest(oldest_years: float) -> dict[str, float]:
    """Give M, per year, from the oldest age of lightly fished fish, two ways.

    Parameters
    ----------
    oldest_years : float
        Oldest age in years; of a fished lake it pushes M up to Z.

    Returns
    -------
    dict
        "then": 4.899 t^-0.916 (Then et al. 2015, ICES J. Mar. Sci. 72:82-92); "hamel": 5.4 / t
        (Hamel & Cope 2022, Fish. Res. 256:106477). Coefficients from memory.

    Raises
    ------
    CannotEstimate
        If the age is not above zero.
    """
    if not oldest_years > 0:
        raise CannotEstimate("no_age", "Give the oldest age, above zero.")
    return {"then": 4.899 * oldest_years**-0.916, "hamel": 5.4 / oldest_years}


def natural_from_growth(length_max_mm: float, rate: float) -> float:
    """Give M, per year, from Linf in mm and K per year.

    ``M = 4.118 K^0.73 Linf^-0.33`` with Linf in cm (Then et al. 2015; from memory).

    Raises
    ------
    CannotEstimate
        If either is not above zero.
    """
    if not (length_max_mm > 0 and rate > 0):
        raise CannotEstimate("no_growth", "Give Linf and K above zero.")
    return float(4.118 * rate**0.73 * (length_max_mm / 10) ** -0.33)


@dataclass(frozen=True, slots=True)
class Exploitation:
    """Share of the fish taken in a year, from tags, with its 95 % interval."""

    share: float
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
    """Estimate the share taken in a year from tags sent back.

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
    CannotEstimate
        If numbers or shares cannot be, or more fish would have been taken than were tagged.

    References
    ----------
    Clopper & Pearson (1934), Biometrika 26:404-413, for the exact interval of a share.
    """
    from scipy.stats import beta

    shares = (*reporting, tags_kept, survived)
    if not (0 <= returned <= tags_out and tags_out > 0) or not all(0 < one <= 1 for one in shares):
        raise CannotEstimate(
            "tags_out_of_range", "Give at most as many tags back as out, and shares of 0 to 1."
        )
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

    ``fishing`` holds all of them as they are; ``not_above_zero`` is the share at or below zero,
    where Z and M contradict each other.
    """

    fishing: Floats
    not_above_zero: float


def fishing_left(total: npt.ArrayLike, natural: npt.ArrayLike) -> FishingDraws:
    """Take M off Z, draw by draw; draws at or below zero are counted and never made positive."""
    left = np.asarray(total, dtype=np.float64) - np.asarray(natural, dtype=np.float64)
    return FishingDraws(left, float(np.mean(left <= 0)))
