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
from samples.findings.topics.length_limit.inputs import taken_of
from samples.findings.topics.length_limit.sentences import verdict_of
from samples.findings.topics.length_limit.stock import ArmVerdict, Known, some
from samples.findings.topics.length_limit.table_cells import ENDS, LOWER, UPPER
from samples.findings.topics.length_limit.tables import (
    LOW_MIDDLE_HIGH,
    Answers,
    limits_of,
)
from samples.findings.topics.query import TopicQuery
from samples.rules.number_text import number_text
from samples.science.growth.summaries import lengths_at, years_to
from samples.science.length_limit.fish_lives import Floats, fishing_rate
from samples.science.length_limit.per_recruit import per_recruit
from samples.science.length_limit.verdict import Verdict

POINTS = 60
YEARS_ON = 6
CURVE_DRAWS = 100


def growth(query: TopicQuery, answers: Answers) -> Plot:
    """Draw the growth curves with the length kept now and the limit."""
    limit = query.choice.limit.limits_mm[0]
    panels = []
    for known, _ in answers:
        one = known.grown
        times = np.linspace(one.youngest_time, one.oldest_time, POINTS)
        rows = lengths_at(one.curve, one.draws, times)
        line = [float(t) for t in times], [query.in_unit(row.mean) for row in rows]
        lower = [query.in_unit(max(row.lower, 0.0)) for row in rows]
        upper = [query.in_unit(max(row.upper, 0.0)) for row in rows]
        series = [
            Series("band", *line, lower=lower, upper=upper, name="95% CI of the mean"),
            Series("line", *line, name="mean length"),
        ]
        kept = query.length(known.kept_from_mm)
        marks = [
            Mark(float(kept), "anglers keep fish from here", low=True, tick=kept),
            Mark(query.in_unit(limit), "limit", tick=query.length(limit)),
        ]
        head, ends = _years_head(query, known, limit)
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


def _years_head(query: TopicQuery, known: Known, limit_mm: float) -> tuple[str, str]:
    """Return after how long the average fish reaches a limit, and how sure that is."""
    one = known.grown
    found = years_to(one.curve, one.draws, limit_mm)
    if found.years is None:
        return "never", f"(Linf {query.with_unit(one.curve.linf_mm)})"
    unit = "yr" if query.sample.whole_years else "seasons"
    if not one.youngest_time <= found.years <= one.oldest_time:
        return "not estimated", ""
    ends = ends_of(one, found.interval)
    return f"{found.years:.1f} {unit}", in_brackets(ends.low, ends.high)


def _way(known: Known, limit_mm: float) -> Floats:
    """Return the years from the length kept now to a limit;
    infinite for fish that never reach it.
    """
    ends, starts = known.lives.age_at(limit_mm), known.lives.age_at(known.kept_from_mm)
    way = np.full_like(ends, np.inf)
    there = np.isfinite(ends) & np.isfinite(starts)
    way[there] = ends[there] - starts[there]
    return way


def fates(query: TopicQuery, answers: Answers) -> Plot:
    """Draw what becomes of 100 fish from the kept length on, and where the limit lies."""
    limit = query.choice.limit.limits_mm[0]
    panels = [_fates_of(query, known, found[0], limit) for known, found in answers]
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


def _fates_of(query: TopicQuery, known: Known, found: ArmVerdict, limit: float) -> Panel:
    times = np.linspace(0, YEARS_ON, POINTS)
    natural, fishing = (float(np.median(rate)) for rate in (known.deaths.m, known.deaths.f))
    alive = 100 * np.exp(-(natural + fishing) * times)
    died = alive + (100 - alive) * natural / (natural + fishing)
    at = [float(t) for t in times]
    zero, whole = [0.0] * POINTS, [100.0] * POINTS
    edges = [zero, [float(x) for x in alive], [float(x) for x in died], whole]
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
    way = float(np.median(_way(known, limit)))
    marks = [Mark(way, "average fish at the limit", upright=True)] if 0 < way < YEARS_ON else []
    head, foot = _arrive(query, found, way)
    return Panel(known.name, series, marks, answer=head, foot=foot)


def _arrive(query: TopicQuery, found: ArmVerdict, way: float) -> tuple[str, str]:
    """Return how many of 100 fish reach a limit as things are, and why the others do not."""
    if found.axes is None:
        return ("all past it" if way <= 0 else ""), ""
    axes = found.axes
    arrive, survive, taken = (
        100 * float(np.median(one)) for one in (axes.arrived, axes.survival, axes.taken)
    )
    foot = f"{survive:.0f}% survive natural causes; {taken:.0f}% of those are harvested first."
    return f"{arrive:.0f} of 100 reach it", foot


def harvest(query: TopicQuery, answers: Answers) -> Plot:
    """Draw weight harvested against the limit at three rates of exploitation."""
    limit = query.choice.limit.limits_mm[0]
    mark = Mark(query.in_unit(limit), "limit", upright=True, tick=query.length(limit))
    panels = []
    for known, found in answers:
        head, ends = _change_head(found[0])
        lines = _lines(query, known)
        foot = ""
        if verdict_of(found[0]) is Verdict.HARVEST and found[0].harvest:
            most = 100 * found[0].harvest.undone_by
            foot = f"Gains if fewer than {most:.0f}% of released fish die."
        panels.append(Panel(known.name, lines, [mark], answer=head, interval=ends, foot=foot))
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


def by_limit(query: TopicQuery, answers: Answers, drawn: Plot) -> Table:
    """Return the change in weight harvested at every other limit that the figure of it has."""
    rows: list[list[Cell]] = []
    for (known, _), panel in zip(answers, drawn.panels, strict=True):
        [band] = [one for one in panel.series if one.style == "band"]
        ends = zip(limits_of(query, known), band.y, band.lower, band.upper, strict=True)
        rows += [
            [
                Text(known.name),
                Length(float(limit), query.unit),
                Estimate(middle, low, high, signed=True),
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


def _lines(query: TopicQuery, known: Known) -> list[Series]:
    limits = limits_of(query, known)
    at = [query.in_unit(float(limit)) for limit in limits]
    taken = np.quantile(taken_of(known.deaths), LOW_MIDDLE_HIGH)
    low, middle, high = (_against(known, limits, float(share)) for share in taken)
    ends = np.quantile(middle, (LOWER, UPPER), axis=1)
    band = Series(
        "band", at, _middle(middle), [float(x) for x in ends[0]], [float(x) for x in ends[1]],
        name="95% CI at middle u",
    )  # fmt: skip
    labels = [f"u {share:.2f}" for share in taken]
    return [
        band,
        Series("dotted", at, _middle(low), name="low u", label=labels[0]),
        Series("line", at, _middle(middle), name="middle u", label=labels[1]),
        Series("dash", at, _middle(high), name="high u", label=labels[2]),
    ]


def _middle(drawn: Floats) -> list[float]:
    return [float(x) for x in np.median(drawn, axis=1)]


def _against(known: Known, limits: Floats, share: float) -> Floats:
    """Return the change in weight, %, for each limit and draw: shape (limits, draws)."""
    one = some(known.lives, CURVE_DRAWS)
    fishing = fishing_rate(np.full(CURVE_DRAWS, share), one.m)
    now = per_recruit(one, fishing, known.now).weight_g
    rows = [per_recruit(one, fishing, known.rule(float(limit))).weight_g for limit in limits]
    changed: Floats = 100 * (np.array(rows) / np.maximum(now, 1e-12) - 1)
    return changed
