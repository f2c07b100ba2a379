"""What keeps fish from a limit: growth, natural death, harvest, or nothing much.

Each draw gives one answer, by lines that the page states and a person may move; the verdict is
the answer of most draws, if enough of them agree.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from samples.science.arguments import not_negative, share
from samples.science.length_limit.axes import Axes


class Verdict(StrEnum):
    GROWTH = "growth"
    NATURAL_DEATH = "natural_death"
    HARVEST = "harvest"
    LITTLE_EFFECT = "little_effect"
    CANNOT_TELL = "cannot_tell"


ANSWERS = (Verdict.GROWTH, Verdict.NATURAL_DEATH, Verdict.HARVEST, Verdict.LITTLE_EFFECT)


@dataclass(frozen=True, slots=True)
class Lines:
    """Where one answer ends and the next begins.

    Attributes
    ----------
    fair_years : float
        A way from the kept length to the limit that growth is not blamed for. One growing season
        and a half: where limits on crappies were found to raise the yield, fish grew through the
        protected inches within about that time.
    little_taken : float
        Share taken below the limit under which a limit protects too few fish to matter. Where a
        fifth or less of the fish is taken in a year, limits were found to change little.
    long_years, few_live, many_taken : float
        From when on an axis is named beside the verdict: a way longer than this, fewer than this
        share alive at its end, more than this share taken on it.
    agree : float
        Share of the draws that must give one answer; below it, it cannot be told.

    References
    ----------
    Colvin (1991), N. Am. J. Fish. Manage. 11:585: peak yield where white crappie are first
    harvested at age 3. Allen & Miranda (1995), N. Am. J. Fish. Manage. 15:766: limits help where
    growth is fast, natural death low and exploitation moderate or more. Both from memory; the
    lines themselves are ours: common practice, no source.

    Raises
    ------
    ValueError
        If years are negative or not finite, or a share is not between 0 and 1.
    """

    fair_years: float = 1.5
    little_taken: float = 0.15
    long_years: float = 2.5
    few_live: float = 0.5
    many_taken: float = 0.3
    agree: float = 0.8

    def __post_init__(self) -> None:
        not_negative([self.fair_years, self.long_years], "fair_years and long_years")
        for name in ("little_taken", "few_live", "many_taken", "agree"):
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
        """Give the share of the draws behind the answer that most of them give."""
        return max(self.shares.values())

    @property
    def likeliest(self) -> Verdict:
        return max(self.shares, key=lambda answer: self.shares[answer])


def judge(found: Axes, lines: Lines) -> Judged:
    """Name what keeps fish from the limit.

    Parameters
    ----------
    found : Axes
        The axes, as draws; ``fair_years`` as in ``lines``.
    lines : Lines
        Where one answer ends and the next begins.

    Returns
    -------
    Judged

    Notes
    -----
    A draw says *little effect* where fewer than ``little_taken`` of the fish that would come to
    the limit are taken before it; else whichever would, if it alone were otherwise, let most more
    fish come to the limit: faster growth, no natural death, no harvest on the way.
    """
    answers = _answers(found, lines)
    shares = {answer: float(np.mean(answers == place)) for place, answer in enumerate(ANSWERS)}
    best = max(shares, key=lambda answer: shares[answer])
    holds = {
        Verdict.GROWTH: float(np.mean((found.years > lines.long_years) | (found.reach < 0.5))),
        Verdict.NATURAL_DEATH: float(np.mean(found.survival < lines.few_live)),
        Verdict.HARVEST: float(np.mean(found.taken > lines.many_taken)),
    }
    verdict = best if shares[best] >= lines.agree else Verdict.CANNOT_TELL
    return Judged(verdict, shares, holds)


def _answers(found: Axes, lines: Lines) -> np.ndarray:
    weights = np.stack([found.more_if_faster, found.more_if_none_died, found.more_if_none_taken])
    most = np.argmax(weights, axis=0)
    # Where no slice of a cohort is ever so long, nothing is taken before it: growth alone says so.
    protects_few = (found.taken < lines.little_taken) & (found.reach > 0)
    return np.where(protects_few, ANSWERS.index(Verdict.LITTLE_EFFECT), most)
