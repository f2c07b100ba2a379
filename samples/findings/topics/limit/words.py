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
    Verdict.NATURAL_DEATH: "natural death",
    Verdict.HARVEST: "harvest",
    Verdict.LITTLE_EFFECT: "little effect",
    Verdict.CANNOT_TELL: "cannot tell",
}
HELPS = {
    Verdict.GROWTH: "A limit would not help: fish grow too slowly.",
    Verdict.NATURAL_DEATH: "A limit would not help: too few live long enough.",
    Verdict.HARVEST: "A limit could help: fish would get there and are taken first.",
    Verdict.LITTLE_EFFECT: "A limit would change little.",
    Verdict.CANNOT_TELL: "It cannot be told yet.",
}
MOST_DRAWS = 0.8
LOWER, UPPER = 0.025, 0.975


def verdict_of(answer: Answer) -> Verdict:
    """Give the verdict; where no fish so short is kept, a limit has little effect."""
    return answer.judged.verdict if answer.judged else Verdict.LITTLE_EFFECT


def sure_of(answer: Answer) -> str:
    """Write how many of a hundred draws give the answer."""
    return f"{100 * answer.judged.probability:.0f}" if answer.judged else "100"


def sentence(asked: Asked, known: Known, answer: Answer) -> str:
    """Answer for one arm: the verdict, the numbers that make it so, and how sure it is."""
    limit, kept = asked.with_unit(answer.limit_mm), asked.with_unit(known.kept_from_mm)
    if answer.axes is None or answer.judged is None:
        return (
            f"{known.name}: little effect. Anglers keep no fish under {kept} now, so a limit of "
            f"{limit} changes nothing."
        )
    verdict = answer.judged.verdict
    told = _TOLD[verdict](answer.axes, kept, limit)
    sure = f" ({sure_of(answer)} of 100 draws)" if verdict is not Verdict.CANNOT_TELL else ""
    beside = _beside(answer.judged)
    return f"{known.name}: {NAMES[verdict]}{sure}. {told}{beside}"


def _growth(axes: Axes, kept: str, limit: str) -> str:
    if np.median(axes.reach) < 0.5:
        return (
            f"Only {in_ten(axes.reach)} fish ever grow to {limit}. A limit there would mostly make "
            "fish that can never be kept."
        )
    return (
        f"The middle fish needs {years(axes.years)} more years to grow from {kept} to {limit}, and "
        f"{in_ten(1 - axes.survival)} die of natural causes on the way."
    )


def _natural(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"From {kept} to {limit} takes {years(axes.years)} years, and {in_ten(1 - axes.survival)} "
        "die of natural causes on that way, whether anglers keep any or not."
    )


def _harvest(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"Fish take {years(axes.years)} years to grow from {kept} to {limit}, "
        f"{in_ten(axes.survival)} would live that long, and {in_ten(axes.taken)} of those are "
        "taken first."
    )


def _little(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"Of the fish that would come to {limit} alive, {in_ten(axes.taken)} are taken before it "
        f"now (from {kept} on): there is little for a limit to save."
    )


def _open(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"From {kept} to {limit} takes {years(axes.years)} years, {in_ten(1 - axes.survival)} die "
        f"of natural causes on the way, and of the others {in_ten(axes.taken)} are taken first: "
        "too wide a range to say what weighs most."
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
        Verdict.GROWTH: "the way is long",
        Verdict.NATURAL_DEATH: "few live to its end",
        Verdict.HARVEST: "many are taken on it",
    }
    also = [
        words[one]
        for one, probability in judged.holds.items()
        if one is not judged.verdict and probability >= MOST_DRAWS
    ]
    if not also or judged.verdict is Verdict.LITTLE_EFFECT:
        return ""
    return f" It weighs most, but {' and '.join(also)} too."


def release_told(known: Known, answer: Answer, undone: float) -> str:
    """Say from which release death on a limit that could help costs harvest, beside those given."""
    given = known.release_given
    least = f"{known.name}: the limit gains weight only if fewer than {100 * undone:.0f} % of "
    if undone <= 0:
        return f"{known.name}: the weight harvested would fall even if every released fish lived."
    if undone >= 1:
        return f"{known.name}: the weight harvested would rise even if every released fish died."
    return f"{least}released fish die; as given, {given}."


def to_settle(asked: Asked, known: Known, answer: Answer) -> str:
    """Say which figure, or which further fish, would settle an open answer."""
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
        NATURAL: "natural death. Age fish of a part that is hardly fished, or enter a survey of it "
        "under Figures from elsewhere.",
        FISHING: "how many are taken. Put out tags, or have more of them reported, and enter the "
        "returns.",
    }[name]


def overall(answers: list[tuple[Known, Answer]], limit: str) -> str:
    """Say what one limit for the whole lake would do, where its arms differ."""
    groups: dict[Verdict, list[str]] = {}
    for known, answer in answers:
        groups.setdefault(verdict_of(answer), []).append(known.name)
    if len(groups) == 1:
        [verdict] = groups
        where = "everywhere here" if len(answers) > 1 else "here"
        return f"A limit of {limit}: the same answer {where}. {HELPS[verdict]}"
    said = []
    if Verdict.HARVEST in groups:
        said.append(f"could help in {_and(groups[Verdict.HARVEST])}")
    useless = [
        name
        for verdict in (Verdict.GROWTH, Verdict.NATURAL_DEATH)
        for name in groups.get(verdict, [])
    ]
    if useless:
        said.append(f"would not help in {_and(useless)}")
    if Verdict.LITTLE_EFFECT in groups:
        said.append(f"would change little in {_and(groups[Verdict.LITTLE_EFFECT])}")
    if Verdict.CANNOT_TELL in groups:
        said.append(f"and cannot be judged in {_and(groups[Verdict.CANNOT_TELL])}")
    return f"One limit of {limit} for the whole lake {', '.join(said)}."


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
    """Write a share as so many in ten, with its interval."""
    low, middle, high = (10 * float(np.quantile(drawn, at)) for at in (LOWER, 0.5, UPPER))
    if round(middle) == 0:
        return f"fewer than 1 in 10 ({low * 10:.0f} to {high * 10:.0f} %)"
    return f"{middle:.0f} in 10 ({low:.0f} to {high:.0f})"
