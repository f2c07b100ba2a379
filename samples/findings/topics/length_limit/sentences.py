"""The answer in words: what keeps fish from the limit, in the two or three numbers that say so."""

from enum import StrEnum

import numpy as np

from samples.findings.page_model import Missing, Sentence
from samples.findings.topics.length_limit.rests_on import all_release, withheld_text
from samples.findings.topics.length_limit.stock import ArmVerdict, Known
from samples.findings.topics.length_limit.table_cells import (
    ENDS,
    change_text,
    probability_cell,
    years_cell,
)
from samples.findings.topics.query import TopicQuery
from samples.rules.and_text import and_text
from samples.science.length_limit.axes import Axes
from samples.science.length_limit.cases import FISHING, GROWTH, NATURAL
from samples.science.length_limit.fish_lives import Floats
from samples.science.length_limit.verdict import ANSWERS, Judged, Verdict

NAMES = {
    Verdict.GROWTH: "growth",
    Verdict.NATURAL_DEATH: "natural mortality",
    Verdict.HARVEST: "harvest",
    Verdict.LITTLE_EFFECT: "little effect",
    Verdict.CANNOT_TELL: "cannot tell",
}
MAIN_CAUSE = {
    Verdict.GROWTH: "Slow growth",
    Verdict.NATURAL_DEATH: "Natural mortality",
    Verdict.HARVEST: "Harvest",
}
MOST_DRAWS = 0.8
IN_TEN = (15, 90)


def verdict_text(answer: ArmVerdict) -> str:
    """Write the verdict; a limit that is in force, or lower than that, has none."""
    if answer.in_force:
        return "in force"
    return "lower limit" if answer.lowers else NAMES[answer.verdict]


def is_answer(answer: ArmVerdict) -> bool:
    """Return whether there is something to tell of a limit."""
    return answer.lowers or answer.verdict is not Verdict.CANNOT_TELL


def sentence(query: TopicQuery, known: Known, answer: ArmVerdict) -> Sentence:
    """Answer for one arm: the verdict, the numbers that make it so, and how sure it is."""
    return _said(query, known, answer).of(known.name)


def _said(query: TopicQuery, known: Known, answer: ArmVerdict) -> Sentence:
    limit, kept = query.with_unit(answer.limit_mm), query.with_unit(known.kept_from_mm)
    if answer.in_force:
        return Sentence("in_force", f"{limit} is the limit in force.")
    if answer.lowers and answer.harvest:
        rule = query.with_unit(known.rule_mm)
        return Sentence(
            "lower_limit",
            f"lowering the limit from {rule} to {limit} would change weight "
            f"harvested by {change_text(answer.harvest.against_now.weight)} and the number of fish "
            f"harvested by {change_text(answer.harvest.against_now.number)}.",
        )
    if answer.axes is None or answer.judged is None:
        return Sentence("let_go_already", f"little effect. {let_go(known, answer, limit)}")
    if answer.withheld:
        why = withheld_text(query, answer.withheld, answer.limit_mm)
        return why.reworded(f"cannot tell. {why}")
    verdict = answer.judged.verdict
    told = _TOLD[verdict](answer.axes, kept, limit)
    sure = (
        f" (probability {probability_cell(answer.judged).text}%)"
        if verdict is not Verdict.CANNOT_TELL
        else ""
    )
    beside = _beside(answer.judged) + _price(query, answer)
    return Sentence(verdict.value, f"{NAMES[verdict]}{sure}. {told}{beside}")


def let_go(known: Known, answer: ArmVerdict, limit: str) -> str:
    """Return how few of the fish that anglers keep are shorter than a limit."""
    if not known.kept_mm.size:
        return f"Anglers hardly keep fish shorter than {limit} now."
    share = float(np.mean(known.kept_mm < answer.limit_mm))
    words = "Hardly any" if share < 0.01 else f"Only about {100 * share:.0f} of 100"
    return f"{words} fish that anglers keep are shorter than {limit}: anglers already release them."


def gains(answer: ArmVerdict) -> bool:
    """Return whether the weight harvested would rise, by the middle of the draws."""
    return bool(answer.harvest and np.median(answer.harvest.against_now.weight) > 0)


def could_help(query: TopicQuery, answer: ArmVerdict) -> bool:
    """Return whether a limit could help: by the verdict and the weight harvested together.

    Where harvest is not the main cause, most draws must gain more than counts as little.
    """
    verdict = answer.verdict
    if verdict is Verdict.HARVEST:
        return gains(answer)
    if verdict not in (Verdict.GROWTH, Verdict.NATURAL_DEATH) or answer.harvest is None:
        return False
    lines = query.choice.limit.lines
    gain = answer.harvest.against_now.weight > lines.little_change
    return bool(np.mean(gain) >= lines.agree)


def _price(query: TopicQuery, answer: ArmVerdict) -> str:
    """Return what a limit would do to the weight and the number harvested."""
    if answer.harvest is None or answer.verdict is Verdict.CANNOT_TELL:
        return ""
    changed = answer.harvest.against_now
    return (
        f" Weight harvested would change by {change_text(changed.weight)} and the number of fish "
        f"harvested by {change_text(changed.number)}."
    )


