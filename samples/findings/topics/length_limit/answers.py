"""The answer side by side: a yes or no for each arm, why, and what the limit would change."""

from collections.abc import Mapping

import numpy as np

from samples.findings.page_model import Cell, GroupVerdict, Missing, Verdicts, in_words
from samples.findings.topics.headline import in_group
from samples.findings.topics.length_limit.rests_on import withheld_text
from samples.findings.topics.length_limit.sentences import (
    could_help,
    in_percent,
    let_go,
    sentence,
    to_settle,
    verdict_text,
    years,
)
from samples.findings.topics.length_limit.stock import ArmVerdict, Known
from samples.findings.topics.length_limit.table_cells import change_cell, probability_cell
from samples.findings.topics.query import TopicQuery
from samples.rules.and_text import and_text
from samples.science.length_limit.axes import Axes
from samples.science.length_limit.verdict import Verdict

CODES = {
    Verdict.GROWTH: "growth",
    Verdict.NATURAL_DEATH: "natural",
    Verdict.HARVEST: "harvest",
    Verdict.LITTLE_EFFECT: "little-effect",
    Verdict.CANNOT_TELL: "cannot-tell",
}
# Probabilities below this are no plain yes or no.
NEARLY_SURE = 0.95

Judged = list[tuple[Known, list[ArmVerdict]]]


def headline(query: TopicQuery, found: Judged, refused: list[str]) -> str:
    """Return in a line where a limit could help."""
    limit = query.with_unit(query.choice.limit.limits_mm[0])
    helped = [known.name for known, of_limits in found if could_help(query, of_limits[0])]
    open_ones = [
        *refused,
        *(known.name for known, of_limits in found if _is_open(of_limits[0])),
    ]
    if helped:
        where = and_text([in_group(query, name) for name in helped])
        several = len(found) + len(refused) > 1
        only = " only" if several and not open_ones and len(helped) < len(found) else ""
        return f"A {limit} limit could help {where}{only}"
    if open_ones:
        return f"A {limit} limit is not shown to help anywhere yet"
    return f"A {limit} limit would not help"


def verdicts(query: TopicQuery, found: Judged, refused: Mapping[str, str]) -> Verdicts:
    """Set the arms side by side under the limit in question, the other limits beside it."""
    main, *others = query.choice.limit.limits_mm
    rows = [_row(query, known, of_limits) for known, of_limits in found]
    nothing = [in_words("too few") for _ in others]
    for name, reason in refused.items():
        few, why = in_words("too few"), f"{reason[:1].upper()}{reason[1:]}"
        rows.append(GroupVerdict(name, "cannot-tell", "Cannot tell", "Not yet.", why, few, nothing))
    limit = query.with_unit(main)
    return Verdicts(
        query.what,
        f"Could {limit} help?",
        f"Change in weight harvested at {limit}",
        [query.with_unit(one) for one in others],
        rows,
    )


def _row(query: TopicQuery, known: Known, of_limits: list[ArmVerdict]) -> GroupVerdict:
    first, *others = of_limits
    verdict = first.verdict
    cause = verdict_text(first)
    code = "little-effect" if first.in_force or first.lowers else CODES[verdict]
    settle = ""
    if verdict is Verdict.CANNOT_TELL and not (first.in_force or first.lowers or first.withheld):
        settle = to_settle(query, known, first).removeprefix(f"{known.name}: ")
    change = Missing("no change", "no change")
    return GroupVerdict(
        known.name,
        code,
        f"{cause[:1].upper()}{cause[1:]}",
        _yes_or_no(query, first),
        _why(query, known, first),
        change_cell(first.harvest.against_now.weight) if first.harvest else change,
        [_change(one) for one in others],
        f"{settle[:1].upper()}{settle[1:]}",
        sentence(query, known, first),
    )


def _change(answer: ArmVerdict) -> Cell:
    if answer.harvest is None:
        return in_words("no change")
    return change_cell(answer.harvest.against_now.weight)


def _is_open(answer: ArmVerdict) -> bool:
    if answer.in_force or answer.lowers:
        return False
    return answer.verdict is Verdict.CANNOT_TELL


def _yes_or_no(query: TopicQuery, answer: ArmVerdict) -> str:
    if answer.in_force:
        return "In force."
    if answer.lowers:
        return "A lower limit."
    verdict = answer.verdict
    if verdict is Verdict.CANNOT_TELL:
        return "Not yet."
    if could_help(query, answer):
        sure = answer.judged is not None and answer.judged.probability >= NEARLY_SURE
        return "Yes." if sure else "Yes, probably."
    return "No need." if verdict is Verdict.LITTLE_EFFECT else "No."


def _why(query: TopicQuery, known: Known, answer: ArmVerdict) -> str:
    """Return the sentence behind a yes or no, with the numbers that make it so."""
    limit, kept = query.with_unit(answer.limit_mm), query.with_unit(known.kept_from_mm)
    if answer.in_force:
        return ""
    if answer.lowers:
        return f"The limit in force is {query.with_unit(known.rule_mm)}."
    if answer.axes is None or answer.judged is None:
        return let_go(known, answer, limit)
    if answer.withheld:
        return withheld_text(query, answer.withheld, answer.limit_mm)
    told = _TOLD[answer.judged.verdict](answer.axes, kept, limit)
    if answer.judged.verdict is Verdict.CANNOT_TELL:
        return told
    return f"{told} Probability {probability_cell(answer.judged).text}%."


def _growth(axes: Axes, kept: str, limit: str) -> str:
    if np.median(axes.reach) < 0.5:
        return f"Only {in_percent(axes.reach)} of fish ever reach {limit}, even with no fishing."
    return f"Growing from {kept} to {limit} takes {years(axes.years)}."


def _natural(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"Growing from {kept} to {limit} takes {years(axes.years)}. Natural causes kill "
        f"{in_percent(1 - axes.survival)} first."
    )


def _harvest(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"Growing from {kept} to {limit} takes {years(axes.years)}. Anglers harvest "
        f"{in_percent(axes.taken)} before that."
    )


def _little(axes: Axes, kept: str, limit: str) -> str:
    return f"Anglers harvest only {in_percent(axes.taken)} between {kept} and {limit}."


def _open(axes: Axes, kept: str, limit: str) -> str:
    return (
        f"From {kept} to {limit}, {in_percent(1 - axes.survival)} die of natural causes and "
        f"anglers harvest {in_percent(axes.taken)} of the others."
    )


_TOLD = {
    Verdict.GROWTH: _growth,
    Verdict.NATURAL_DEATH: _natural,
    Verdict.HARVEST: _harvest,
    Verdict.LITTLE_EFFECT: _little,
    Verdict.CANNOT_TELL: _open,
}
