"""One page for the public: why there is no length limit here, or why there is."""

import numpy as np

from samples.findings.queries.elsewhere import newest_rule
from samples.findings.shown import Page
from samples.findings.topics.asked import Asked
from samples.findings.topics.limit import plots
from samples.findings.topics.limit.page import answered
from samples.findings.topics.limit.stock import Answer, Harvest, Known
from samples.findings.topics.limit.words import (
    gains,
    in_ten,
    let_go,
    overall,
    verdict_of,
    years,
)
from samples.models import Regulation
from samples.science.length_limit.verdict import Verdict


def public(asked: Asked) -> Page:
    """Answer in plain words with two figures; nothing of it is smaller than an arm."""
    found, refused = answered(asked)
    firsts = [(known, of_limits[0]) for known, of_limits in found]
    main = asked.with_unit(asked.choice.limit.limits_mm[0])
    rule = newest_rule(asked.options.lake, asked.choice, asked.choice.species)
    title, today = _asked_today(asked, firsts, rule)
    if not found:
        words = "There are not enough aged fish yet. Every donated fish helps."
        return Page(title, says=[today] if today else [], refused=words)
    aged = int(np.count_nonzero(asked.sample.aged))
    return Page(
        title=title,
        says=[
            (
                f"{today} Anglers and guides donated fish in {asked.choice.season_words}, and we "
                f"read the ages of {aged:,}. From them we asked what a limit of {main} would do."
            ).strip(),
            overall(firsts, main, list(refused)),
            *[_plain(asked, known, one) for known, one in firsts],
            *[f"{name}: we cannot tell yet." for name in refused],
        ],
        plots=[plots.growth(asked, found), plots.survivors(asked, found)],
        cautions=[
            (
                "Donated fish are not a random sample of the lake. Natural mortality comes from "
                "surveys or a rule of thumb; it was not measured here. The brackets are 95% "
                "intervals. Length limits helped in some waters and not in others. The agency "
                "sets the rule, on the advice of its biologists."
            ),
        ],
    )


def _asked_today(
    asked: Asked, firsts: list[tuple[Known, Answer]], rule: Regulation | None
) -> tuple[str, str]:
    """Give the question that people ask, and what holds today."""
    name, lake = asked.species.lower(), asked.options.lake
    if rule and rule.minimum_length_hundredths_mm:
        least = asked.with_unit(rule.minimum_length_hundredths_mm / 100)
        today = f"Today {name} shorter than {least} must be let go here."
        return f"Why is there a length limit on {name} in {lake}?", today
    # That nobody entered a rule does not mean that there is none.
    today = f"Today there is no length limit on {name} here." if rule else ""
    if any(verdict_of(one) is Verdict.HARVEST and gains(one) for _, one in firsts):
        return f"Would a length limit help the {name} of {lake}?", today
    return f"Why is there no length limit on {name} in {lake}?", today


def _plain(asked: Asked, known: Known, one: Answer) -> str:
    limit, kept = asked.with_unit(one.limit_mm), asked.with_unit(known.kept_from_mm)
    verdict = verdict_of(one)
    if one.ruled:
        return f"{known.name}: the rule today asks for {asked.with_unit(known.rule_mm)} already."
    if one.axes is None:
        told = let_go(known, one, limit)
        return f"{known.name}: {told[0].lower()}{told[1:]}"
    found = one.axes
    if verdict is Verdict.GROWTH:
        return (
            f"{known.name}: fish here are small because they grow slowly, not because they are "
            f"young. Only {in_ten(found.reach)} ever reach {limit}."
        )
    if verdict is Verdict.NATURAL_DEATH:
        return (
            f"{known.name}: {in_ten(1 - found.survival)} fish die of natural causes on the way "
            f"from {kept} to {limit}, kept or not. Fish put back would mostly not be caught again."
        )
    if verdict is Verdict.HARVEST and one.harvest:
        return (
            f"{known.name}: fish take {years(found.years)} years to grow from {kept} to {limit}, "
            f"and {in_ten(found.taken)} of those that would reach it are kept first. "
            f"{_price(one, one.harvest)}"
        )
    if verdict is Verdict.LITTLE_EFFECT:
        return (
            f"{known.name}: {in_ten(found.taken)} fish that would reach {limit} are kept "
            "first. A limit would save few."
        )
    return f"{known.name}: we cannot tell yet. More fish of this arm would help."


def _price(one: Answer, harvest: Harvest) -> str:
    """Say what a limit would give and take: larger fish, fewer of them, and those that die."""
    fewer = -100 * float(np.median(harvest.against_now.number))
    if not gains(one):
        return (
            f"A limit would let them grow, but anglers would take home {fewer:.0f}% fewer fish "
            "and less weight."
        )
    return (
        f"A limit could give larger fish, {fewer:.0f}% fewer of them, and it gives nothing where "
        f"more than {100 * harvest.undone_by:.0f}% of the fish put back die, as in hot weather "
        "or from deep water."
    )
