"""Growth by calendar year, from measured rings: a flood or a drought shows."""

import numpy as np

from samples.findings.page_model import (
    Cell,
    Column,
    Count,
    Mark,
    Missing,
    Number,
    Page,
    Panel,
    Plot,
    Sentence,
    Series,
    Table,
    interval,
)
from samples.findings.sample import Rings
from samples.findings.topics.growth_by_year.analyse import (
    FEWEST_A_YEAR,
    Intercept,
    Lengths,
    YearsOfGrowth,
    analyse,
    count_shorter,
    find_intercept,
    lengths_at_rings,
)
from samples.findings.topics.growth_by_year.intervals import calibration, less_after_text
from samples.findings.topics.query import TopicQuery
from samples.science.growth_years import YearEffect


def build(query: TopicQuery) -> Page:
    """Back-calculate lengths from rings and tell good years for growth from poor ones."""
    title = f"{query.species}: growth by calendar year"
    rings = query.loaded.rings
    if not rings.length_mm:
        return Page(
            title,
            refused="No rings of these fish were measured. Radii come with a reading whose picture "
            "was measured.",
        )
    intercept = find_intercept(rings, query.choice.intercept_mm)
    shorter = count_shorter(rings, intercept)
    if shorter:
        return Page(
            title,
            refused=f"{shorter} of these fish are no longer than the intercept of "
            f"{intercept.mm:.0f} mm. Enter a smaller one, such as 20.",
        )
    found = analyse(rings, intercept)
    of_lengths = _lengths_table(query, rings, found.lengths)
    if found.refused:
        return Page(title, refused=found.refused, tables=[of_lengths])
    from_rings = f"From the rings of {len(found.lengths)} fish. {_how(intercept)}"
    return Page(
        title=title,
        answer=_lead(found).removesuffix("."),
        summary=[_lead(found), from_rings],
        plots=[_plot(found)],
        tables=[_effects_table(found.effects), of_lengths, calibration()],
        left_out=_left_out(found.too_few),
        cautions=[
            less_after_text(),
            (
                "Fish that lived to be caught may not have grown as those that died: where small "
                "or large fish die first, early growth read from old fish is biased."
            ),
        ],
    )


def _left_out(years: list[int]) -> list[str]:
    if not years:
        return []
    named = ", ".join(str(year) for year in years)
    return [f"Years with fewer than {FEWEST_A_YEAR} increments: {named}."]


def _how(intercept: Intercept) -> str:
    if intercept.is_given:
        return f"Lengths by Fraser-Lee with an intercept of {intercept.mm:.0f} mm, as given."
    if not intercept.mm:
        return "Lengths are proportional to radii (Dahl-Lea)."
    return f"Lengths by Fraser-Lee with an intercept of {intercept.mm:.0f} mm from these fish."


def _lead(found: YearsOfGrowth) -> Sentence:
    if found.poorest and not found.best:
        least = found.poorest
        return Sentence(
            "poor_year",
            f"Fish grew least in {least.year}: {-least.percent:.0f}% less than in the mean year "
            f"({-least.upper:.0f}-{-least.lower:.0f}).",
        )
    if found.best:
        best = found.best
        return Sentence(
            "good_year",
            f"Fish grew best in {best.year}: {best.percent:.0f}% more than in the mean year "
            f"({best.lower:.0f}-{best.upper:.0f}).",
        )
    return Sentence(
        "no_year_differs",
        "No year stands out: growth was about the same in all of them, as far as these rings show.",
    )


def _plot(found: YearsOfGrowth) -> Plot:
    effects = found.effects
    series = Series(
        "dots",
        [float(one.year) for one in effects],
        [one.percent for one in effects],
        lower=[one.lower for one in effects],
        upper=[one.upper for one in effects],
        name="growth against the mean of the years",
    )
    return Plot(
        name="Growth by calendar year",
        panels=[
            Panel(
                "All arms together",
                [series],
                [Mark(0, "mean of the years", tick="0")],
                says=_lead(found),
            )
        ],
        x_label="Calendar year",
        y_label="Growth against the mean, %",
        alt=f"Growth of each calendar year against the mean of the years. {_lead(found)}",
        caption="Growth in length of each calendar year against the mean of all, fish of one age "
        "and arm compared (Weisberg 1993), with its 95% CI. The CI allows for rings of one fish "
        "and fish of one year class being alike.",
        whole_x=True,
    )


def _effects_table(effects: list[YearEffect]) -> Table:
    rows = [
        [
            Count(one.year),
            Count(one.n),
            Number(one.percent, signed=True),
            interval(one.lower, one.upper, 0),
        ]
        for one in effects
    ]
    return Table(
        name="growth-by-year",
        caption="Growth by calendar year",
        columns=[
            Column("Year"),
            Column("Increments"),
            Column("Against the mean, %", "Growth against the mean", "%"),
            Column("95% interval, %", "Growth against the mean", "%"),
        ],
        rows=rows,
    )


def _lengths_table(query: TopicQuery, rings: Rings, lengths: Lengths) -> Table:
    """Return lengths at rings by the method chosen, and by plain proportion beside it."""
    plain, unit = lengths_at_rings(rings, 0.0), query.unit.value
    oldest = max((len(found) for _, found in lengths), default=0)
    rows = []
    for ring in range(oldest):
        here, beside = (
            query.in_unit(1.0) * np.array([row[ring] for _, row in found if len(row) > ring])
            for found in (lengths, plain)
        )
        sd: Cell = Number(here.std(ddof=1), 1) if here.size > 1 else Missing("an sd needs 2 fish")
        means = [Number(one.mean(), 1) for one in (here, beside)]
        rows.append([Count(ring + 1), Count(here.size), means[0], sd, means[1]])
    return Table(
        name="lengths-at-rings",
        caption=f"Back-calculated length at each annulus, {query.unit_name}",
        columns=[
            Column("Annulus"),
            Column("Fish"),
            Column("Mean length", unit=unit),
            Column("sd", "sd of length", unit),
            Column("By plain proportion", "Mean length by plain proportion", unit),
        ],
        rows=rows,
        note="Growth after the last annulus is incomplete and excluded. Plain proportion: "
        "Dahl-Lea; with an intercept: Fraser-Lee.",
    )
