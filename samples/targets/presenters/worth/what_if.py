"""What so many more otoliths would tell: the best way to divide them, before and after."""

from dataclasses import dataclass

import numpy as np

from samples.science.arguments import Floats
from samples.science.worth import (
    ArmPrecision,
    Plan,
    arm_precision,
    divide_by_length_shares,
    divide_equally,
    plan_by_worth,
)
from samples.targets.presenters.worth.study import Study

# Points of the curve, so that it is smooth and no more.
POINTS = 31
# 95% intervals are 1.96 standard errors either way.
HALF_WIDTH = 1.96


@dataclass(frozen=True, slots=True)
class Precision:
    """How well the ages are known: mean CV of age shares in percent, and mean length in mm.

    ``half_width_mm`` is half of the 95% interval of mean length at the ages planned for.
    """

    cv_percent: float
    half_width_mm: float


@dataclass(frozen=True, slots=True)
class ArmLine:
    """One arm: fish to read, and how well its ages are known before and after."""

    arm: str
    more: int
    measured: int
    borrowed_from: str
    before: Precision
    after: Precision


@dataclass(frozen=True, slots=True, eq=False)
class WhatIf:
    """The plan for a budget, and what it is expected to bring.

    Attributes
    ----------
    plan, whole : Plan
        For the budget, and for the largest of the curve.
    lines : list of ArmLine
    before, after, equally : Precision
        Over the arms: now, with the plan, and with equal numbers a bin.
    curve : list of (int, float, float)
        Fish read, and the mean CV in percent by worth and by equal numbers.
    equal_needed : int or None
        Fish that equal numbers a bin would take for the same CV; none where the most fish
        that can be had so do not reach it.
    """

    plan: Plan
    whole: Plan
    lines: list[ArmLine]
    before: Precision
    after: Precision
    equally: Precision
    curve: list[tuple[int, float, float]]
    equal_needed: int | None

    @property
    def by_worth(self) -> list[tuple[int, float]]:
        """Return the curve of the CV by worth alone, for the slider to read while it moves."""
        return [(fish, round(percent, 2)) for fish, percent, _ in self.curve]


def what_if(
    study: Study, *, budget: int, lengths_weight: float, most: int, limit_weight: float = 0.0
) -> WhatIf:
    """Divide a budget by worth and predict what it brings.

    :param lengths_weight: 0 plans for age shares alone, 1 for mean lengths alone
    :param limit_weight: 1 plans for the answer about a length limit alone
    :param most: largest budget of the curve
    """
    largest = max(budget, most)
    whole = divided(
        study,
        way="worth",
        budget=largest,
        lengths_weight=lengths_weight,
        limit_weight=limit_weight,
    )
    even = divided(study, way="equal", budget=2 * largest, lengths_weight=lengths_weight)
    plan = Plan(more := whole.first(budget), whole.order[:budget], budget - int(more.sum()))
    now = precision_with(study, np.zeros_like(study.in_hand))
    then = precision_with(study, more)
    steps = np.unique(np.linspace(0, most, POINTS).round().astype(int))
    curve = [
        (
            int(n),
            over_arms(precision_with(study, whole.first(int(n)))).cv_percent,
            over_arms(precision_with(study, even.first(int(n)))).cv_percent,
        )
        for n in steps
    ]
    after = over_arms(then)
    return WhatIf(
        plan=plan,
        whole=whole,
        lines=_lines(study, more, now, then),
        before=over_arms(now),
        after=after,
        equally=over_arms(precision_with(study, even.first(budget))),
        curve=curve,
        equal_needed=_equal_needed(study, even, after.cv_percent),
    )


def precision_with(study: Study, more: Floats | np.ndarray) -> ArmPrecision:
    """Return what would be known with so many more fish that come as they came so far."""
    return arm_precision(
        study.survey, ages_planned=study.ages.years, more=study.each * np.asarray(more, dtype=float)
    )


def over_arms(found: ArmPrecision) -> Precision:
    """Return the mean over arms: CV plain, half-width by root mean square."""
    return Precision(
        100 * float(found.mean_cv.mean()),
        HALF_WIDTH * float(np.sqrt((found.length_error**2).mean())),
    )


def divided(
    study: Study, *, way: str, budget: int, lengths_weight: float, limit_weight: float = 0.0
) -> Plan:
    """Divide a budget by worth, by equal numbers a bin or by the length sample."""
    have = study.counts.sum(axis=2)
    if way == "equal":
        return divide_equally(have, budget=budget, can_be_had=study.can_be_had)
    if way == "abundance":
        return divide_by_length_shares(
            have, study.survey.length_shares, budget=budget, can_be_had=study.can_be_had
        )
    return plan_by_worth(
        study.worth,
        budget=budget,
        can_be_had=study.can_be_had,
        lengths_weight=lengths_weight,
        limit_weight=limit_weight,
        effective_each=study.each,
    )


def _equal_needed(study: Study, even: Plan, cv_percent: float) -> int | None:
    """Find by halving how many fish equal numbers a bin take for this CV."""

    def cv(n: int) -> float:
        return over_arms(precision_with(study, even.first(n))).cv_percent

    few, many = 0, len(even.order)
    if cv(many) > cv_percent:
        return None
    while few < many:
        middle = (few + many) // 2
        few, many = (few, middle) if cv(middle) <= cv_percent else (middle + 1, many)
    return few


def _lines(study: Study, more: np.ndarray, now: ArmPrecision, then: ArmPrecision) -> list[ArmLine]:
    def of_arm(found: ArmPrecision, row: int) -> Precision:
        return Precision(
            100 * float(found.mean_cv[row]), HALF_WIDTH * float(found.length_error[row])
        )

    return [
        ArmLine(
            arm.name,
            int(more[row].sum()),
            study.lengths[row].measured,
            study.lengths[row].season,
            of_arm(now, row),
            of_arm(then, row),
        )
        for row, arm in enumerate(study.arms)
    ]
