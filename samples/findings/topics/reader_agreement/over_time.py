"""Figures, tables and words of how readers agree over time."""

from datetime import timedelta

from django.utils.formats import date_format

from samples.findings.page_model import (
    Cell,
    Column,
    Count,
    Interval,
    Missing,
    Number,
    Panel,
    Plot,
    PValue,
    Sentence,
    Series,
    Share,
    Table,
    Text,
    percent_interval,
)
from samples.findings.topics.reader_agreement.analyse import OverTime
from samples.science.agreement_trend import FEWEST_DAYS, AgreementTrend

CLEAR = 0.05
PERCENT = 100


def _who(one: OverTime) -> str:
    return " and ".join(one.names)


def trend_sentences(found: list[OverTime]) -> list[Sentence]:
    """Say of each two readers whether they agree on more or fewer fish as time goes on."""
    return [
        Sentence("agreement_trend", f"{_who(one)}: {_meaning(one.trend)}")
        for one in found
        if one.trend is not None
    ]


def _meaning(trend: AgreementTrend) -> str:
    points, ends = PERCENT * trend.change, (PERCENT * trend.lower, PERCENT * trend.upper)
    told = (
        f"{abs(points):.0f} percentage points in 30 days (95% CI {ends[0]:+.0f} to {ends[1]:+.0f})"
    )
    if trend.p >= CLEAR:
        return f"no clear trend over {trend.days} days of reading ({told})."
    way = "rises" if points > 0 else "falls"
    return f"agreement {way} by {told}, over {trend.days} days of reading."


def over_time_plots(found: list[OverTime]) -> list[Plot]:
    """Draw the share read alike by day, for readers who met on enough days."""
    told = [one for one in found if len(one.days) >= FEWEST_DAYS]
    if not told:
        return []
    since = date_format(told[0].since)
    return [
        Plot(
            name="Reader agreement over time",
            panels=[_panel(one) for one in told],
            x_label=f"Days since {since}",
            y_label="Fish read alike, %",
            alt="Share of fish read alike by day; the table has every figure.",
            caption="Share of fish that two readers gave the same age, by the day of the later "
            "reading, with Wilson's 95% CI.",
            whole_x=True,
        )
    ]


def _panel(one: OverTime) -> Panel:
    return Panel(
        f"{one.names[1]} and {one.names[0]}",
        [
            Series(
                "dots",
                [float(day.day) for day in one.days],
                [PERCENT * day.exact for day in one.days],
                lower=[PERCENT * day.lower for day in one.days],
                upper=[PERCENT * day.upper for day in one.days],
                name="read alike",
            )
        ],
        note=f"n = {sum(day.n for day in one.days)}",
        says=one.why or (_meaning(one.trend) if one.trend else ""),
    )


def trend_table(found: list[OverTime]) -> list[Table]:
    """Return the trend of each two readers, or why there is none."""
    if not found:
        return []
    return [
        Table(
            name="agreement-trend",
            caption="Trend of reader agreement",
            columns=[
                Column("Who"),
                Column("Days"),
                Column("Fish"),
                Column("Change in 30 days", "Change in 30 days", "percentage points"),
                Column("95% CI", "Change in 30 days", "percentage points"),
                Column("p"),
                Column("Days against chance", "Variance of days over chance"),
            ],
            rows=[_trend_row(one) for one in found],
            note="Trend of the share read alike (Armitage 1955). Where days differ more than by "
            "chance, the interval is widened by the root of that ratio.",
            folded=True,
        )
    ]


def _trend_row(one: OverTime) -> list[Cell]:
    fish = sum(day.n for day in one.days)
    head: list[Cell] = [Text(_who(one)), Count(len(one.days)), Count(fish)]
    trend = one.trend
    if trend is None:
        return [*head, *[Missing(one.why) for _ in range(4)]]
    return [
        *head,
        Number(PERCENT * trend.change, 1, signed=True),
        Interval(PERCENT * trend.lower, PERCENT * trend.upper),
        PValue(trend.p),
        Number(trend.spread, 1),
    ]


def days_table(found: list[OverTime]) -> list[Table]:
    """Return how far each two readers agree on each day."""
    rows = [
        [
            Text(_who(one)),
            Text(date_format(one.since + timedelta(days=day.day))),
            Count(day.n),
            Share(day.exact),
            percent_interval(day.lower, day.upper, 0),
            Number(day.cv, 1),
            Number(day.difference, 2, signed=True),
        ]
        for one in found
        for day in one.days
    ]
    if not rows:
        return []
    return [
        Table(
            name="agreement-by-day",
            caption="Reader agreement by day of the later reading",
            columns=[
                Column("Who"),
                Column("Day"),
                Column("Fish"),
                Column("Alike, %", "Alike", "%"),
                Column("95% CI, %", "Alike", "%"),
                Column("CV, %", "CV", "%"),
                Column("Second less first", "Mean age of the second less the first", "years"),
            ],
            rows=rows,
            folded=True,
        )
    ]
