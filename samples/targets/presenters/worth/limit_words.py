"""The answer about a length limit in words and figures, before and after more otoliths."""

from dataclasses import dataclass

import numpy as np

from samples.rules.and_text import and_text
from samples.science.arguments import Floats
from samples.science.worth import LimitAnswer
from samples.targets.presenters.worth.limit import LimitStudy, Unanswered
from samples.targets.presenters.worth.study import Study
from samples.targets.presenters.worth.what_if import POINTS, WhatIf
from samples.units import HUNDREDTHS_PER_MILLIMETRE, LengthUnit, to_text

WHY_NOT = {
    Unanswered.NO_KEPT_LENGTH: "too few kept fish measured",
    Unanswered.IN_FORCE: "a limit this long is in force",
    Unanswered.LIMIT_BELOW_KEPT: "anglers keep none this short",
    Unanswered.TOO_FEW_AGES: "too few ages",
    Unanswered.NO_FISHING: "mortality no higher than M",
    Unanswered.NO_CURVE: "no growth curve fits",
}


@dataclass(frozen=True, slots=True)
class LimitLine:
    """One arm: change in weight harvested, half its interval before and after, and how it stands.

    ``least`` is the half that no otolith takes off: the length sample's and M's. ``why_not``
    stands where there is no answer; the rest is then empty.
    """

    arm: str
    change: str
    before: str
    after: str
    least: str
    state: str
    why_not: str


@dataclass(frozen=True, slots=True)
class LimitFigures:
    """The answers of all arms; ``before`` and ``after`` are of open arms together.

    ``curve`` is half the interval in percent by otoliths read, for the slider to read.
    """

    limit: str
    lines: list[LimitLine]
    sentence: str
    before: str
    after: str
    curve: list[tuple[int, float]]


def limit_headline(figures: LimitFigures, found: WhatIf) -> str:
    """Return the answer where the plan is for the limit alone; nothing where no arm is open."""
    if not figures.before or not (n := int(found.plan.more.sum())):
        return ""
    otoliths = "1 more otolith" if n == 1 else f"{n} more otoliths"
    return f"{otoliths}: change in harvest at {figures.limit} {figures.before} to {figures.after}"


def limit_figures(asked: LimitStudy, found: WhatIf, study: Study, unit: LengthUnit) -> LimitFigures:
    more = study.each * found.plan.more.astype(np.float64)
    open_arms = [study.arms[row].name for row in asked.open_rows]
    text = f"{to_text(round(asked.limit_mm * HUNDREDTHS_PER_MILLIMETRE), unit)} {unit}"
    lines = [
        _line(arm.name, one, why, more[row])
        for row, (arm, one, why) in enumerate(
            zip(study.arms, asked.answers, asked.reasons, strict=True)
        )
    ]
    if open_arms:
        sentence = f"Open in {and_text(open_arms)}."
    elif any(asked.answers):
        sentence = "Open in no arm: more otoliths change no answer."
    else:
        sentence = "No arm has an answer yet."
    return LimitFigures(
        text,
        lines,
        sentence,
        _percent(asked.half_width(0 * more)) if open_arms else "",
        _percent(asked.half_width(more)) if open_arms else "",
        _curve(asked, found, study) if open_arms else [],
    )


def _curve(asked: LimitStudy, found: WhatIf, study: Study) -> list[tuple[int, float]]:
    most = found.curve[-1][0]
    steps = np.unique(np.linspace(0, most, POINTS).round().astype(int))
    return [
        (
            int(n),
            round(
                100 * asked.half_width(study.each * found.whole.first(int(n)).astype(np.float64)), 1
            ),
        )
        for n in steps
    ]


def _line(arm: str, answer: LimitAnswer | None, why: Unanswered | None, more: Floats) -> LimitLine:
    if answer is None:
        return LimitLine(arm, "", "", "", "", "", WHY_NOT[why] if why else "")
    sign = "+" if answer.change >= 0 else "\u2212"
    return LimitLine(
        arm,
        f"{sign}{abs(100 * answer.change):.0f}%",
        _percent(answer.half_width()),
        _percent(answer.half_width(more)),
        _percent(answer.half_width_at_best),
        "open" if answer.is_open else "settled",
        "",
    )


def _percent(half_width: float) -> str:
    return f"\u00b1{100 * half_width:.1f}%"
