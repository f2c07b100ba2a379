"""The tables of growth: lengths, years to lengths, growth years, values of the curves."""

from math import ceil, floor

import numpy as np

from samples.findings.page_model import Table
from samples.findings.topics.grown import Grown, aims_of
from samples.findings.topics.query import TopicQuery, interval
from samples.science.growth.profile import Interval
from samples.science.growth.resample import LOWER, UPPER
from samples.science.growth.summaries import AtTime, lengths_at, years_to
from samples.science.growth.year_effects import DrawnCurve

CI = "95% CI"


def recent_text(grown: list[Grown]) -> str:
    """Write the recent years, such as 2024-2026."""
    years = grown[0].effects.recent_years
    if not years:
        return "recent years"
    return str(years[0]) if years[0] == years[-1] else f"{years[0]}-{years[-1]}"


def lengths_table(query: TopicQuery, grown: list[Grown]) -> Table:
    """Return mean lengths at whole ages between the youngest and the oldest fish."""
    rows = []
    for one in grown:
        times = [
            float(age) for age in range(max(1, ceil(one.youngest_time)), floor(one.oldest_time) + 1)
        ]
        if not times:
            continue
        average, recent = (
            lengths_at(drawn.curve, drawn.draws, times) for drawn in (one.average, one.recent)
        )
        for row, late in zip(average, recent, strict=True):
            sd = query.in_unit(float(one.spread.sd_at(row.mean)))
            cells = [*_length_text(query, row), *_length_text(query, late), f"{sd:.1f}"]
            rows.append([one.name, f"{row.time:.0f}", *cells])
    recent_heads = [f"At the growth of {recent_text(grown)}", CI]
    return Table(
        name="length-at-birthdays",
        caption=f"Length at birthdays, {query.unit_name}",
        heads=[
            query.what,
            query.clock_name,
            "Mean length, average year",
            CI,
            *recent_heads,
            "sd of fish",
        ],
        rows=rows,
        note="Only ages between the youngest and the oldest fish: the curve is not extrapolated.",
    )


def _length_text(query: TopicQuery, row: AtTime) -> list[str]:
    ends = interval(query.in_unit(row.lower), query.in_unit(row.upper))
    return [query.length(row.mean), ends]


def years_table(query: TopicQuery, grown: list[Grown]) -> Table:
    """Return how long the average fish takes to each length, and how sure that is."""
    rows = [
        [
            one.name,
            query.with_unit(aim),
            *_years_text(one, one.average, aim),
            *_years_text(one, one.recent, aim)[:2],
        ]
        for one in grown
        for aim in aims_of(query)
    ]
    recent_heads = [f"At the growth of {recent_text(grown)}", CI]
    return Table(
        name="years-to-length",
        caption=f"{query.clock_name} to reach a length",
        heads=[
            query.what,
            "Length",
            f"{query.clock_name}, average year",
            CI,
            "Never, %",
            *recent_heads,
        ],
        rows=rows,
        note="Of the average fish: half of the fish grow slower. Less or more than: no fish here "
        "is that young or old, and the curve is not extrapolated.",
    )


def _years_text(one: Grown, drawn: DrawnCurve, aim: float) -> list[str]:
    found = years_to(drawn.curve, drawn.draws, aim)
    never = f"{100 * found.never:.0f}"
    if found.years is not None and found.years > one.oldest_time:
        return [_more(one), "–", never]
    if found.years is None:
        return ["never", ends_text(one, found.interval), never]
    if found.years < one.youngest_time:
        return [_less(one), "–", never]
    return [f"{found.years:.1f}", ends_text(one, found.interval), never]


def _more(one: Grown) -> str:
    return f"more than {floor(one.oldest_time)}"


def _less(one: Grown) -> str:
    return f"less than {ceil(one.youngest_time)}"


