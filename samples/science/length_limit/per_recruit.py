"""Harvest, lengths and large fish that one recruit comes to under a rule.

A recruit lives from the age ``recruited``. Up to the length at which anglers begin to keep fish
it dies of natural causes alone. From there on it is caught, in each zone of the rule at its rate,
and kept or let go; of those let go a share ``release_death`` dies. Fish that are long for their
age stay so, hence each comes to a length at an age of its own.
"""

from dataclasses import dataclass

import numpy as np

from samples.science.arguments import not_negative, positive
from samples.science.length_limit.fish_lives import Floats, Lives
from samples.science.length_limit.rules import LONGEST_LIFE, Rule, Zone
from samples.science.quadrature import gauss_legendre

__all__ = ["LONGEST_LIFE", "NODES", "PerRecruit", "Rule", "kept_of_each", "per_recruit"]

# Gauss-Legendre points of the unit interval; s = S v^3 puts them where most fish still live.
NODES = 24


@dataclass(frozen=True, slots=True)
class PerRecruit:
    """What one recruit comes to; arrays of the shape of F, (draws,) or (rates, draws).

    Attributes
    ----------
    number : ndarray
        Fish kept.
    weight_g : ndarray
        Weight kept.
    mean_length_mm : ndarray
        Mean length of the fish kept; 0 where none is.
    preferred : ndarray
        Fish over the preferred length that are caught, kept or let go.
    """

    number: Floats
    weight_g: Floats
    mean_length_mm: Floats
    preferred: Floats


@dataclass(frozen=True, slots=True)
class KeptOfEach:
    """The same of each point of a cohort, shape (points, draws), and the cohort's weights.

    Of several rates, what hangs on F has shape (rates, points, draws).
    ``handled`` are the years during which a fish may be caught below the minimum limit.
    """

    share: Floats
    number: Floats
    weight_g: Floats
    length_mm: Floats
    preferred: Floats
    handled: Floats


def per_recruit(lives: Lives, f: Floats, rule: Rule, *, preferred_mm: float = 250.0) -> PerRecruit:
    """Work out what a recruit comes to under a rule [1]_, [2]_.

    Parameters
    ----------
    lives : Lives
        Growth and natural death, as draws.
    f : ndarray, shape (draws,), (rates, draws) or ()
        F, per year, of fish that are kept. Several rates at once cost less than one by one.
    rule : Rule
        What may be kept.
    preferred_mm : float
        Length over which a fish counts as large.

    Returns
    -------
    PerRecruit

    Raises
    ------
    ValueError
        If F is negative, not finite or not of the draws, or the preferred length not above zero.

    Notes
    -----
    With N the share alive, kept in number = integral of F N, in weight = integral of F N W, from
    the age at entry to ``last_age``, averaged over a cohort.

    References
    ----------
    .. [1] Beverton & Holt (1957), On the dynamics of exploited fish populations.
    .. [2] Ricker (1975).

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.fish_lives import Lives
    >>> from samples.science.length_limit.per_recruit import per_recruit
    >>> from samples.science.length_limit.rules import Rule
    >>> k, m = np.array([0.4, 0.38]), np.array([0.4, 0.45])
    >>> lives = Lives(np.array([340.0, 360]), k, np.zeros(2), m, 0.1)
    >>> f, now = np.full(2, 0.5), Rule(kept_from_mm=200)
    >>> then = Rule(kept_from_mm=200, limit_mm=254, release_death=0.1)
    >>> per_recruit(lives, f, then).mean_length_mm.round()
    array([284., 287.])
    """
    found = kept_of_each(lives, f, rule, preferred_mm=preferred_mm)

    def mean(values: Floats) -> Floats:
        return np.asarray((found.share * values).sum(axis=-2), dtype=np.float64)

    number, length = mean(found.number), mean(found.length_mm)
    return PerRecruit(
        number=number,
        weight_g=mean(found.weight_g),
        mean_length_mm=np.divide(length, number, out=np.zeros_like(length), where=number > 0),
        preferred=mean(found.preferred),
    )


