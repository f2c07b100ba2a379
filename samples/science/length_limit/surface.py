"""Weight kept per recruit over many limits and rates of fishing, for every draw at once.

With time counted from the age at entry, ``exp(-F s)`` is the same for every limit and draw: the
whole surface is one product of matrices.
"""

import numpy as np

from samples.science.arguments import not_negative, positive
from samples.science.length_limit.fish_lives import Floats, Lives
from samples.science.length_limit.per_recruit import NODES
from samples.science.length_limit.rules import LONGEST_LIFE
from samples.science.quadrature import gauss_legendre


def yield_surface(
    lives: Lives,
    limits_mm: Floats,
    f: Floats,
    *,
    recruited: float = 1.0,
    years: float = LONGEST_LIFE,
) -> Floats:
    """Return the weight kept per recruit at every limit and rate, for every draw [1]_, [2]_.

    Parameters
    ----------
    lives : Lives
        Growth and natural death; every fish is as long as the mean of its age.
    limits_mm : ndarray, shape (limits,)
        Lengths in mm from which fish are kept.
    f : ndarray, shape (rates,)
        F, per year.
    recruited : float
        Age in years from which fish are counted.
    years : float
        How many years of life are counted after the length is reached.

    Returns
    -------
    ndarray, shape (limits, draws, rates)
        Grams per recruit; 0 where a draw never comes to that length.

    Raises
    ------
    ValueError
        If a limit is not above zero, a rate or an age is negative, or one is not finite.

    Notes
    -----
    ``F exp(-M (tc - tr)) integral of exp(-(F + M) s) W(tc + s) ds`` by 24 Gauss-Legendre points
    in v with s = S v^3.

    References
    ----------
    .. [1] Beverton & Holt (1957).
    .. [2] Jones (1957) for the closed form it is checked against.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.fish_lives import Lives
    >>> from samples.science.length_limit.surface import yield_surface
    >>> k, m = np.array([0.4, 0.38]), np.array([0.4, 0.45])
    >>> lives = Lives(np.array([340.0, 360]), k, np.zeros(2), m, 0.0)
    >>> yield_surface(lives, np.array([200.0, 250]), np.array([0.1, 0.5])).shape
    (2, 2, 2)
    """
    limits, rates = positive(limits_mm, "limits_mm"), not_negative(f, "f")
    not_negative([recruited, years], "recruited and years")
    points, weights = gauss_legendre(NODES)
    unit, share = (points + 1) / 2, weights / 2
    since = years * unit**3
    step = years * 3 * unit**2 * share
    entry = lives.age_at(limits[:, None])
    reached = np.isfinite(entry)
    entry = np.where(reached, np.maximum(entry, recruited), recruited)
    # What is left to grow, exp(-K (age - t0)), splits into a part of the entry and one of s.
    left_at_entry = np.exp(-lives.k * (entry - lives.t0))
    left_since = np.exp(-lives.k[:, None] * since)
    # A fish younger than t0 has no length; the least above 0 has a logarithm.
    grown = np.maximum(1 - left_at_entry[..., None] * left_since, 1e-12)
    start = np.exp(-lives.m * (entry - recruited)) * reached
    largest = 10**lives.weight_log10_a * lives.linf_mm**lives.weight_b
    inner = _power(grown, lives.weight_b)
    inner *= np.exp(-lives.m[:, None] * since)
    inner *= (start * largest)[..., None]
    table = step[:, None] * np.exp(-np.outer(since, rates)) * rates
    kept: Floats = inner @ table
    return kept


def _power(base: Floats, exponent: float) -> Floats:
    """Raise to the power of the weight-length relation; a cube needs no logarithm."""
    if exponent == 3:
        return base * base * base
    logs = np.log(base)
    logs *= exponent
    return np.exp(logs, out=logs)


def quantiles(surface: Floats, shares: tuple[float, ...]) -> Floats:
    """Return quantiles over the draws, shape (shares, limits, rates).

    Sorted along contiguous memory, which costs a fraction of the library's own way.

    Parameters
    ----------
    surface : ndarray, shape (limits, draws, rates)
        As `yield_surface` gives it.
    shares : tuple of float
        Quantiles, 0 to 1.

    Returns
    -------
    ndarray, shape (shares, limits, rates)

    Raises
    ------
    ValueError
        If a share is not between 0 and 1, or the surface has not 3 dimensions.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.surface import quantiles
    >>> quantiles(np.arange(24.0).reshape(2, 4, 3), (0.5,)).shape
    (1, 2, 3)
    """
    if surface.ndim != 3 or not np.isfinite(surface).all():
        raise ValueError("surface must have 3 dimensions, and finite values")
    if not all(0 <= share <= 1 for share in shares):
        raise ValueError("shares must lie between 0 and 1")
    ordered = np.ascontiguousarray(surface.transpose(0, 2, 1))
    ordered.sort(axis=-1)
    places = np.asarray(shares) * (ordered.shape[-1] - 1)
    below = np.floor(places).astype(int)
    above = np.minimum(below + 1, ordered.shape[-1] - 1)
    part = places - below
    found = ordered[..., below] * (1 - part) + ordered[..., above] * part
    return np.moveaxis(found, -1, 0)