def ends_text(one: Grown, ends: Interval) -> str:
    """Write the interval of a time; an end outside the ages seen is not given as a number."""
    if ends.lower is None:
        return "–"
    if ends.lower > one.oldest_time:
        return _more(one)
    low = _less(one) if ends.lower < one.youngest_time else f"{ends.lower:.1f}"
    if ends.upper is None:
        return f"{low} to never"
    return f"{low} to {_more(one) if ends.upper > one.oldest_time else f'{ends.upper:.1f}'}"


def growth_years_table(grown: list[Grown]) -> list[Table]:
    """Return the growth of each calendar year; one season tells nothing of them."""
    effects = grown[0].effects
    if effects.seasons < 2:
        return []
    rows = [
        [str(one.year), f"{one.ratio:.2f}", interval(one.lower, one.upper, 2)]
        for one in effects.years
    ]
    return [
        Table(
            name="growth-years",
            caption="Growth by calendar year, times an average year",
            heads=["Year", "Times the average", CI],
            rows=rows,
            note=f"All groups together. Growth differs from year to year with an sd of "
            f"{effects.year_sd:.2f} of its logarithm. Early years rest on few old fish.",
            folded=True,
        )
    ]


def values_table(query: TopicQuery, grown: list[Grown]) -> Table:
    """Return Linf, K and t0 of an average year with their intervals."""
    rows = [row for one in grown for row in _values_of(query, one)]
    return Table(
        name="curve-values",
        caption="Linf, K and t0, average year",
        heads=[query.what, "Value", "Estimate", CI],
        rows=rows,
        note="L = Linf (1 - exp(-K (t - t0))), from mean lengths by season and age. Growth years "
        "and trips vary in the interval. Groups with few fish borrow from the others.",
    )


def _values_of(query: TopicQuery, one: Grown) -> list[list[str]]:
    curve, draws = one.curve, one.draws
    lower, upper = (query.in_unit(end) for end in draws.interval(draws.length_max_mm))
    name, unit = one.name, query.unit.value
    longest = f"{query.in_unit(curve.length_max_mm):.1f}"
    return [
        [name, f"Linf, {unit}", longest, interval(lower, upper)],
        [name, "K, per season", f"{curve.rate:.3f}", interval(*draws.interval(draws.rate), 3)],
        [
            name,
            "t0, seasons",
            f"{curve.age_zero:.2f}",
            interval(*draws.interval(draws.age_zero), 2),
        ],
    ]


def difference_at(one: Grown, other: Grown, time: float) -> tuple[float, float, float]:
    """Return how much longer fish of one group are at an age, mm, with its 95% CI.

    Both were drawn together: what years do to both leaves the difference alone.
    """
    apart = _drawn_at(one, time) - _drawn_at(other, time)
    lower, upper = np.quantile(apart, (LOWER, UPPER))
    means = [float(group.curve.length_at([time])[0]) for group in (one, other)]
    return means[0] - means[1], float(lower), float(upper)


def _drawn_at(one: Grown, time: float) -> np.ndarray:
    draws = one.draws
    drawn: np.ndarray = draws.length_max_mm * -np.expm1(-draws.rate * (time - draws.age_zero))
    return drawn


def differences_table(query: TopicQuery, grown: list[Grown]) -> list[Table]:
    """Compare groups by length at age: each against the one with the most aged fish."""
    if len(grown) < 2:
        return []
    base = max(grown, key=lambda one: one.sample.n)
    rows = []
    for one in grown:
        if one is base:
            continue
        first = max(1, ceil(max(one.youngest_time, base.youngest_time)))
        for age in range(first, floor(min(one.oldest_time, base.oldest_time)) + 1):
            apart, low, high = (query.in_unit(mm) for mm in difference_at(one, base, float(age)))
            clear = "yes" if low > 0 or high < 0 else "no"
            rows.append([one.name, str(age), f"{apart:+.1f}", interval(low, high), clear])
    return [
        Table(
            name="differences",
            caption=f"Length at age against {base.name}, {query.unit_name}",
            heads=[query.what, query.clock_name, "Longer by", CI, "Differs"],
            rows=rows,
            note="Average year. Differs: the interval excludes 0.",
        )
    ]
