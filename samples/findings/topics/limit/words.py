"""The answer in words: what keeps fish from the limit, in the two or three numbers that say so."""

import numpy as np

from samples.findings.topics.asked import Asked
from samples.findings.topics.limit.stock import Answer, Known
from samples.science.length_limit.axes import Axes
from samples.science.length_limit.cases import FISHING, GROWTH, NATURAL, what_would_settle
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
LOWER, UPPER = 0.025, 0.975
IN_TEN = (15, 90)


def verdict_of(answer: Answer) -> Verdict:
    """Give the verdict; where fish so short are let go already, a limit has little effect."""
    if answer.ruled or answer.withheld:
        return Verdict.CANNOT_TELL
    return answer.judged.verdict if answer.judged else Verdict.LITTLE_EFFECT


def sure_of(answer: Answer) -> str:
    """Write the probability of the answer in percent; draws can't show that it is certain."""
    if not answer.judged:
        return "–"
    percent = 100 * answer.judged.probability
    return f"{percent:.0f}" if percent <= 99 else "> 99"


def sentence(asked: Asked, known: Known, answer: Answer) -> str:
    """Answer for one arm: the verdict, the numbers that make it so, and how sure it is."""
    limit, kept = asked.with_unit(answer.limit_mm), asked.with_unit(known.kept_from_mm)
    if answer.ruled:
        rule = asked.with_unit(known.rule_mm)
        return f"{known.name}: the rule in force is {rule} already; a lower one is not judged here."
    if answer.axes is None or answer.judged is None:
        return f"{known.name}: little effect. {let_go(known, answer, limit)}"
    if answer.withheld:
        return f"{known.name}: cannot tell. {answer.withheld}"
    verdict = answer.judged.verdict
    told = _TOLD[verdict](answer.axes, kept, limit)
    sure = f" (probability {sure_of(answer)}%)" if verdict is not Verdict.CANNOT_TELL else ""
    beside = _beside(answer.judged) + _price(asked, known, answer)
    return f"{known.name}: {NAMES[verdict]}{sure}. {told}{beside}"


def let_go(known: Known, answer: Answer, limit: str) -> str:
    """Say how few of the fish that anglers keep are shorter than a limit."""
    if not known.kept_mm.size:
        return f"Anglers hardly keep fish shorter than {limit} now."
    share = float(np.mean(known.kept_mm < answer.limit_mm))
    words = "Hardly any" if share < 0.01 else f"Only about {100 * share:.0f} of 100"
    return f"{words} fish that anglers keep are shorter than {limit}: they let them go already."


def gains(answer: Answer) -> bool:
    """Say whether the weight harvested would rise, by the middle of the draws."""
    return bool(answer.harvest and np.median(answer.harvest.against_now.weight) > 0)


def _price(asked: Asked, known: Known, answer: Answer) -> str:
    """Say what a limit that lets more fish grow up would do to the weight harvested."""
    if verdict_of(answer) is not Verdict.HARVEST or answer.harvest is None:
        return ""
    low, middle, high = (
        100 * np.quantile(answer.harvest.against_now.weight, (LOWER, 0.5, UPPER)) + 0.0
    )
    does = "gain" if middle > 0 else "cost"
    return f" The limit would {does} weight harvested: {middle:+.0f} % ({low:+.0f} to {high:+.0f})."


def _growth(axes: Axes, kept: str, limit: str) -> str:
    if np.median(axes.reach) < 0.5:
        return (
            f"Few fish ever reach {limit}: {in_ten(axes.reach)}. Under that limit, most fish could "
            "never be kept."
        )
    return (
        f"The average fish needs {years(axes.years)} more years to grow from {kept} to {limit}. "
        f"On the way, {in_ten(1 - axes.survival)} die of natural causes."
    )


def _natural(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"From {kept} to {limit} takes {years(axes.years)} years, and {in_ten(1 - axes.survival)} "
        "die of natural causes on the way, whether anglers keep any or not."
    )


def _harvest(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"Fish take {years(axes.years)} years to grow from {kept} to {limit}, "
        f"{in_ten(axes.survival)} would live that long, and {in_ten(axes.taken)} of those are "
        "harvested first."
    )


def _little(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"Of the fish that would reach {limit} alive, {in_ten(axes.taken)} are harvested first now "
        f"(from {kept} on), so a limit would save few."
    )


