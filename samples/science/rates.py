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
    ValueError
        If a rate is negative or not finite, or both are 0.

    References
    ----------
    Ricker (1975), Bull. Fish. Res. Board Can. 191, ch. 1: A = 1 - exp(-Z), u = F A / Z,
    v = M A / Z.
    """
    fishing = not_negative(fishing, "f", ndim=None)
    natural = not_negative(natural, "m", ndim=None)
    total = fishing + natural
    if (total <= 0).any():
        raise ValueError("f and m must not both be 0")
    dies = -np.expm1(-total)
    return Rates(
        total=total,
        fishing=fishing,
        natural=natural,
        dies=dies,
        taken=fishing * dies / total,
        lost=natural * dies / total,
        conditional_taken=-np.expm1(-fishing),
        conditional_lost=-np.expm1(-natural),
    )


def rates_from_shares(dies: npt.ArrayLike, taken: npt.ArrayLike) -> Rates:
    """Convert A and u, the shares that die and that are taken in a year, into every other rate.

    Raises
    ------
    ValueError
        If more are taken than die, or a share is not between 0 and 1.

    References
    ----------
    Ricker (1975), as above: Z = -ln(1 - A), F = u Z / A, M = Z - F.
    """
    dies = finite(dies, "a", ndim=None)
    taken = not_negative(taken, "u", ndim=None)
    if (dies <= 0).any() or (dies >= 1).any() or (taken > dies).any():
        raise ValueError("a must lie between 0 and 1, and u must not be above it")
    total = -np.log1p(-dies)
    fishing = taken * total / dies
    return rates_of(fishing, total - fishing)


def natural_from_oldest(oldest_years: float) -> dict[str, float]:
    """Return M, per year, from the oldest age of lightly fished fish, two ways.

    Parameters
    ----------
    oldest_years : float
        Oldest age in years; of a fished lake it pushes M up to Z.

    Returns
    -------
    dict
        "then": 4.899 t^-0.916 (Then et al. 2015, ICES J. Mar. Sci. 72:82-92); "hamel": 5.4 / t
        (Hamel & Cope 2022, Fish. Res. 256:106477).

    Raises
    ------
    ValueError
        If the age is not above zero or not finite.
    """
    if not 0 < oldest_years <= LARGEST:
        raise ValueError("oldest_years must be above zero, and finite")
    return {"then": 4.899 * oldest_years**-0.916, "hamel": 5.4 / oldest_years}


def natural_from_growth(length_max_mm: float, rate: float) -> float:
    """Return M, per year, from Linf in mm and K per year.

    ``M = 4.118 K^0.73 Linf^-0.33`` with Linf in cm (Then et al. 2015).

    Raises
    ------
    ValueError
        If either is not above zero or not finite.
    """
    if not (0 < length_max_mm <= LARGEST and 0 < rate <= LARGEST):
        raise ValueError("length_max_mm and rate must be above zero, and finite")
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
    ValueError
        If more tags came back than were out, or a share is not above 0 and at most 1.
    CannotEstimate
        more_taken_than_tagged.

    References
    ----------
    Clopper & Pearson (1934), Biometrika 26:404-413, for the exact interval of a share.
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

    ``fishing`` holds all of them as they are; ``not_above_zero`` is the share at or below zero,
    where Z and M contradict each other.
    """

    fishing: Floats
    not_above_zero: float


def fishing_left(total: npt.ArrayLike, natural: npt.ArrayLike) -> FishingDraws:
    """Take M off Z, draw by draw; draws at or below zero are counted and never made positive.

    Parameters
    ----------
    total, natural : array_like, shape (draws,)
        Z and M, per year.

    Raises
    ------
    ValueError
        If shapes differ, a rate is not finite, or M is negative.
    CannotEstimate
        no_draws.
    """
    total, natural = finite(total, "z"), not_negative(natural, "m")
    alike(z=total, m=natural)
    if not total.size:
        raise CannotEstimate("no_draws", "There are no draws of total mortality.")
    left = total - natural
    return FishingDraws(left, float(np.mean(left <= 0)))
