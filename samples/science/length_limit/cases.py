"""Beside the plain answer: crowded fish, release death, and what would settle an open one."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from samples.science.arguments import alike, at_least, not_negative, positive
from samples.science.length_limit.axes import Axes, axes
from samples.science.length_limit.fish_lives import Floats, Lives
from samples.science.length_limit.per_recruit import (
    KeptOfEach,
    PerRecruit,
    Rule,
    kept_of_each,
    per_recruit,
)
from samples.science.length_limit.verdict import Change, Judged, Lines, answers_of, judge

# A tenth: protected fish crowd each other, and published cases lost about so much of their length.
CROWDED = 0.9


def crowded(lives: Lives, share: float = CROWDED) -> Lives:
    """Return the same fish grown to a share of their length at every age.

    Parameters
    ----------
    lives : Lives
    share : float
        Of their Linf that crowded fish come to, above 0 and at most 1.

    Returns
    -------
    Lives
        The same fish with the lesser Linf.

    Raises
    ------
    ValueError
        If the share is not above zero, or not finite.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.cases import crowded
    >>> from samples.science.length_limit.fish_lives import Lives
    >>> k, m = np.array([0.4, 0.38]), np.array([0.4, 0.45])
    >>> lives = Lives(np.array([340.0, 360]), k, np.zeros(2), m, 0.1)
    >>> crowded(lives, 0.9).linf_mm / lives.linf_mm
    array([0.9, 0.9])
    """
    positive(share, "share", ndim=0)
    return replace(lives, linf_mm=lives.linf_mm * share)


def change(
    lives: Lives,
    f: Floats,
    now: Rule,
    then: Rule,
    *,
    preferred_mm: float = 250.0,
    present: PerRecruit | None = None,
    candidate: PerRecruit | None = None,
) -> Change:
    """Compare the harvest under a rule with the present one.

    Parameters
    ----------
    lives, f, preferred_mm
        As for `per_recruit`.
    now, then : Rule
        The present rule and the candidate.
    present, candidate : PerRecruit, optional
        What the rules come to, of the same draws, where that is known already.

    Returns
    -------
    Change
        0 in all where nothing is harvested now.

    Raises
    ------
    ValueError
        As `per_recruit`.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.cases import change
    >>> from samples.science.length_limit.fish_lives import Lives
    >>> from samples.science.length_limit.rules import Rule
    >>> k, m = np.array([0.4, 0.38]), np.array([0.4, 0.45])
    >>> lives = Lives(np.array([340.0, 360]), k, np.zeros(2), m, 0.1)
    >>> f, now = np.full(2, 0.5), Rule(kept_from_mm=200)
    >>> then = Rule(kept_from_mm=200, limit_mm=254, release_death=0.1)
    >>> change(lives, f, now, then).number.round(2)
    array([-0.43, -0.42])
    """
    present = present or per_recruit(lives, f, now, preferred_mm=preferred_mm)
    candidate = candidate or per_recruit(lives, f, then, preferred_mm=preferred_mm)
    return Change(
        weight=_share(candidate.weight_g - present.weight_g, present.weight_g),
        number=_share(candidate.number - present.number, present.number),
        preferred=_share(candidate.preferred - present.preferred, present.preferred),
    )


def given_up(lives: Lives, f: Floats, now: Rule, then: Rule) -> Floats:
    """Return the share of the fish kept now that a rule would have put back, shape (draws,).

    Parameters
    ----------
    lives : Lives
        Growth and natural mortality, as draws.
    f : ndarray, shape (draws,) or ()
        F, per year, of fish that are kept.
    now, then : Rule
        The rule in force and the one proposed.

    Returns
    -------
    ndarray, shape (draws,)
        Share of the fish kept now, 0 to 1.

    Raises
    ------
    ValueError
        As `per_recruit`.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.cases import given_up
    >>> from samples.science.length_limit.fish_lives import Lives
    >>> from samples.science.length_limit.rules import Rule
    >>> k, m = np.array([0.4, 0.38]), np.array([0.4, 0.45])
    >>> lives = Lives(np.array([340.0, 360]), k, np.zeros(2), m, 0.1)
    >>> f, now = np.full(2, 0.5), Rule(kept_from_mm=200)
    >>> then = Rule(kept_from_mm=200, limit_mm=254, release_death=0.1)
    >>> given_up(lives, f, now, then).round(2)
    array([0.66, 0.64])
    """
    put_back = _number(lives, f, now, beside=then)
    return _share(put_back, _number(lives, f, now))


def _number(lives: Lives, f: Floats, rule: Rule, *, beside: Rule | None = None) -> Floats:
    found = kept_of_each(lives, f, rule, numbers_only=True, beside=beside)
    return np.asarray((found.share * found.number).sum(axis=0), dtype=np.float64)


def _share(part: Floats, whole: Floats) -> Floats:
    return np.divide(part, whole, out=np.zeros_like(whole), where=whole > 0)


def break_even(lives: Lives, f: Floats, now: Rule, then: Rule, *, steps: int = 40) -> Floats:
    """Find the release death at which a minimum limit yields no more weight than the present rule.

    Parameters
    ----------
    lives, f, now, then
        As for `change`; their release deaths are not used, as the fish are the same under both.
    steps : int
        Release deaths that are tried between 0 and 1.

    Returns
    -------
    ndarray, shape (draws,)
        h between 0 and 1: above it the limit costs harvest. 0 where it does even if every
        released fish lives; 1 where it never does.

    Raises
    ------
    ValueError
        As `per_recruit`; if steps is below 1.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.cases import break_even
    >>> from samples.science.length_limit.fish_lives import Lives
    >>> from samples.science.length_limit.rules import Rule
    >>> k, m = np.array([0.4, 0.38]), np.array([0.4, 0.45])
    >>> lives = Lives(np.array([340.0, 360]), k, np.zeros(2), m, 0.1)
    >>> f, now = np.full(2, 0.5), Rule(kept_from_mm=200)
    >>> then = Rule(kept_from_mm=200, limit_mm=254, release_death=0.1)
    >>> break_even(lives, f, now, then).round(2)
    array([0., 0.])
    """
    at_least(steps, 1, "steps")
    f = np.broadcast_to(not_negative(f, "f", ndim=None), lives.m.shape)
    before = kept_of_each(lives, f, replace(now, release_death=0.0))
    after = kept_of_each(lives, f, replace(then, release_death=0.0))

    def weight_of(found: KeptOfEach) -> Callable[[Floats], Floats]:
        whole = found.share * found.weight_g
        # Parts of a cohort that are never kept, or never handled, weigh the same at every death.
        there = (whole * found.handled).any(axis=1)
        always = whole[~there].sum(axis=0)
        some, years = whole[there], f * found.handled[there]
        return lambda death: always + (some * np.exp(-death * years)).sum(axis=0)

    weight_before, weight_after = weight_of(before), weight_of(after)

    def gains(death: Floats) -> np.ndarray:
        gained: np.ndarray = weight_after(death) > weight_before(death)
        return gained

    low, high = np.zeros(lives.draws), np.ones(lives.draws)
    at_best, at_worst = gains(low), gains(high)
    if (at_best & ~at_worst).any():
        for _ in range(steps):
            middle = (low + high) / 2
            better = gains(middle)
            low, high = np.where(better, middle, low), np.where(better, high, middle)
    return np.where(at_best, np.where(at_worst, 1.0, (low + high) / 2), 0.0)


# What an answer rests on, and how finely each is parted to see how much hangs on it.
GROWTH, NATURAL, FISHING = "growth", "natural_death", "fishing"
PARTS = 6


def judge_limit(
    lives: Lives,
    f: Floats,
    now: Rule,
    then: Rule,
    lines: Lines,
    *,
    preferred_mm: float = 250.0,
) -> Judged:
    """Judge a minimum limit: what keeps fish from it, or that it changes little.

    Parameters
    ----------
    lives, f, now, then, preferred_mm
        As for `change`.
    lines : Lines
        Where one answer ends and the next begins.

    Returns
    -------
    Judged

    Raises
    ------
    ValueError, CannotEstimate
        As `axes` and `change`.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.cases import judge_limit
    >>> from samples.science.length_limit.fish_lives import Lives
    >>> from samples.science.length_limit.rules import Rule
    >>> from samples.science.length_limit.verdict import Lines
    >>> k, m = np.array([0.4, 0.38]), np.array([0.4, 0.45])
    >>> lives = Lives(np.array([340.0, 360]), k, np.zeros(2), m, 0.1)
    >>> f, now = np.full(2, 0.5), Rule(kept_from_mm=200)
    >>> then = Rule(kept_from_mm=200, limit_mm=254, release_death=0.1)
    >>> judge_limit(lives, f, now, then, Lines()).likeliest.value
    'harvest'
    """
    found = axes(lives, f, kept_from_mm=now.first_mm, limit_mm=then.limit_mm)
    return judge(found, change(lives, f, now, then, preferred_mm=preferred_mm), lines)


def what_would_settle(
    lives: Lives,
    f: Floats,
    now: Rule,
    then: Rule,
    lines: Lines,
    *,
    preferred_mm: float = 250.0,
    found: Axes | None = None,
    changed: Change | None = None,
) -> Mapping[str, float]:
    """Find which figure, if it were known, would settle an open answer.

    Parameters
    ----------
    lives, f, now, then, lines, preferred_mm
        As for `judge_limit`.
    found, changed : Axes and Change, optional
        What lies before the limit and what it changes, where that is known already.

    Returns
    -------
    mapping of str to float
        For growth, natural death and fishing: the share of the draws that is expected to agree
        if it were known to a sixth of its range.

    Raises
    ------
    ValueError, CannotEstimate
        As `judge_limit`.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.cases import what_would_settle
    >>> from samples.science.length_limit.fish_lives import Lives
    >>> from samples.science.length_limit.rules import Rule
    >>> from samples.science.length_limit.verdict import Lines
    >>> k, m = np.array([0.4, 0.38]), np.array([0.4, 0.45])
    >>> lives = Lives(np.array([340.0, 360]), k, np.zeros(2), m, 0.1)
    >>> f, now = np.full(2, 0.5), Rule(kept_from_mm=200)
    >>> then = Rule(kept_from_mm=200, limit_mm=254, release_death=0.1)
    >>> type(what_would_settle(lives, f, now, then, Lines())).__name__
    'dict'
    """
    alike(f=not_negative(f, "f"), m=lives.m)
    found = found or axes(lives, f, kept_from_mm=now.first_mm, limit_mm=then.limit_mm)
    changed = changed or change(lives, f, now, then, preferred_mm=preferred_mm)
    answers = answers_of(found, changed, lines)
    # Of fish that never reach the limit, the fewer ever do, the slower they grow.
    slowness = np.where(np.isfinite(found.years), found.years, 1e3 - found.reach)
    values = {GROWTH: slowness, NATURAL: lives.m, FISHING: f}
    return {name: _agreeing(answers, value) for name, value in values.items()}


def _agreeing(answers: npt.NDArray[np.int64], value: Floats) -> float:
    """Average the share of the commonest answer over parts of the draws with like values."""
    parts = np.array_split(answers[np.argsort(value, kind="stable")], PARTS)
    commonest = [np.bincount(part).max() for part in parts if part.size]
    return float(sum(commonest) / answers.size)
