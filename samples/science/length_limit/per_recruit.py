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
    """What one recruit comes to; arrays of shape (draws,).

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

    ``handled`` are the years during which a fish may be caught below the minimum limit.
    """

    share: Floats
    number: Floats
    weight_g: Floats
    length_mm: Floats
    preferred: Floats
    handled: Floats


def per_recruit(
    lives: Lives, fishing: Floats, rule: Rule, *, preferred_mm: float = 250.0
) -> PerRecruit:
    """Work out what a recruit comes to under a rule.

    Parameters
    ----------
    lives : Lives
        Growth and natural death, as draws.
    fishing : ndarray, shape (draws,) or ()
        F, per year, of fish that are kept.
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
    Beverton & Holt (1957), On the dynamics of exploited fish populations; Ricker (1975).
    """
    found = kept_of_each(lives, fishing, rule, preferred_mm=preferred_mm)

    def mean(values: Floats) -> Floats:
        return np.asarray((found.share * values).sum(axis=0), dtype=np.float64)

    number, length = mean(found.number), mean(found.length_mm)
    return PerRecruit(
        number=number,
        weight_g=mean(found.weight_g),
        mean_length_mm=np.divide(length, number, out=np.zeros_like(length), where=number > 0),
        preferred=mean(found.preferred),
    )


def kept_of_each(
    lives: Lives,
    fishing: Floats,
    rule: Rule,
    *,
    preferred_mm: float = 250.0,
    numbers_only: bool = False,
    beside: Rule | None = None,
) -> KeptOfEach:
    """Work out the same for each point of a cohort: slow fish, fast fish and those between.

    With ``numbers_only`` weight and length stay 0, which costs a fraction of the time. With
    another rule ``beside``, the number is of the fish kept that the other would put back.

    Raises
    ------
    ValueError
        As `per_recruit`.
    """
    rate = np.broadcast_to(not_negative(fishing, "fishing", ndim=None), lives.natural.shape)
    positive(preferred_mm, "preferred_mm", ndim=0)
    zones = rule.zones(preferred_mm, *(beside.ends_mm if beside else ()))
    scale, share = lives.cohort(*(zone.from_mm for zone in zones))
    ages = [
        np.clip(lives.age_at(zone.from_mm, scale), rule.recruited, rule.last_age) for zone in zones
    ]
    ages.append(np.full(scale.shape, rule.last_age))
    alive = np.exp(-lives.natural * (ages[0] - rule.recruited))
    number, weight, length, preferred, handled = (np.zeros(scale.shape) for _ in range(5))
    for zone, begin, end in zip(zones, ages, ages[1:], strict=False):
        caught = rate * zone.caught
        dying = lives.natural + caught * (zone.kept + (1 - zone.kept) * rule.release_death)
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
    points, weights = gauss_legendre(NODES)
    unit = (points + 1) / 2
    part, step = unit**3, weights / 2 * 3 * unit**2
    alive = np.exp(-(dying * years)[..., None] * part)
    alive *= step
    # In place, and never expm1 or a power: these arrays are most of what a verdict costs.
    grown = (-lives.rate * years)[..., None] * part
    np.exp(grown, out=grown)
    grown *= np.exp(-lives.rate * (begin - lives.age_zero))[..., None]
    np.subtract(1.0, grown, out=grown)
    np.maximum(grown, 1e-9, out=grown)
    longest = scale * lives.length_max_mm
    long = longest * years * np.einsum("ijk,ijk->ij", alive, grown)
    np.log(grown, out=grown)
    grown *= lives.weight_b
    np.exp(grown, out=grown)
    heaviest = 10**lives.weight_log10_a * longest**lives.weight_b
    return heaviest * years * np.einsum("ijk,ijk->ij", alive, grown), long
