"""Figures of the answer: growth crossing the limit, who is left on the way, and the harvest."""

import numpy as np

from samples.findings.page_model import Mark, Panel, Plot, Series
from samples.findings.topics.ages import ages_text
from samples.findings.topics.length_limit.inputs import taken_of
from samples.findings.topics.length_limit.stock import Known, some
from samples.findings.topics.length_limit.table_cells import LOWER, UPPER
from samples.findings.topics.length_limit.tables import (
    LOW_MIDDLE_HIGH,
    Answers,
    limits_of,
)
from samples.findings.topics.query import TopicQuery
from samples.science.growth.summaries import lengths_at
from samples.science.length_limit.fish_lives import Floats, fishing_rate
from samples.science.length_limit.per_recruit import per_recruit

POINTS = 60
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
            Series("band", *line, lower=lower, upper=upper, name="95% interval of the mean"),
            Series("line", *line, name="mean length"),
        ]
        marks = [
            Mark(query.in_unit(known.kept_from_mm), "kept from here now", low=True),
            Mark(query.in_unit(limit), "limit"),
        ]
        panels.append(Panel(known.name, series, marks, note=f"{one.sample.n} aged"))
    return Plot(
        name="Growth and the limit",
        panels=panels,
        x_label="Age, years" if query.sample.whole_years else "Growing seasons",
        y_label=f"Total length, {query.unit_name}",
        alt="Growth curves with the length that anglers keep now and the limit.",
        caption=f"Line: mean length; gray: its 95% CI. {ages_text(query.sample)} Dashed: the "
        f"length from which anglers keep fish now, and the limit of {query.with_unit(limit)}.",
        whole_x=True,
    )


def _way(known: Known, limit_mm: float) -> Floats:
    """Return the years from the length kept now to a limit;
    infinite for fish that never reach it.
    """
    ends, starts = known.lives.age_at(limit_mm), known.lives.age_at(known.kept_from_mm)
    way = np.full_like(ends, np.inf)
    there = np.isfinite(ends) & np.isfinite(starts)
    way[there] = ends[there] - starts[there]
    return way


def survivors(query: TopicQuery, answers: Answers) -> Plot:
    """Draw how many are left on the way from the kept length, and where the limit lies."""
    limit = query.choice.limit.limits_mm[0]
    panels = []
    for known, _ in answers:
        way = float(np.median(_way(known, limit)))
        times = np.linspace(0, 8, POINTS)
        natural = 100 * np.exp(-known.deaths.m * times[:, None])
        both = np.exp(-np.median(known.deaths.f + known.deaths.m) * times)
        low, middle, high = np.quantile(natural, (LOWER, 0.5, UPPER), axis=1)
        at = [float(t) for t in times]
        series = [
            Series(
                "band", at, list(map(float, middle)), list(map(float, low)), list(map(float, high)),
                name="95% interval",
            ),
            Series("line", at, list(map(float, middle)), name="if none were taken"),
            Series("dash", at, [100 * float(x) for x in both], name="as things are"),
        ]  # fmt: skip
        marks = [Mark(way, "limit", upright=True)] if 0 < way < times[-1] else []
        words = "" if marks else ("let go already" if way <= 0 else "never at the limit")
        panels.append(Panel(known.name, series, marks, note=words))
    return Plot(
        name="Who is left on the way to the limit",
        panels=panels,
        x_label="Years after reaching the length kept now",
        y_label="Left of 100 fish",
        alt="Fish left of 100, under natural death alone and as things are, against years.",
        caption="Of 100 fish that reach the length that anglers keep now. Solid, with its 95% "
        "interval: natural death alone. Dashed: fishing too, as things are. Upright: when the "
        f"average fish reaches {query.with_unit(limit)}.",
        whole_x=True,
    )


def harvest(query: TopicQuery, answers: Answers) -> Plot:
    """Draw weight harvested against the limit at three rates of exploitation."""
    panels = [Panel(known.name, _lines(query, known), [Mark(0, "as now")]) for known, _ in answers]
    return Plot(
        name="Harvest against the limit",
        panels=panels,
        x_label=f"Limit, {query.unit_name}",
        y_label="Weight harvested against now, %",
        alt="Change in weight harvested against the length limit, at three rates of exploitation.",
        caption="Change in weight harvested against the present rule. Solid, with its 95% "
        "interval: exploitation at its middle; dotted low, dashed high (tenth and nine tenths of "
        "the draws). Released fish die at the middle rate.",
    )


def _lines(query: TopicQuery, known: Known) -> list[Series]:
    limits = limits_of(query, known)
    at = [query.in_unit(float(limit)) for limit in limits]
    taken = np.quantile(taken_of(known.deaths), LOW_MIDDLE_HIGH)
    low, middle, high = (_against(known, limits, float(share)) for share in taken)
    ends = np.quantile(middle, (LOWER, UPPER), axis=1)
    band = Series(
        "band", at, _middle(middle), [float(x) for x in ends[0]], [float(x) for x in ends[1]],
        name="95% interval at middle exploitation",
    )  # fmt: skip
    names = [f"{100 * share:.0f}% taken in a year" for share in taken]
    return [
        band,
        Series("dotted", at, _middle(low), name=names[0]),
        Series("line", at, _middle(middle), name=names[1]),
        Series("dash", at, _middle(high), name=names[2]),
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
