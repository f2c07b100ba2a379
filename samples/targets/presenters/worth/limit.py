"""The answer about a length limit in each arm, beside age shares and mean lengths."""

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from samples.science.arguments import Floats
from samples.science.errors import CannotEstimate
from samples.science.worth import LimitAnswer, LimitQuestion, limit_answer, limit_worth
from samples.targets.presenters.worth.study import Study
from samples.targets.queries.limit import LimitInputs


class Unanswered(StrEnum):
    """Why an arm has no answer."""

    NO_KEPT_LENGTH = "no_kept_length"
    IN_FORCE = "in_force"
    LIMIT_BELOW_KEPT = "limit_below_kept"
    TOO_FEW_AGES = "too_few_ages"
    NO_FISHING = "no_fishing"
    NO_CURVE = "no_curve"


@dataclass(frozen=True, slots=True, eq=False)
class LimitStudy:
    """Answers by arm, in the study's order; none with why where an arm has none."""

    limit_mm: float
    answers: list[LimitAnswer | None]
    reasons: list[Unanswered | None]

    @property
    def open_rows(self) -> list[int]:
        """Return the places of the arms in which the limit is an open question."""
        return [row for row, one in enumerate(self.answers) if one is not None and one.is_open]

    def half_width(self, more: Floats) -> float:
        """Return half the 95% interval of open arms, root mean square, with more fish."""
        squared = [one.half_width(more[row]) ** 2 for row, one in self._open]
        return float(np.sqrt(np.mean(squared))) if squared else 0.0

    @property
    def _open(self) -> list[tuple[int, LimitAnswer]]:
        return [
            (row, one)
            for row, one in enumerate(self.answers)
            if one is not None and row in self.open_rows
        ]


def with_limit(study: Study, limit_mm: float, inputs: LimitInputs) -> tuple[Study, LimitStudy]:
    """Return the study with what its cells add to the answers of open arms, and the answers."""
    answers: list[LimitAnswer | None] = []
    reasons: list[Unanswered | None] = []
    for row, arm in enumerate(study.arms):
        try:
            answers.append(_answer(study, row, arm.pk, limit_mm, inputs))
            reasons.append(None)
        except CannotEstimate as problem:
            answers.append(None)
            reasons.append(Unanswered(problem.code))
    asked = LimitStudy(limit_mm, answers, reasons)
    return replace(study, worth=limit_worth(study.worth, answers)), asked


def _answer(study: Study, row: int, arm: int, limit_mm: float, inputs: LimitInputs) -> LimitAnswer:
    if limit_mm <= inputs.rule_mm:
        raise CannotEstimate("in_force", "A limit is in force that is no shorter.")
    kept_from = inputs.kept_from_mm.get(arm)
    if kept_from is None:
        raise CannotEstimate("no_kept_length", "Too few fish kept by anglers.")
    m, m_sd = inputs.m.get(arm, (0.0, 0.0))
    question = LimitQuestion(
        limit_mm=limit_mm,
        kept_from_mm=max(kept_from, inputs.rule_mm),
        m=m,
        m_sd=m_sd,
        release_death=inputs.release_death,
    )
    return limit_answer(study.survey, row, question)