def _open(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"From {kept} to {limit} takes {years(axes.years)} years, {in_ten(1 - axes.survival)} die "
        f"of natural causes on the way. Of the others, {in_ten(axes.taken)} are harvested first. "
        "The range is too wide to name the main cause."
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
    adds = "adds" if len(also) == 1 else "add"
    main = MAIN_CAUSE[judged.verdict]
    return f" {main} is the main cause; {' and '.join(also)} {adds} to it."


def release_told(known: Known, undone: float) -> str:
    """Say from which release death on a limit that could help costs harvest, beside those given."""
    given = known.release_given
    least = f"{known.name}: the limit gains weight only if fewer than {100 * undone:.0f}% of "
    if undone <= 0:
        return f"{known.name}: the weight harvested would fall even if every released fish lived."
    if undone >= 1:
        return f"{known.name}: the weight harvested would rise even if every released fish died."
    return f"{least}released fish die; as given, {given}."


def to_settle(asked: Asked, known: Known, answer: Answer) -> str:
    """Say which figure, or which further fish, would settle an open answer."""
    if known.stock.arm is None and len(asked.options.arms) > 1:
        return (
            f"{known.name}: several arms are lumped here, and they differ. Set arms side by side "
            "before more fish are aged."
        )
    found = what_would_settle(
        known.lives,
        known.deaths.fishing,
        kept_from_mm=known.kept_from_mm,
        limit_mm=answer.limit_mm,
        lines=asked.choice.limit.lines,
    )
    best = max(found, key=lambda name: found[name].probability)
    judged = found[best]
    kept, limit = asked.with_unit(known.kept_from_mm), asked.with_unit(answer.limit_mm)
    if judged.verdict is Verdict.CANNOT_TELL:
        start = f"{known.name}: no single figure would settle it. Begin with"
    else:
        start = (
            f"{known.name}: the answer would be {NAMES[judged.verdict]} if this were known better:"
        )
    return f"{start} {_wanted(best, known, kept, limit)}"


def _wanted(name: str, known: Known, kept: str, limit: str) -> str:
    return {
        GROWTH: f"growth. Age more fish of {known.name} from {kept} to {limit}, and small ones "
        f"from trap nets: {known.grown.sample.n} aged fish hold the curve now.",
        NATURAL: "natural mortality. Age fish of a part that is hardly fished, or enter a survey "
        "of it under Figures from elsewhere.",
        FISHING: "how many are taken. Put out tags, or have more of them reported, and enter the "
        "returns.",
    }[name]


def overall(answers: list[tuple[Known, Answer]], limit: str, refused: list[str]) -> str:
    """Say what one limit for the whole lake would do, where its arms differ."""
    groups: dict[str, list[str]] = {}
    for known, answer in answers:
        groups.setdefault(_does(answer), []).append(known.name)
    if refused:
        groups.setdefault(NOT_JUDGED, []).extend(refused)
    said = [f"{does} {_and(groups[does])}" for does in DOES if does in groups]
    one = "A" if len(answers) + len(refused) == 1 else "One"
    return f"{one} limit of {limit} {_and(said)}."


COULD, COSTS, USELESS = (
    "could help in",
    "would let fish grow up but cost harvest in",
    "would not help in",
)
CHANGES_LITTLE, NOT_JUDGED = "would change little in", "cannot be judged in"
DOES = (COULD, COSTS, USELESS, CHANGES_LITTLE, NOT_JUDGED)


def _does(answer: Answer) -> str:
    verdict = verdict_of(answer)
    if verdict is Verdict.HARVEST:
        return COULD if gains(answer) else COSTS
    return {
        Verdict.GROWTH: USELESS,
        Verdict.NATURAL_DEATH: USELESS,
        Verdict.LITTLE_EFFECT: CHANGES_LITTLE,
        Verdict.CANNOT_TELL: NOT_JUDGED,
    }[verdict]


def _and(names: list[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


# ---------- Numbers in words ----------


def years(drawn: Floats) -> str:
    """Write years with their interval; "never" where that belongs to it."""
    # No value between two draws: between a year and never there is none.
    low, middle, high = (
        f"{one:.1f}" if np.isfinite(one) else "never"
        for one in np.quantile(drawn, (LOWER, 0.5, UPPER), method="inverted_cdf")
    )
    return f"{middle} ({low} to {high})" if low != "never" else "never"


def in_ten(drawn: Floats) -> str:
    """Write a share as so many in ten; near none or all, where that says little, in a hundred."""
    low, middle, high = (100 * float(np.quantile(drawn, at)) for at in (LOWER, 0.5, UPPER))
    if IN_TEN[0] <= middle <= IN_TEN[1]:
        return f"{middle / 10:.0f} in 10 ({low / 10:.0f} to {high / 10:.0f})"
    return f"{middle:.0f} in 100 ({low:.0f} to {high:.0f})"
