"""Every limit judged for every arm, and which fish the public is told that this rests on."""

from dataclasses import dataclass

import numpy as np

from samples.findings.entered import Entered, RuleInput
from samples.findings.limits import LimitSelection
from samples.findings.sample import Sample
from samples.findings.topics.length_limit.judged import JudgedArm, judge_arms
from samples.findings.topics.study import FishGroup, Study


@dataclass(frozen=True, slots=True, eq=False)
class ForPublic:
    """Judged arms, and what stands beside them.

    Attributes
    ----------
    arms : list of JudgedArm
    refused : list of str
        Names of arms that cannot be judged yet.
    rule : RuleInput or None
        The rule in force, with or without a least length, if one was entered.
    aged, as_given : int
        Aged fish, and those whose ages came with a spreadsheet.
    seasons : set of int
        Keys of the seasons of the aged fish.
    """

    arms: list[JudgedArm]
    refused: list[str]
    rule: RuleInput | None
    aged: int
    as_given: int
    seasons: set[int]


def analyse(
    study: Study,
    sample: Sample,
    groups: list[FishGroup],
    *,
    limit: LimitSelection,
    entered: Entered,
    species: int,
) -> ForPublic:
    """Judge the limits; ``species`` is that of the rule in force."""
    judged = judge_arms(study, sample, groups, limit=limit, entered=entered)
    aged = sample.where(sample.aged)
    return ForPublic(
        arms=judged.arms,
        refused=list(judged.refused),
        rule=entered.newest_rule(species),
        aged=aged.n,
        as_given=int(np.count_nonzero(aged.as_given)),
        seasons=set(aged.season.tolist()),
    )