def _growth(axes: Axes, kept: str, limit: str) -> str:
    if np.median(axes.reach) < 0.5:
        return (
            f"Few fish ever reach {limit}: {in_ten(axes.reach)}. Under that limit, most fish could "
            "never be kept."
        )
    return (
        f"The average fish needs {years(axes.years)} to grow from {kept} to {limit}, and "
        f"{in_ten(1 - axes.survival)} die of natural causes on the way."
    )


def _natural(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"The average fish needs {years(axes.years)} to grow from {kept} to {limit}. "
        f"{in_ten(1 - axes.survival)} die of natural causes on the way, and of the others "
        f"{in_ten(axes.taken)} are harvested first."
    )


def _harvest(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"The average fish needs {years(axes.years)} to grow from {kept} to {limit}. "
        f"{in_ten(axes.survival)} would survive natural causes, and {in_ten(axes.taken)} of those "
        "are harvested first."
    )


def _little(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"Fish take {years(axes.years)} to grow from {kept} to {limit}, and "
        f"{in_ten(axes.taken)} of those that would reach it are harvested before."
    )


def _open(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"The average fish needs {years(axes.years)} to grow from {kept} to {limit}; "
        f"{in_ten(1 - axes.survival)} die of natural causes on the way, and of the others "
        f"{in_ten(axes.taken)} are harvested first. The ranges are too wide to name a main cause."
    )


_TOLD = {
    Verdict.GROWTH: _growth,
    Verdict.NATURAL_DEATH: _natural,
    Verdict.HARVEST: _harvest,
    Verdict.LITTLE_EFFECT: _little,
    Verdict.CANNOT_TELL: _open,
}


def _beside(judged: Judged) -> str:
    """Name what else stands in the way, or between which answers an open one lies."""
    if judged.verdict is Verdict.CANNOT_TELL:
        parts = [
            f"{NAMES[one]} in {100 * judged.shares[one]:.0f}"
            for one in sorted(ANSWERS, key=lambda one: -judged.shares[one])
            if judged.shares[one] >= 0.05
        ]
        return f" Of 100 draws: {', '.join(parts)}."
    words = {
        Verdict.GROWTH: "slow growth",
        Verdict.NATURAL_DEATH: "natural mortality",
        Verdict.HARVEST: "harvest",
    }
    also = [
        words[one]
        for one, probability in judged.holds.items()
        if one is not judged.verdict and probability >= MOST_DRAWS
    ]
    if not also or judged.verdict is Verdict.LITTLE_EFFECT:
        return ""
    adds = "add" if len(also) > 1 else "adds"
    main = MAIN_CAUSE[judged.verdict]
    told = f" {main} is the main cause; {' and '.join(also)} {adds} to it."
    if judged.verdict is Verdict.GROWTH and words[Verdict.HARVEST] in also:
        told += (
            " Anglers take the fast growers first, so growth may be faster than these fish show."
        )
    return told


def release_told(known: Known, undone: float) -> Sentence:
    """Return from which release death on a limit that could help costs harvest."""
    given = all_release(known)
    if undone <= 0:
        words = "the weight harvested would fall even if every released fish lived."
        return Sentence("falls_anyway", words).of(known.name)
    if undone >= 1:
        words = "the weight harvested would rise even if every released fish died."
        return Sentence("rises_anyway", words).of(known.name)
    return Sentence(
        "release_undoes",
        f"the limit gains weight only if fewer than {100 * undone:.0f}% of released fish die. As "
        f"entered under Rates, {given}.",
    ).of(known.name)


def to_settle(query: TopicQuery, known: Known, answer: ArmVerdict) -> Sentence:
    """Return which figure, or which further fish, would settle an open answer."""
    if known.group.arm is None and len(query.options.arms) > 1:
        return Sentence(
            "arms_pooled",
            "several arms are lumped here, and they differ. Set arms side by side before more fish "
            "are aged.",
        ).of(known.name)
    found = answer.settling or {}
    best = max(found, key=lambda name: found[name])
    kept, limit = query.with_unit(known.kept_from_mm), query.with_unit(answer.limit_mm)
    if found[best] < query.choice.limit.lines.agree:
        start = "no single figure would settle it. Begin with"
    else:
        start = "one figure would settle it:"
    words = f"{start} {_wanted(best, known, kept, limit)}"
    return Sentence(f"settle_{best}", words).of(known.name)


def _wanted(name: str, known: Known, kept: str, limit: str) -> str:
    return {
        GROWTH: f"growth. Age more fish of {known.name} from {kept} to {limit}, and small ones "
        f"from trap nets: {known.grown.sample.n} aged fish hold the curve now.",
        NATURAL: "natural mortality. Age fish of a part that is hardly fished, or enter a survey "
        "of it under Rates.",
        FISHING: "how many are taken. Put out tags, or have more of them reported, and enter the "
        "returns.",
    }[name]


