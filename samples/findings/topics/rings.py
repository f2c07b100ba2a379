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
from samples.findings.queries import Rings
from samples.findings.topics.query import TopicQuery
from samples.findings.topics.ring_intervals import calibration, less_after_text
from samples.science.back_calculation import (
    estimated_intercept,
    increments_of,
    with_intercept,
)
from samples.science.errors import CannotEstimate
from samples.science.growth_years import YearEffect, year_effects

FEWEST_A_YEAR = 5


def topic(query: TopicQuery) -> Page:
    """Back-calculate lengths from rings and tell good years for growth from poor ones."""
    title = f"{query.species}: growth by calendar year"
    rings = query.loaded.rings
    if not rings.length_mm:
        return Page(
            title,
            refused="No rings of these fish were measured. Radii come with a reading whose picture "
            "was measured.",
        )
    intercept, how = _intercept(query, rings)
    shorter = sum(length <= intercept for length in rings.length_mm)
    if shorter:
        return Page(
            title,
            refused=f"{shorter} of these fish are no longer than the intercept of "
            f"{intercept:.0f} mm. Enter a smaller one, such as 20.",
        )
    lengths = _lengths(rings, intercept)
    increments = increments_of(lengths, groups=rings.group)
    told, too_few = increments.of_years_with(FEWEST_A_YEAR)
    try:
        effects = year_effects(told)
    except CannotEstimate as problem:
        return Page(title, refused=problem.sentence, tables=[_lengths_table(query, rings, lengths)])
    return Page(
        title=title,
        answer=_lead(effects).removesuffix("."),
        summary=[_lead(effects), f"From the rings of {len(lengths)} fish. {how}"],
        plots=[_plot(effects)],
        tables=[_effects_table(effects), _lengths_table(query, rings, lengths), calibration()],
        left_out=_left_out(too_few),
        cautions=[
            less_after_text(),
            (
                "Fish that lived to be caught may not have grown as those that died: where small "
                "or large fish die first, early growth read from old fish is bent."
            ),
        ],
    )


def _left_out(years: list[int]) -> list[str]:
    if not years:
        return []
    named = ", ".join(str(year) for year in years)
    return [f"Years with fewer than {FEWEST_A_YEAR} increments: {named}."]


def _intercept(query: TopicQuery, rings: Rings) -> tuple[float, str]:
    given = query.choice.intercept_mm
    if given:
        return given, f"Lengths by Fraser-Lee with an intercept of {given:.0f} mm, as given."
    try:
        found = 0.0 if given == 0 else estimated_intercept(rings.length_mm, rings.edge_um)
    except CannotEstimate:
        found = 0.0
    if not 0 < found < min(rings.length_mm):
        return 0.0, "Lengths are proportional to radii (Dahl-Lea)."
    return found, f"Lengths by Fraser-Lee with an intercept of {found:.0f} mm from these fish."


Lengths = list[tuple[int, list[float]]]


def _lengths(rings: Rings, intercept: float) -> Lengths:
    rows = []
    for year_class, length, edge, radii in zip(
        rings.year_class, rings.length_mm, rings.edge_um, rings.radii_um, strict=True
    ):
        # A ring at the very edge may have been measured a hair past it.
        inside = np.minimum(np.array(radii, dtype=float), edge)
        found = with_intercept(length, float(edge), inside, intercept_mm=intercept)
        rows.append((year_class, [float(one) for one in found]))
    return rows


def _lead(effects: list[YearEffect]) -> Sentence:
    count = len(effects)

    def against(percent: float) -> float:
        """Turn a change against the mean of all years into one against all others."""
        return 100 * float(np.expm1(np.log1p(percent / 100) * count / (count - 1)))

    best = max(effects, key=lambda one: one.percent)
    poorest = min(effects, key=lambda one: one.percent)
    if _stands_out(poorest, count) and not _stands_out(best, count):
        return Sentence(
            "poor_year",
            f"Fish grew least in {poorest.year}: about {-against(poorest.percent):.0f}% less than "
            f"in the others ({-against(poorest.upper):.0f} to {-against(poorest.lower):.0f}%).",
        )
    if best.percent > 0 and _stands_out(best, count):
        return Sentence(
            "good_year",
            f"Fish grew best in {best.year}: about {against(best.percent):.0f}% more than in the "
            f"other years ({against(best.lower):.0f} to {against(best.upper):.0f}%).",
        )
    return Sentence(
        "no_year_differs",
        "No year stands out: growth was about the same in all of them, as far as these rings tell.",
    )


def _stands_out(one: YearEffect, years: int) -> bool:
    """Return whether a year differs even though the most extreme of several was looked for.

    The interval is widened after Bonferroni to hold for all years together.
    """
    from scipy.stats import norm

    middle, low, high = (np.log1p(x / 100) for x in (one.percent, one.lower, one.upper))
    wider = norm.ppf(1 - 0.025 / years) / norm.ppf(0.975)
    return bool(abs(middle) > wider * (high - low) / 2)


def _plot(effects: list[YearEffect]) -> Plot:
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
                "All arms of the choice",
                [series],
                [Mark(0, "mean of the years", tick="0")],
                says=_lead(effects),
            )
        ],
        x_label="Calendar year",
        y_label="Growth against the mean, %",
        alt=f"Growth of each calendar year against the mean of the years. {_lead(effects)}",
        caption="Growth in length of each calendar year against the mean of all, fish of one age "
        "and arm compared (Weisberg 1993), with 95% intervals that let the rings of one fish, and "
        "the fish of one year class, be alike.",
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
    plain, unit = _lengths(rings, 0.0), query.unit.value
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
        note="Growth after the last annulus is not finished and is left out. Plain proportion: "
        "Dahl-Lea; with an intercept: Fraser-Lee.",
    )
