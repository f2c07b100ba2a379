"""Harvest, lengths and large fish that one recruit comes to under a rule.

A recruit lives from the age ``recruited``. Up to the length at which anglers begin to keep fish
it dies of natural causes alone. From there to the limit it is caught at rate F times
``caught_below`` and let go, of which a share ``release_death`` dies. Over the limit it is kept at
rate F. Fish that are long for their age stay so, hence each slice of a cohort comes to a length
at an age of its own.
"""

from dataclasses import dataclass

import numpy as np

from samples.science.arguments import at_least, not_negative, positive
from samples.science.length_limit.fish_lives import Floats, Lives

# Gauss-Legendre points of the unit interval; s = S v^3 puts them where most fish still live.
NODES = 24
LONGEST_LIFE = 25.0


@dataclass(frozen=True, slots=True)
class Rule:
    """What may be kept, and what becomes of the rest.

    Attributes
    ----------
    kept_from_mm : float
        Length from which anglers keep fish where no limit forbids it.
    limit_mm : float
        Minimum length limit; at or below ``kept_from_mm`` it changes nothing.
    release_death : float or ndarray, shape (draws,)
        Share of released fish that die, h, 0 to 1.
    caught_below : float
        How often fish under the limit are caught, against those over it.
    recruited : float
        Age in years from which fish are counted.
    last_age : float
        Age in years beyond which no fish is counted.

    Raises
    ------
    ValueError
        If a value is not finite, negative, or a share above 1, or the kept length not above zero.
    """

    kept_from_mm: float
    limit_mm: float = 0.0
    release_death: float | Floats = 0.0
    caught_below: float = 1.0
    recruited: float = 1.0
    last_age: float = LONGEST_LIFE

    def __post_init__(self) -> None:
        if (not_negative(self.release_death, "release_death", ndim=None) > 1).any():
            raise ValueError("release_death must be at most 1")
        positive(self.kept_from_mm, "kept_from_mm", ndim=0)
        for name in ("limit_mm", "caught_below", "recruited"):
            at_least(getattr(self, name), 0, name)
        at_least(self.last_age, self.recruited, "last_age")


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
    the age at entry to ``last_age``, averaged over the slices of a cohort.

    References
    ----------
    Beverton & Holt (1957), On the dynamics of exploited fish populations; Ricker (1975).
    """
    rate = np.broadcast_to(not_negative(fishing, "fishing", ndim=None), lives.natural.shape)
    positive(preferred_mm, "preferred_mm", ndim=0)
    scale = lives.scales()[:, None]
    entry, alive = entry_of(lives, rate, rule, scale)
    points, weights = _points()
    span = np.clip(rule.last_age - entry, 0, None)
    since = span[..., None] * points**3
    lengths = _lengths(lives, scale, np.where(np.isfinite(entry), entry, 0)[..., None] + since)
    taken = (
        (alive * rate)[..., None]
        * np.exp(-(rate + lives.natural)[..., None] * since)
        * (weights * 3 * points**2)
        * span[..., None]
    )
    number = taken.sum(axis=-1).mean(axis=0)
    length = (taken * lengths).sum(axis=-1).mean(axis=0)
    heavy = 10**lives.weight_log10_a * lengths**lives.weight_b
    return PerRecruit(
        number=number,
        weight_g=(taken * heavy).sum(axis=-1).mean(axis=0),
        mean_length_mm=np.divide(length, number, out=np.zeros_like(length), where=number > 0),
        preferred=_caught_over(lives, rate, rule, preferred_mm, scale),
    )


def entry_of(lives: Lives, fishing: Floats, rule: Rule, scale: Floats) -> tuple[Floats, Floats]:
    """Give the age at which fish may be kept and the share alive then: (slices, draws) each.

    Raises
    ------
    ValueError
        If F is negative or not finite, or a scale is not above zero.
    """
    not_negative(fishing, "fishing", ndim=None)
    positive(scale, "scale", ndim=None)
    kept = np.maximum(lives.age_at(rule.kept_from_mm, scale), rule.recruited)
    entry = np.maximum(lives.age_at(max(rule.limit_mm, rule.kept_from_mm), scale), rule.recruited)
    entry = np.minimum(entry, rule.last_age)
    handled = np.clip(entry - np.minimum(kept, entry), 0, None)
    dying = rule.release_death * rule.caught_below * fishing * handled
    alive = np.exp(-lives.natural * (entry - rule.recruited) - dying)
    return entry, np.where(entry < rule.last_age, alive, 0.0)


def _points() -> tuple[Floats, Floats]:
    points, weights = np.polynomial.legendre.leggauss(NODES)
    return (points + 1) / 2, weights / 2


def _lengths(lives: Lives, scale: Floats, age: Floats) -> Floats:
    grown = -np.expm1(-lives.rate[:, None] * (age - lives.age_zero[:, None]))
    lengths: Floats = scale[..., None] * lives.length_max_mm[:, None] * np.clip(grown, 0, None)
    return lengths


def _caught_over(
    lives: Lives, fishing: Floats, rule: Rule, preferred_mm: float, scale: Floats
) -> Floats:
    """Count fish over a length that are caught: let go up to the limit, kept over it."""
    entry, alive = entry_of(lives, fishing, rule, scale)
    large = np.clip(lives.age_at(preferred_mm, scale), rule.recruited, rule.last_age)
    kept = np.maximum(lives.age_at(rule.kept_from_mm, scale), rule.recruited)
    start = np.maximum(entry, large)
    total = fishing + lives.natural
    over_limit = alive * np.exp(-total * (start - entry))
    over_limit *= _share(fishing, total, rule.last_age - start)
    handling = rule.caught_below * fishing
    dying = rule.release_death * handling + lives.natural
    first = np.minimum(np.maximum(large, kept), entry)
    before = np.exp(
        -lives.natural * (first - rule.recruited)
        - rule.release_death * handling * np.clip(first - np.minimum(kept, first), 0, None)
    )
    let_go = before * _share(handling, dying, entry - first)
    return np.asarray((over_limit + let_go).mean(axis=0), dtype=np.float64)


def _share(caught: Floats, total: Floats, years: Floats) -> Floats:
    share: Floats = caught / total * -np.expm1(-total * np.clip(years, 0, None))
    return share