def kept_of_each(
    lives: Lives,
    f: Floats,
    rule: Rule,
    *,
    preferred_mm: float = 250.0,
    numbers_only: bool = False,
    beside: Rule | None = None,
) -> KeptOfEach:
    """Work out the same for each point of a cohort: slow fish, fast fish and those between.

    With ``numbers_only`` weight and length stay 0, which costs a fraction of the time. With
    another rule ``beside``, the number is of the fish kept that the other would put back.

    Parameters
    ----------
    lives, f, rule, preferred_mm
        As for `per_recruit`.
    numbers_only : bool
        Leave weight and length at 0.
    beside : Rule, optional
        Count the fish kept that this rule would put back.

    Returns
    -------
    KeptOfEach

    Raises
    ------
    ValueError
        As `per_recruit`.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.fish_lives import Lives
    >>> from samples.science.length_limit.per_recruit import kept_of_each
    >>> from samples.science.length_limit.rules import Rule
    >>> k, m = np.array([0.4, 0.38]), np.array([0.4, 0.45])
    >>> lives = Lives(np.array([340.0, 360]), k, np.zeros(2), m, 0.1)
    >>> f, now = np.full(2, 0.5), Rule(kept_from_mm=200)
    >>> then = Rule(kept_from_mm=200, limit_mm=254, release_death=0.1)
    >>> found = kept_of_each(lives, f, now)
    >>> (found.share * found.number).sum(axis=0).round(2)
    array([0.34, 0.31])
    """
    f = not_negative(f, "f", ndim=None)
    f = np.broadcast_to(f, np.broadcast_shapes(f.shape, lives.m.shape))
    # Several rates stand before the points of the cohort.
    f = f if f.ndim == 1 else f[..., None, :]
    positive(preferred_mm, "preferred_mm", ndim=0)
    zones = rule.zones(preferred_mm, *(beside.ends_mm if beside else ()))
    scale, share = lives.cohort(*(zone.from_mm for zone in zones))
    ages = [
        np.clip(lives.age_at(zone.from_mm, scale), rule.recruited, rule.last_age) for zone in zones
    ]
    ages.append(np.full(scale.shape, rule.last_age))
    alive = np.exp(-lives.m * (ages[0] - rule.recruited))
    handled = np.zeros(scale.shape)
    shape = np.broadcast_shapes(f.shape, scale.shape)
    number, weight, length, preferred = (np.zeros(shape) for _ in range(4))
    for zone, begin, end in zip(zones, ages, ages[1:], strict=False):
        caught = f * zone.caught
        dying = lives.m + caught * (zone.kept + (1 - zone.kept) * rule.release_death)
        years = end - begin
        dead = -np.expm1(-dying * years)
        in_all = alive * caught / dying * dead
        number += in_all * (zone.kept if beside is None else _put_back(zone, beside))
        if zone.from_mm >= preferred_mm:
            preferred += in_all
        if zone.from_mm < rule.limit_mm:
            handled += zone.caught * years
        if np.any(zone.kept) and not numbers_only:
            heavy, long = _kept(lives, scale, begin, years, dying)
            weight += alive * caught * zone.kept * heavy
            length += alive * caught * zone.kept * long
        alive = alive * (1 - dead)
    return KeptOfEach(share, number, weight, length, preferred, handled)


def _put_back(zone: Zone, beside: Rule) -> Floats:
    return np.maximum(zone.kept - np.asarray(beside.kept_at(zone.from_mm)), 0.0)


def _kept(
    lives: Lives, scale: Floats, begin: Floats, years: Floats, dying: Floats
) -> tuple[Floats, Floats]:
    """Integrate weight and length over the years of a zone, a fish alive at its start being 1."""
    lost = -(dying * years)
    heavy, long = np.zeros(lost.shape), np.zeros(lost.shape)
    # Of a cohort cut where its fish just reach a length, whole parts never come to a zone.
    there = years.any(axis=-1)
    if there.any():
        parts = (scale[there], begin[there], years[there], lost[..., there, :])
        heavy[..., there, :], long[..., there, :] = _integrated(lives, *parts)
    return heavy, long


def _integrated(
    lives: Lives, scale: Floats, begin: Floats, years: Floats, lost: Floats
) -> tuple[Floats, Floats]:
    points, weights = gauss_legendre(NODES)
    unit = (points + 1) / 2
    part, step = unit**3, weights / 2 * 3 * unit**2
    # In place, and never expm1 or a power: these arrays are most of what a verdict costs.
    grown = (-lives.k * years)[..., None] * part
    np.exp(grown, out=grown)
    grown *= np.exp(-lives.k * (begin - lives.t0))[..., None]
    np.subtract(1.0, grown, out=grown)
    np.maximum(grown, 1e-9, out=grown)
    heavy = np.log(grown)
    heavy *= lives.weight_b
    np.exp(heavy, out=heavy)
    heavy_sum, long_sum = np.empty(lost.shape), np.empty(lost.shape)
    # Growth is the same at every rate; one rate after another, what is alive stays small.
    for place in np.ndindex(lost.shape[:-2]):
        alive = lost[place][..., None] * part
        np.exp(alive, out=alive)
        alive *= step
        np.einsum("ijk,ijk->ij", alive, heavy, out=heavy_sum[place])
        np.einsum("ijk,ijk->ij", alive, grown, out=long_sum[place])
    longest = scale * lives.linf_mm
    heaviest = 10**lives.weight_log10_a * longest**lives.weight_b
    return heaviest * years * heavy_sum, longest * years * long_sum
