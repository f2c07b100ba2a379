"""Figures of the answer: growth crossing the limit, who is left on the way, and the harvest."""

import numpy as np

from samples.findings.page_model import (
    Cell,
    Column,
    Estimate,
    Length,
    Mark,
    Panel,
    Plot,
    Series,
    Table,
    Text,
)
from samples.findings.topics.ages import ages_text
from samples.findings.topics.growth.tables import ends_of
from samples.findings.topics.headline import in_brackets
from samples.findings.topics.length_limit.analyse import ArmLimits, HarvestByLimit
from samples.findings.topics.length_limit.judged import YEARS_ON, JudgedArm
from samples.findings.topics.length_limit.stock import ArmVerdict
from samples.findings.topics.length_limit.table_cells import ENDS
from samples.findings.topics.query import TopicQuery
from samples.rules.number_text import number_text
from samples.science.length_limit.fish_lives import Floats
from samples.science.length_limit.verdict import Verdict


def growth(query: TopicQuery, arms: list[JudgedArm]) -> Plot:
    """Draw the growth curves with the length kept now and the limit."""
    limit = query.choice.limit.limits_mm[0]
    panels = []
    for arm in arms:
        known, one, drawn = arm.known, arm.known.grown, arm.line
        lower, mean, upper = (
            [query.in_unit(float(mm)) for mm in values]
            for values in (drawn.lower, drawn.mean, drawn.upper)
        )
        line = _floats(drawn.times), mean
        series = [
            Series("band", *line, lower=lower, upper=upper, name="95% CI of the mean"),
            Series("line", *line, name="mean length"),
        ]
        kept = query.length(known.kept_from_mm)
        marks = [
            Mark(float(kept), "anglers keep fish from here", low=True, tick=kept),
            Mark(query.in_unit(limit), "limit", tick=query.length(limit)),
        ]
        head, ends = _years_head(query, arm)
        panels.append(
            Panel(
                known.name,
                series,
                marks,
                note=f"n = {one.sample.n}",
                answer=head,
                interval=ends,
                foot=f"Anglers keep fish from {query.with_unit(known.kept_from_mm)}.",
            )
        )
    return Plot(
        name=f"{query.clock_name} to reach {query.with_unit(limit)}",
        panels=panels,
        x_label="Age, years" if query.sample.whole_years else "Growing seasons",
        y_label=f"Total length, {query.unit_name}",
        alt="Growth curves with the length that anglers keep now and the limit.",
        caption=f"Mean length. {ages_text(query.sample)}",
        whole_x=True,
    )


def _years_head(query: TopicQuery, arm: JudgedArm) -> tuple[str, str]:
    """Return after how long the average fish reaches a limit, and how sure that is."""
    one, found = arm.known.grown, arm.reaching
    if found.years is None:
        return "never", f"(Linf {query.with_unit(one.curve.linf_mm)})"
    unit = "yr" if query.sample.whole_years else "seasons"
    if not one.youngest_time <= found.years <= one.oldest_time:
        return "not estimated", ""
    ends = ends_of(one, found.interval)
    return f"{found.years:.1f} {unit}", in_brackets(ends.low, ends.high)


def fates(query: TopicQuery, arms: list[JudgedArm]) -> Plot:
    """Draw what becomes of 100 fish from the kept length on, and where the limit lies."""
    limit = query.choice.limit.limits_mm[0]
    panels = [_fates_of(arm) for arm in arms]
    return Plot(
        name=f"Survival to {query.with_unit(limit)}",
        panels=panels,
        x_label="Years after reaching the length kept now",
        y_label="Of 100 fish",
        alt="Of 100 fish at the length that anglers keep now: alive, dead of natural causes and "
        "harvested, year by year.",
        caption="100 fish at the length that anglers keep now, as things are. Vertical line: when "
        f"the average fish reaches {query.with_unit(limit)}.",
        whole_x=True,
    )