def overall(
    query: TopicQuery,
    answers: list[tuple[Known, ArmVerdict]],
    limit: str,
    refused: list[str],
    *,
    under_heading: bool = False,
) -> Sentence:
    """Return what one limit for the whole lake would do, where its arms differ.

    Under the heading, which names the arms where it could help, the others alone are told.
    """
    groups: dict[Does, list[str]] = {}
    for known, answer in answers:
        groups.setdefault(_does(query, answer), []).append(known.name)
    if refused:
        groups.setdefault(Does.NOT_JUDGED, []).extend(refused)
    done = [does for does in Does if does in groups]
    said = [f"{DOES[does]} {and_text(groups[does])}" for does in done]
    code = ",".join(done)
    if under_heading and done[0] is Does.COULD and said[1:]:
        return Sentence(code, f"It {and_text(said[1:])}.")
    one = "A" if len(answers) + len(refused) == 1 else "One"
    return Sentence(code, f"{one} limit of {limit} {and_text(said)}.")


class Does(StrEnum):
    """What a limit would do in an arm, in the order in which it is told."""

    COULD = "could_help"
    COSTS = "costs_harvest"
    USELESS = "no_help"
    RAISES = "raises_weight"
    LOWERS = "lowers_weight"
    CHANGES_LITTLE = "changes_little"
    IN_FORCE = "in_force"
    NOT_JUDGED = "not_judged"


DOES = {
    Does.COULD: "could help in",
    Does.COSTS: "would let fish grow up but cost harvest in",
    Does.USELESS: "would not help in",
    Does.RAISES: "would raise weight harvested in",
    Does.LOWERS: "would lower weight harvested in",
    Does.CHANGES_LITTLE: "would change little in",
    Does.IN_FORCE: "is in force in",
    Does.NOT_JUDGED: "cannot be judged in",
}


def _does(query: TopicQuery, answer: ArmVerdict) -> Does:
    if answer.in_force:
        return Does.IN_FORCE
    if answer.lowers:
        return _lowering(query, answer)
    verdict = answer.verdict
    if could_help(query, answer):
        return Does.COULD
    return {
        Verdict.HARVEST: Does.COSTS,
        Verdict.GROWTH: Does.USELESS,
        Verdict.NATURAL_DEATH: Does.USELESS,
        Verdict.LITTLE_EFFECT: Does.CHANGES_LITTLE,
        Verdict.CANNOT_TELL: Does.NOT_JUDGED,
    }[verdict]


def _lowering(query: TopicQuery, answer: ArmVerdict) -> Does:
    """Return what a lower limit does to the weight harvested, where most draws agree."""
    lines = query.choice.limit.lines
    weight = answer.harvest.against_now.weight if answer.harvest else np.zeros(1)
    does = {
        Does.RAISES: weight > lines.little_change,
        Does.LOWERS: weight < -lines.little_change,
        Does.CHANGES_LITTLE: np.abs(weight) <= lines.little_change,
    }
    best = max(does, key=lambda name: float(np.mean(does[name])))
    return best if np.mean(does[best]) >= lines.agree else Does.NOT_JUDGED


# ---------- Numbers in words ----------


def years(drawn: Floats) -> str:
    """Write years with their interval, such as 0.8 years (0.7-1.0); an end may be "never"."""
    found = years_cell(drawn)
    low, middle, high = (
        one.text if isinstance(one, Missing) else f"{one:.1f}"
        for one in (found.low, found.value, found.high)
    )
    if isinstance(found.value, Missing):
        return f"more than {low} years" if not isinstance(found.low, Missing) else "a lifetime"
    to = " to " if isinstance(found.high, Missing) else "-"
    return f"{middle} years ({low}{to}{high})"


def _percents(drawn: Floats) -> tuple[float, float, float]:
    """Return the lower end, middle and upper end of a share or change, in percent."""
    low, middle, high = (float(one) for one in 100 * np.quantile(drawn, ENDS))
    return low, middle, high


def in_percent(drawn: Floats) -> str:
    """Write a share in percent with its interval, such as 55% (47-63)."""
    low, middle, high = _percents(drawn)
    return f"{middle:.0f}% ({low:.0f}-{high:.0f})"


def in_ten(drawn: Floats) -> str:
    """Write a share as so many in ten; near none or all, where that says little, in a hundred."""
    low, middle, high = _percents(drawn)
    if IN_TEN[0] <= middle <= IN_TEN[1]:
        return f"{middle / 10:.0f} in 10 ({low / 10:.0f} to {high / 10:.0f})"
    return f"{middle:.0f} in 100 ({low:.0f} to {high:.0f})"


def more_or_less(drawn: Floats, more: str, less: str) -> str:
    """Write a change without a sign, such as 31% fewer fish (25-38)."""
    low, middle, high = map(round, _percents(drawn))
    words = f"{abs(middle)}% {more if middle >= 0 else less}"
    if low >= 0 or high <= 0:
        near, far = sorted((abs(low), abs(high)))
        return f"{words} ({near}-{far})"
    return f"{words} ({-low}% less to {high}% more)"
