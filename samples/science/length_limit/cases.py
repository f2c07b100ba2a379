"""Beside the plain answer: crowded fish, release death, and what would settle an open one."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from samples.science.arguments import alike, at_least, not_negative, positive
from samples.science.length_limit.axes import axes
from samples.science.length_limit.fish_lives import Floats, Lives
from samples.science.length_limit.per_recruit import LONGEST_LIFE, Rule, per_recruit
from samples.science.length_limit.verdict import Judged, Lines, judge

# A tenth: protected fish crowd each other, and published cases lost about so much of their length.
CROWDED = 0.9


def crowded(lives: Lives, share: float = CROWDED) -> Lives:
    """Give the same fish grown to a share of their length at every age.

    Raises
    ------
    ValueError
        If the share is not above zero, or not finite.
    """
    positive(share, "share", ndim=0)
    return replace(lives, length_max_mm=lives.length_max_mm * share)


@dataclass(frozen=True, slots=True)
class Change:
    """A rule against another; arrays of shape (draws,).

    Attributes
    ----------
    weight, number : ndarray
        Change of the harvest as a share of the present one; 0.1 is a tenth more.
    given_up : ndarray
        Share of the fish kept now that the limit would have put back.
    """

    weight: Floats
    number: Floats
    given_up: Floats


def change(lives: Lives, fishing: Floats, now: Rule, then: Rule) -> Change:
    """Compare the harvest under a limit with the present one.

    Parameters
    ----------
    lives, fishing
        As for `per_recruit`.
    now, then : Rule
        The present rule and the candidate.

    Returns
    -------
    Change
        0 in all where nothing is harvested now.

    Raises
    ------
    ValueError
        As `per_recruit`.
    """
    present = per_recruit(lives, fishing, now)
    candidate = per_recruit(lives, fishing, then)
    # Fish that are kept now and would have been protected: what is kept of a rule whose longer
    # fish are as now, had nobody kept the shorter ones before.
    unharmed = per_recruit(lives, fishing, replace(then, release_death=1.0, caught_below=1.0))
    return Change(
        weight=_share(candidate.weight_g - present.weight_g, present.weight_g),
        number=_share(candidate.number - present.number, present.number),
        given_up=_share(present.number - unharmed.number, present.number),
    )


def _share(part: Floats, whole: Floats) -> Floats:
    return np.divide(part, whole, out=np.zeros_like(whole), where=whole > 0)


def break_even(lives: Lives, fishing: Floats, now: Rule, then: Rule, *, steps: int = 40) -> Floats:
    """Find the release death at which a limit yields no more weight than the present rule.

    Parameters
    ----------
    lives, fishing, now, then
        As for `change`; the release death of ``then`` is not used.

    Returns
    -------
    ndarray, shape (draws,)
        h between 0 and 1: above it the limit costs harvest. 0 where it does even if every
        released fish lives; 1 where it never does.

    Raises
    ------
    ValueError
        As `per_recruit`; if steps is below 1.
    """
    at_least(steps, 1, "steps")
    present = per_recruit(lives, fishing, now).weight_g
    low, high = np.zeros(lives.draws), np.ones(lives.draws)
    gains_at_best = _weight(lives, fishing, then, low) > present
    gains_at_worst = _weight(lives, fishing, then, high) > present
    for _ in range(steps):
        middle = (low + high) / 2
        gains = _weight(lives, fishing, then, middle) > present
        low, high = np.where(gains, middle, low), np.where(gains, high, middle)
    found = np.where(gains_at_worst, 1.0, (low + high) / 2)
    return np.where(gains_at_best, found, 0.0)


def _weight(lives: Lives, fishing: Floats, rule: Rule, release_death: Floats) -> Floats:
    return per_recruit(lives, fishing, replace(rule, release_death=release_death)).weight_g


# What an answer rests on, and what is held still to see how much hangs on it.
GROWTH, NATURAL, FISHING = "growth", "natural_death", "fishing"


def what_would_settle(
    lives: Lives,
    fishing: Floats,
    *,
    kept_from_mm: float,
    limit_mm: float,
    lines: Lines,
    last_age: float = LONGEST_LIFE,
) -> Mapping[str, Judged]:
    """Judge again with one input known: which figure would settle an open answer.

    Parameters
    ----------
    lives, fishing, kept_from_mm, limit_mm, last_age
        As for `axes`.
    lines : Lines
        Where one answer ends and the next begins.

    Returns
    -------
    mapping of str to Judged
        For growth, natural death and fishing: the verdict if its middle value were known.

    Raises
    ------
    ValueError, CannotEstimate
        As `axes`.
    """
    rates = not_negative(fishing, "fishing")
    alike(fishing=rates, natural=lives.natural)
    middle = np.full(lives.draws, np.median(rates))
    known = {
        GROWTH: (_with_middle(lives, "length_max_mm", "rate", "age_zero"), fishing),
        NATURAL: (_with_middle(lives, "natural"), fishing),
        FISHING: (lives, middle),
    }
    return {
        name: judge(
            axes(
                one,
                rate,
                kept_from_mm=kept_from_mm,
                limit_mm=limit_mm,
                fair_years=lines.fair_years,
                last_age=last_age,
            ),
            lines,
        )
        for name, (one, rate) in known.items()
    }


def _with_middle(lives: Lives, *names: str) -> Lives:
    still: dict[str, Any] = {
        name: np.full(lives.draws, np.median(getattr(lives, name))) for name in names
    }
    return replace(lives, **still)