def _fates_of(arm: JudgedArm) -> Panel:
    found = arm.fates
    at = _floats(found.years)
    edges = [[0.0] * len(at), _floats(found.alive), _floats(found.died), [100.0] * len(at)]
    series = [
        Series(style, at, upper, lower, upper, name=name, label=name)
        for style, name, lower, upper in zip(
            ("clear", "shade", "ink"),
            ("alive", "natural deaths", "harvested"),
            edges,
            edges[1:],
            strict=False,
        )
    ]
    way = found.way
    marks = [Mark(way, "average fish at the limit", upright=True)] if 0 < way < YEARS_ON else []
    head, foot = _arrive(arm.first, way)
    return Panel(arm.name, series, marks, answer=head, foot=foot)


def _arrive(found: ArmVerdict, way: float) -> tuple[str, str]:
    """Return how many of 100 fish reach a limit as things are, and why the others do not."""
    if found.axes is None:
        return ("all past it" if way <= 0 else ""), ""
    axes = found.axes
    arrive, survive, taken = (
        100 * float(np.median(one)) for one in (axes.arrived, axes.survival, axes.taken)
    )
    foot = f"{survive:.0f}% survive natural causes; {taken:.0f}% of those are harvested first."
    return f"{arrive:.0f} of 100 reach it", foot


def harvest(query: TopicQuery, arms: list[ArmLimits]) -> Plot:
    """Draw weight harvested against the limit at three rates of exploitation."""
    limit = query.choice.limit.limits_mm[0]
    mark = Mark(query.in_unit(limit), "limit", upright=True, tick=query.length(limit))
    panels = []
    for arm in arms:
        first, lines = arm.judged.first, _lines(query, arm.by_limit)
        head, ends = _change_head(first)
        foot = ""
        if first.verdict is Verdict.HARVEST and first.harvest:
            most = 100 * first.harvest.undone_by
            foot = f"Gains if fewer than {most:.0f}% of released fish die."
        panels.append(Panel(arm.name, lines, [mark], answer=head, interval=ends, foot=foot))
    return Plot(
        name="Change in weight harvested by length limit",
        panels=panels,
        x_label=f"Limit, {query.unit_name}",
        y_label="Change in weight harvested, %",
        alt="Change in weight harvested against the length limit, at three rates of exploitation.",
        caption="Weight harvested per recruit against the present rule. Low and high: 10th and "
        "90th percentile of exploitation (u). Hooking mortality at its best estimate.",
        whole_x=True,
        moves=query.unit.value,
    )


def by_limit(query: TopicQuery, arms: list[ArmLimits]) -> Table:
    """Return the change in weight harvested at every other limit that the figure of it has."""
    rows: list[list[Cell]] = []
    for arm in arms:
        found = arm.by_limit
        ends = zip(found.limits_mm, found.middle, found.lower, found.upper, strict=True)
        rows += [
            [
                Text(arm.name),
                Length(float(limit), query.unit),
                Estimate(float(middle), float(low), float(high), signed=True),
            ]
            for place, (limit, middle, low, high) in enumerate(ends)
            if place % 2 == 0
        ]
    return Table(
        name="change-by-limit",
        caption="Change in weight harvested by length limit",
        columns=[
            Column(query.what),
            Column(f"Limit, {query.unit.value}", "Limit", query.unit.value),
            Column("Change, %", "Change in weight harvested", "%"),
        ],
        rows=rows,
        note="At middle exploitation, per recruit, against the present rule. Brackets: 95% CI.",
    )


def _change_head(found: ArmVerdict) -> tuple[str, str]:
    if found.harvest is None:
        return "no change", ""
    low, middle, high = 100 * np.quantile(found.harvest.against_now.weight, ENDS) + 0.0
    middle_text, low_text, high_text = (number_text(x, signed=True) for x in (middle, low, high))
    return f"{middle_text}%", f"({low_text} to {high_text})"


def _lines(query: TopicQuery, found: HarvestByLimit) -> list[Series]:
    at = [query.in_unit(float(limit)) for limit in found.limits_mm]
    middle = _floats(found.middle)
    labels = [f"u {share:.2f}" for share in found.u]
    ends = _floats(found.lower), _floats(found.upper)
    return [
        Series("band", at, middle, *ends, name="95% CI at middle u"),
        Series("dotted", at, _floats(found.low), name="low u", label=labels[0]),
        Series("line", at, middle, name="middle u", label=labels[1]),
        Series("dash", at, _floats(found.high), name="high u", label=labels[2]),
    ]


def _floats(values: Floats) -> list[float]:
    return [float(one) for one in values]
