"""Natural mortality and fishing beside total mortality: rules of thumb, what was entered, tags."""

import numpy as np

from samples.findings.queries.elsewhere import elsewhere
from samples.findings.shown import Table
from samples.findings.topics.asked import Asked, Stock, interval
from samples.findings.topics.died import Died
from samples.findings.topics.grown import grow
from samples.models import TagReturns
from samples.science.errors import CannotEstimate
from samples.science.length_limit.given import natural_from_shares
from samples.science.rates import (
    Exploitation,
    exploitation_from_tags,
    fishing_left,
    natural_from_growth,
    natural_from_oldest,
    rates_of,
)


def natural_tables(asked: Asked, found: list[Died]) -> list[Table]:
    """Set natural death by rules of thumb beside what was entered: none of them is a result."""
    by_name = {one.name: one for one in found}
    rows = [
        row
        for stock in asked.stocks()
        if stock.name in by_name
        for row in _natural_rows(asked, stock, by_name[stock.name].curve.z)
    ]
    if not rows:
        return []
    return [
        Table(
            name="natural-death",
            caption="Natural death, M: borrowed, never measured here",
            heads=[asked.what, "From", "M, per year", "Die of natural causes in a year, %"],
            rows=rows,
            note="Rules of thumb err by a half and more. The oldest fish must come from a water "
            "that is hardly fished: the oldest of a fished lake makes M as large as Z. What is "
            "used is entered under Figures from elsewhere, for an arm or for the whole lake.",
        )
    ]


def _natural_rows(asked: Asked, stock: Stock, total: float) -> list[list[str]]:
    rows = []
    try:
        curve = grow(asked, stock.name, stock.sample).fit.curve
        rate = natural_from_growth(curve.length_max_mm, curve.rate)
        above = ", above all death by these fish, so it cannot be" if rate >= total else ""
        words = f"Linf and K of these fish (Then et al. 2015){above}"
        rows.append([stock.name, words, *_as_rate(rate)])
    except CannotEstimate:
        pass  # no curve, no rule of thumb from it
    entered = elsewhere(asked.options.lake, asked.choice, stock.species, stock.arm).natural
    if entered is None:
        return rows
    if entered.oldest_years:
        oldest = natural_from_oldest(entered.oldest_years)
        words = f"oldest fish, {entered.oldest_years} years"
        rows.append([stock.name, f"{words} (Then et al. 2015)", *_as_rate(oldest["then"])])
        rows.append([stock.name, f"{words} (Hamel & Cope 2022)", *_as_rate(oldest["hamel"])])
    of = entered.arm.name if entered.arm else "the whole lake"
    for word in ("least", "middle", "most"):
        rate = -float(np.log1p(-float(getattr(entered, word))))
        rows.append([stock.name, f"{word} of {of}: {entered.source}", *_as_rate(rate)])
    return rows


def _as_rate(rate: float) -> list[str]:
    return [f"{rate:.2f}", f"{-100 * np.expm1(-rate):.0f}"]


def fishing_tables(asked: Asked, found: list[Died]) -> list[Table]:
    """Take natural death, as entered, off total death; what is left is fishing."""
    by_name = {one.name: one for one in found}
    rows = [
        row
        for stock in asked.stocks()
        if stock.name in by_name
        for row in _parts_row(asked, stock, by_name[stock.name])
    ]
    if not rows:
        return []
    return [
        Table(
            name="fishing",
            caption="What natural death leaves to fishing",
            heads=[
                asked.what,
                "M, per year",
                "F = Z - M",
                "95 % interval",
                "Taken in a year, %",
                "F at or below 0, % of draws",
            ],
            rows=rows,
            note="Natural death as entered. Draws at or below 0 contradict it and are counted, "
            "never set to 0.",
        )
    ]


def _parts_row(asked: Asked, stock: Stock, one: Died) -> list[list[str]]:
    entered = elsewhere(asked.options.lake, asked.choice, stock.species, stock.arm).natural
    if entered is None:
        return []
    least, middle, most = (float(x) for x in (entered.least, entered.middle, entered.most))
    drawn = natural_from_shares(asked.rng, one.drawn.size, least=least, middle=middle, most=most)
    left = fishing_left(one.drawn, drawn)
    rate = -float(np.log1p(-middle))
    fishing = one.curve.z - rate
    lower, upper = np.quantile(left.fishing, (0.025, 0.975))
    ends = interval(float(lower), float(upper), 2)
    taken = f"{100 * float(rates_of(fishing, rate).taken):.0f}" if fishing > 0 else "–"
    never = f"{100 * left.not_above_zero:.0f}"
    return [[one.name, f"{rate:.2f}", f"{fishing:.2f}", ends, taken, never]]


def tag_tables(asked: Asked) -> list[Table]:
    rows = []
    for one in TagReturns.objects.filter(
        lake=asked.options.lake,
        species=asked.choice.species.species,
        season__in=asked.choice.seasons,
    ).select_related("arm", "season"):
        found = tags(one)
        if found is not None:
            ends = interval(100 * found.lower, 100 * found.upper, 0)
            where = one.arm.name if one.arm else "Whole lake"
            returned = f"{one.returned} of {one.tags_out}"
            rows.append(
                [where, one.season.name, returned, f"{100 * found.share:.0f}", ends, one.source]
            )
    if not rows:
        return []
    return [
        Table(
            name="tags",
            caption="Taken in a year, from tags",
            heads=["Arm", "Season", "Tags back", "Taken, %", "95 % interval, %", "Source"],
            rows=rows,
        )
    ]


def tags(row: TagReturns) -> Exploitation | None:
    """Estimate the share taken from one row of tag returns; nothing where they contradict."""
    try:
        return exploitation_from_tags(
            row.tags_out,
            row.returned,
            reporting=(float(row.reporting_least), float(row.reporting_most)),
            tags_kept=float(row.tags_kept),
            survived=float(row.survived_tagging),
        )
    except CannotEstimate:
        return None
