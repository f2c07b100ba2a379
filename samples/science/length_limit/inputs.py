"""Natural death and fishing as draws, from what was entered and from the fish themselves."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from samples.science.arguments import alike, at_least, finite, not_negative, positive
from samples.science.errors import CannotEstimate
from samples.science.length_limit.fish_lives import Floats, fishing_rate
from samples.science.tags import FEWEST_RETURNS, draw_reporting_rate

# More of the fish than this cannot be taken in a year and the lake still hold any.
MOST_TAKEN = 0.95
# Where more of the draws than this contradict each other, none of them is believed.
MOST_CONTRADICTING = 0.5
# Rules of thumb for natural death err by about so much, as a standard deviation of its logarithm.
THUMB_SD = 0.4


@dataclass(frozen=True, slots=True)
class Tags:
    """Tags of one season: put out, sent back, and the shares that bend the count.

    ``returned`` are tags of fish kept, ``released`` of fish that were let go again: these tell how
    many anglers report and are no harvest. ``high_out`` and ``high_returned`` are tags with a high
    reward; with them reporting is measured, and the range given is not used.
    """

    out: int
    returned: int
    reporting_least: float
    reporting_most: float
    kept: float = 1.0
    survived: float = 1.0
    released: int = 0
    high_out: int = 0
    high_returned: int = 0

    @property
    def reporting_measured(self) -> bool:
        return self.high_out > 0 and self.high_returned >= FEWEST_RETURNS


@dataclass(frozen=True, slots=True, eq=False)
class Deaths:
    """Natural death and fishing, drawn together.

    Attributes
    ----------
    m, f : ndarray, shape (draws,)
        M and F, per year, of the draws that do not contradict themselves.
    contradicting : float
        Share of the draws that did: F at or below 0, or more taken than there are.
    """

    m: Floats
    f: Floats
    contradicting: float


def natural_from_shares(
    rng: np.random.Generator, draws: int, *, least: float, middle: float, most: float
) -> Floats:
    """Draw M, per year, from a range of the share that dies of natural causes in a year.

    Parameters
    ----------
    rng : numpy.random.Generator
    draws : int
    least, middle, most : float
        Shares above 0 and below 1; the middle is the likeliest (triangular).

    Returns
    -------
    ndarray, shape (draws,)

    Raises
    ------
    ValueError
        If they are not in order between 0 and 1, or draws is below 1.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.inputs import natural_from_shares
    >>> rng = np.random.default_rng(1)
    >>> drawn = natural_from_shares(rng, 1_000, least=0.2, middle=0.3, most=0.4)
    >>> round(float(drawn.mean()), 2)
    0.36
    """
    at_least(draws, 1, "draws")
    if not 0 < least <= middle <= most < 1:
        raise ValueError("least, middle and most must be in order between 0 and 1")
    if least == most:
        return np.full(draws, -np.log1p(-middle))
    rates: Floats = -np.log1p(-rng.triangular(least, middle, most, draws))
    return rates


def natural_by_thumb(rng: np.random.Generator, draws: int, m: float) -> Floats:
    """Draw M, per year, about a rule of thumb, as widely as such rules err; shape (draws,).

    Parameters
    ----------
    rng : numpy.random.Generator
    draws : int
    m : float
        M, per year, by the rule of thumb.

    Returns
    -------
    ndarray, shape (draws,)

    Raises
    ------
    ValueError
        If M is not above zero, or draws is below 1.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.inputs import natural_by_thumb
    >>> round(float(np.median(natural_by_thumb(np.random.default_rng(1), 1_000, 0.4))), 1)
    0.4
    """
    positive(m, "m", ndim=0)
    at_least(draws, 1, "draws")
    rates: Floats = m * np.exp(rng.normal(0, THUMB_SD, draws))
    return rates


def taken_by_tags(rng: np.random.Generator, draws: int, tags: Sequence[Tags]) -> Floats:
    """Draw the share taken in a year from tags sent back, seasons weighed by tags put out.

    Parameters
    ----------
    rng : numpy.random.Generator
    draws : int
    tags : sequence of Tags

    Returns
    -------
    ndarray, shape (draws,)
        ``u = back / (out x reporting x kept x survived)``; it may pass 1, where the shares
        contradict the count. Back over out by Jeffreys' prior.

    Raises
    ------
    ValueError
        If a season has more tags back than out, or a share not above 0 and at most 1; if draws
        is below 1.
    CannotEstimate
        no_tags.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.inputs import Tags, taken_by_tags
    >>> tags = Tags(out=200, returned=40, reporting_least=0.5, reporting_most=0.7)
    >>> round(float(np.median(taken_by_tags(np.random.default_rng(1), 1_000, [tags]))), 2)
    0.33
    """
    at_least(draws, 1, "draws")
    if not tags:
        raise CannotEstimate("no_tags", "No tags were put out.")
    total = np.zeros(draws)
    for one in tags:
        shares = (one.reporting_least, one.reporting_most, one.kept, one.survived)
        if not (0 <= one.returned <= one.out and one.out > 0):
            raise ValueError("returned must lie between 0 and out")
        if not all(0 < share <= 1 for share in shares):
            raise ValueError("reporting, kept and survived must be above 0 and at most 1")
        back = rng.beta(one.returned + 0.5, one.out - one.returned + 0.5, draws)
        reporting = _reporting(rng, draws, one)
        total += one.out * back / (reporting * one.kept * one.survived)
    return total / sum(one.out for one in tags)


def _reporting(rng: np.random.Generator, draws: int, one: Tags) -> Floats:
    """Draw the share of tags that is reported: measured where it was, else over the range given."""
    if not one.reporting_measured:
        return rng.uniform(one.reporting_least, one.reporting_most, draws)
    return draw_reporting_rate(
        rng,
        draws,
        standard_out=one.out,
        standard_returned=min(one.returned + one.released, one.out),
        high_out=one.high_out,
        high_returned=one.high_returned,
    )


def deaths_by_tags(rng: np.random.Generator, m: Floats, u: Floats) -> Deaths:
    """Return F from the share taken, beside M.

    Parameters
    ----------
    rng : numpy.random.Generator
        Draws that contradict themselves are replaced by others, drawn anew.
    m, u : ndarray, shape (draws,)
        M, per year, and u.

    Returns
    -------
    Deaths

    Raises
    ------
    ValueError
        If shapes differ, M is not above zero, or u is negative.
    CannotEstimate
        contradiction, where more than half of the draws take more fish than there are.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.inputs import deaths_by_tags
    >>> deaths = deaths_by_tags(np.random.default_rng(1), np.full(4, 0.4), np.full(4, 0.3))
    >>> deaths.f.round(3)
    array([0.444, 0.444, 0.444, 0.444])
    """
    alike(m=positive(m, "m"), u=not_negative(u, "u"))
    good = u < MOST_TAKEN
    kept = _kept(rng, good, "By these tags more fish are taken than there are. Look at reporting.")
    return Deaths(m[kept], fishing_rate(u[kept], m[kept]), _share(~good))


def deaths_by_total(rng: np.random.Generator, m: Floats, z: Floats) -> Deaths:
    """Return F as what natural death leaves of Z: ``F = Z - M``.

    Parameters
    ----------
    rng : numpy.random.Generator
        As for `deaths_by_tags`.
    m, z : ndarray, shape (draws,)
        M and Z, per year, drawn apart.

    Returns
    -------
    Deaths

    Raises
    ------
    ValueError
        If shapes differ, M is not above zero, or Z is not finite.
    CannotEstimate
        contradiction, where Z is at or below M in more than half of the draws.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.inputs import deaths_by_total
    >>> deaths = deaths_by_total(np.random.default_rng(1), np.full(4, 0.4), np.full(4, 0.9))
    >>> deaths.f
    array([0.5, 0.5, 0.5, 0.5])
    """
    alike(m=positive(m, "m"), z=finite(z, "z"))
    left = z - m
    good = left > 0
    kept = _kept(
        rng,
        good,
        "Natural death as entered is larger than all death that these fish show. Look at it, or "
        "put out tags.",
    )
    return Deaths(m[kept], left[kept], _share(~good))


def _kept(rng: np.random.Generator, good: np.ndarray, sentence: str) -> np.ndarray:
    """Return places of draws to use: the good ones, and others of them in place of the bad."""
    if not good.size or good.mean() < 1 - MOST_CONTRADICTING:
        raise CannotEstimate("contradiction", sentence)
    places = np.arange(good.size)
    return np.where(good, places, rng.choice(np.flatnonzero(good), good.size))


def _share(bad: np.ndarray) -> float:
    return float(np.mean(bad))
