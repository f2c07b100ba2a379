"""Fishing from tags beside fishing from total mortality, and how many tags anglers report."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import Floats, alike, at_least, finite, not_negative, positive
from samples.science.errors import CannotEstimate

LOWER, UPPER = 0.025, 0.975
FEWEST_RETURNS = 10


def draw_reporting_rate(
    rng: np.random.Generator,
    draws: int,
    *,
    standard_out: int,
    standard_returned: int,
    high_out: int,
    high_returned: int,
) -> Floats:
    """Draw the share of tags that anglers report, from high-reward tags beside standard ones [1]_.

    Parameters
    ----------
    rng : numpy.random.Generator
    draws : int
    standard_out, standard_returned, high_out, high_returned : int
        Tags of each kind put out, and sent back of fish kept and released. Tags with a high reward
        are taken to be reported always.

    Returns
    -------
    ndarray, shape (draws,)
        ``(R_std / T_std) / (R_high / T_high)``, each share drawn by Jeffreys' prior; at most 1.

    Raises
    ------
    ValueError
        If draws is below 1, or more tags came back than were out.
    CannotEstimate
        too_few_returns, with fewer than 10 of tags with a high reward.

    References
    ----------
    .. [1] Pollock, Hoenig, Hearn & Calingaert (2001), N. Am. J. Fish. Manage. 21:521-532.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.tags import draw_reporting_rate
    >>> drawn = draw_reporting_rate(
    ...     np.random.default_rng(1),
    ...     1_000,
    ...     standard_out=200,
    ...     standard_returned=40,
    ...     high_out=50,
    ...     high_returned=20,
    ... )
    >>> round(float(np.median(drawn)), 2)
    0.5
    """
    at_least(draws, 1, "draws")
    for out, returned in ((standard_out, standard_returned), (high_out, high_returned)):
        at_least(out, 1, "tags out")
        at_least(returned, 0, "tags returned")
        if returned > out:
            raise ValueError("more tags were returned than were out")
    if high_returned < FEWEST_RETURNS:
        raise CannotEstimate(
            "too_few_returns",
            f"A reporting rate needs {FEWEST_RETURNS} returns of high-reward tags; here are "
            f"{high_returned}.",
        )
    standard = rng.beta(standard_returned + 0.5, standard_out - standard_returned + 0.5, draws)
    high = rng.beta(high_returned + 0.5, high_out - high_returned + 0.5, draws)
    return np.minimum(standard / high, 1.0)


@dataclass(frozen=True, slots=True, eq=False)
class FishingCompared:
    """F by tags and F = Z - M, draw by draw.

    Attributes
    ----------
    f_by_total, f_by_tags : (draws,) float array
        F, per year.
    m_by_tags : (draws,) float array
        M that the tags imply, Z - F; below 0 where they contradict Z.
    """

    f_by_total: Floats
    f_by_tags: Floats
    m_by_tags: Floats

    @property
    def disagree(self) -> bool:
        """Return whether the 95 % interval of their difference excludes 0."""
        low, high = np.quantile(self.f_by_total - self.f_by_tags, (LOWER, UPPER))
        return bool(low > 0 or high < 0)


def compare_fishing(z: npt.ArrayLike, m: npt.ArrayLike, u: npt.ArrayLike) -> FishingCompared:
    """Set F = Z - M beside ``F = u Z / A`` of tags, with the M that the tags imply [1]_.

    Parameters
    ----------
    z, m, u : array_like, shape (draws,)
        Z and M, per year, and u, the share taken in a year.

    Returns
    -------
    FishingCompared

    Raises
    ------
    ValueError
        If shapes differ, a value is not finite, M is not above zero or u negative.
    CannotEstimate
        no_draws; no_total, where Z is not above zero in most draws.

    References
    ----------
    .. [1] Ricker (1975), Bull. Fish. Res. Board Can. 191, ch. 1.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.tags import compare_fishing
    >>> compare_fishing(np.full(4, 0.9), np.full(4, 0.4), np.full(4, 0.3)).f_by_tags.round(3)
    array([0.455, 0.455, 0.455, 0.455])
    """
    z, m = finite(z, "z"), positive(m, "m")
    u = not_negative(u, "u")
    alike(z=z, m=m, u=u)
    if not z.size:
        raise CannotEstimate("no_draws", "There are no draws of total mortality.")
    good = z > 0
    if good.mean() < 0.5:
        raise CannotEstimate("no_total", "Total mortality is not above zero in most draws.")
    z, m, u = z[good], m[good], u[good]
    by_tags = u * z / -np.expm1(-z)
    return FishingCompared(z - m, by_tags, z - by_tags)
