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
from samples.findings.topics.reader_agreement.analyse import FEWEST, OverTime
from samples.rules.number_text import number_text
from samples.science.agreement_trend import MONTH_DAYS, AgreementTrend

CLEAR = 0.05
PERCENT = 100


def _who(one: OverTime) -> str:
    return " and ".join(one.names)


def trend_sentences(found: list[OverTime]) -> list[Sentence]:
    """Say of each two readers whether they agree on more or fewer fish as time goes on."""
    return [_sentence(one, one.trend) for one in found if one.trend is not None]


def _sentence(one: OverTime, trend: AgreementTrend) -> Sentence:
    return Sentence("agreement_trend", f"{_who(one)}: {_meaning(trend)}")


def _meaning(trend: AgreementTrend) -> str:
    ends = [number_text(PERCENT * end, signed=True) for end in (trend.lower, trend.upper)]
    interval = f"(95% CI {ends[0]} to {ends[1]})"
    change = PERCENT * trend.change
    if trend.p >= CLEAR:
        told = number_text(change, signed=True)
        return (
            f"no clear trend of agreement in {trend.days} days of reading, {told} percentage "
            f"points in 30 days {interval}."
        )
    way = "rises" if change > 0 else "falls"
    return f"agreement {way} by {abs(change):.0f} percentage points in 30 days {interval}."


def over_time_plots(found: list[OverTime]) -> list[Plot]:
    """Draw the share read alike over the days, for readers with a trend."""
    told = [(one, one.trend) for one in found if one.trend is not None]
    if not told:
        return []
    return [
        Plot(
            name="Reader agreement over time",
            panels=[_panel(one, trend) for one, trend in told],
            x_label=f"Days since {date_format(told[0][0].since)}",
            y_label="Fish read alike, %",
            alt="Share of fish read alike over the days; the table has every day.",
            caption="Share of fish that two readers gave the same age, by the day of the later "
            f"reading, with Wilson's 95% CI. Days are pooled until they hold {FEWEST} fish. Line: "
            "trend.",
            whole_x=True,
        )
    ]


def _panel(one: OverTime, trend: AgreementTrend) -> Panel:
    ends = [float(one.days[0].day), float(one.days[-1].day)]
    line = [trend.share + trend.change / MONTH_DAYS * (day - trend.middle) for day in ends]
    return Panel(
        f"{one.names[1]} and {one.names[0]}",
        [
            Series("soft", ends, [PERCENT * min(max(share, 0.0), 1.0) for share in line]),
            Series(
                "dots",
                [float(day.day) for day in one.pooled],
                [PERCENT * day.exact for day in one.pooled],
                lower=[PERCENT * day.lower for day in one.pooled],
                upper=[PERCENT * day.upper for day in one.pooled],
                name="read alike",
            ),
        ],
        note=f"n = {trend.n}",
        answer=f"{number_text(PERCENT * trend.change, signed=True)} points in 30 days",
        interval=f"({number_text(PERCENT * trend.lower, signed=True)} to "
        f"{number_text(PERCENT * trend.upper, signed=True)})",
        says=_sentence(one, trend),
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
