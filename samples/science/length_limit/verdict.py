"""What keeps fish from a limit: growth, natural death, harvest, or nothing much.

Each draw gives one answer, by lines that the page states and a person may move; the verdict is
the answer of most draws, if enough of them agree.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from samples.science.arguments import alike, not_negative, share
from samples.science.length_limit.axes import Axes
from samples.science.length_limit.fish_lives import Floats


class Verdict(StrEnum):
    GROWTH = "growth"
    NATURAL_DEATH = "natural_death"
    HARVEST = "harvest"
    LITTLE_EFFECT = "little_effect"
    CANNOT_TELL = "cannot_tell"


ANSWERS = (Verdict.GROWTH, Verdict.NATURAL_DEATH, Verdict.HARVEST, Verdict.LITTLE_EFFECT)


@dataclass(frozen=True, slots=True)
class Change:
    """A rule against another: changes as shares of the present, 0.1 a tenth more; shape (draws,).

    Attributes
    ----------
    weight, number : ndarray
        Of the harvest.
    preferred : ndarray
        Of the fish over the preferred length that are caught, kept or let go.
    """

    weight: Floats
    number: Floats
    preferred: Floats


@dataclass(frozen=True, slots=True)
class Lines:
    """Where one answer ends and the next begins.

    Attributes
    ----------
    little_change : float
        A limit has little effect where weight, number and large fish all change by no more.
    long_years : float
        Growth is the cause where the way from the kept length to the limit is longer.
    few_reach : float
        Growth is the cause where fewer than this share of a cohort is ever so long.
    few_live, many_taken : float
        From when on natural death or harvest is named beside the verdict: fewer than this share
        alive at the end of the way, more than this share taken on it.
    agree : float
        Share of the draws that must give one answer; below it, it cannot be told.

    Notes
    -----
    The lines are defaults to be changed by a person: common practice, no source.

    Raises
    ------
    ValueError
        If years are negative or not finite, or a share is not between 0 and 1.
    """

    little_change: float = 0.05
    long_years: float = 2.5
    few_reach: float = 0.5
    few_live: float = 0.5
    many_taken: float = 0.3
    agree: float = 0.8

    def __post_init__(self) -> None:
        not_negative([self.long_years], "long_years")
        for name in ("little_change", "few_reach", "few_live", "many_taken", "agree"):
            share(getattr(self, name), name)


@dataclass(frozen=True, slots=True)
class Judged:
    """A verdict with what it rests on.

    Attributes
    ----------
    verdict : Verdict
    shares : mapping
        Share of the draws that give each answer; they sum to 1.
    holds : mapping
        Probability that each axis by itself stands in the way: the way is long, few live, many
        are taken. Several may.
    """

    verdict: Verdict
    shares: Mapping[Verdict, float]
    holds: Mapping[Verdict, float]

    @property
    def probability(self) -> float:
        """Return the share of the draws behind the answer that most of them give."""
        return max(self.shares.values())

    @property
    def likeliest(self) -> Verdict:
        return max(self.shares, key=lambda answer: self.shares[answer])


def judge(found: Axes, changed: Change, lines: Lines) -> Judged:
    """Name what keeps fish from the limit.

    Parameters
    ----------
    found : Axes
        The axes, as draws.
    changed : Change
        What the limit does to the harvest, of the same draws.
    lines : Lines
        Where one answer ends and the next begins.

    Returns
    -------
    Judged

    Raises
    ------
    ValueError
        If axes and changes are not of the same draws.

    Notes
    -----
    A draw says *little effect* where weight, number and large fish all change by
    ``little_change`` at most. Else *growth* where fewer than ``few_reach`` are ever so long, or
    the way takes longer than ``long_years``. Else natural death and harvest are compared by how
    many more fish would reach the limit if each were a quarter smaller.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.axes import axes
    >>> from samples.science.length_limit.cases import change
    >>> from samples.science.length_limit.fish_lives import Lives
    >>> from samples.science.length_limit.rules import Rule
    >>> from samples.science.length_limit.verdict import Lines, judge
    >>> k, m = np.array([0.4, 0.38]), np.array([0.4, 0.45])
    >>> lives = Lives(np.array([340.0, 360]), k, np.zeros(2), m, 0.1)
    >>> f, now = np.full(2, 0.5), Rule(kept_from_mm=200)
    >>> then = Rule(kept_from_mm=200, limit_mm=254, release_death=0.1)
    >>> found, changed = axes(lives, f, kept_from_mm=200, limit_mm=254), change(lives, f, now, then)
    >>> judge(found, changed, Lines()).likeliest.value
    'harvest'
    """
    answers = answers_of(found, changed, lines)
    shares = {answer: float(np.mean(answers == place)) for place, answer in enumerate(ANSWERS)}
    best = max(shares, key=lambda answer: shares[answer])
    slow = (found.years > lines.long_years) | (found.reach < lines.few_reach)
    holds = {
        Verdict.GROWTH: float(np.mean(slow)),
        Verdict.NATURAL_DEATH: float(np.mean(found.survival < lines.few_live)),
        Verdict.HARVEST: float(np.mean(found.taken > lines.many_taken)),
    }
    verdict = best if shares[best] >= lines.agree else Verdict.CANNOT_TELL
    return Judged(verdict, shares, holds)


def answers_of(found: Axes, changed: Change, lines: Lines) -> npt.NDArray[np.int64]:
    """Return the answer of each draw as its place in `ANSWERS`, by the rules of `judge`.

    Parameters
    ----------
    found : Axes
        What lies between the length kept now and the limit.
    changed : Change
        What the limit does to the harvest.
    lines : Lines
        Where the lines between verdicts are drawn.

    Returns
    -------
    ndarray of int, shape (draws,)
        Places of the answers in `ANSWERS`.

    Raises
    ------
    ValueError
        As `judge`.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.length_limit.axes import axes
    >>> from samples.science.length_limit.cases import change
    >>> from samples.science.length_limit.fish_lives import Lives
    >>> from samples.science.length_limit.rules import Rule
    >>> from samples.science.length_limit.verdict import Lines, answers_of
    >>> k, m = np.array([0.4, 0.38]), np.array([0.4, 0.45])
    >>> lives = Lives(np.array([340.0, 360]), k, np.zeros(2), m, 0.1)
    >>> f, now = np.full(2, 0.5), Rule(kept_from_mm=200)
    >>> then = Rule(kept_from_mm=200, limit_mm=254, release_death=0.1)
    >>> found, changed = axes(lives, f, kept_from_mm=200, limit_mm=254), change(lives, f, now, then)
    >>> answers_of(found, changed, Lines()).shape
    (2,)
    """
    alike(reach=found.reach, changed=changed.weight)
    parts = (changed.weight, changed.number, changed.preferred)
    little = np.all([np.abs(part) <= lines.little_change for part in parts], axis=0)
    slow = (found.reach < lines.few_reach) | (found.years > lines.long_years)
    places: npt.NDArray[np.int64] = np.select(
        [little, slow, found.if_fewer_taken > found.if_fewer_died],
        [
            ANSWERS.index(answer)
            for answer in (Verdict.LITTLE_EFFECT, Verdict.GROWTH, Verdict.HARVEST)
        ],
        ANSWERS.index(Verdict.NATURAL_DEATH),
    )
    return places
