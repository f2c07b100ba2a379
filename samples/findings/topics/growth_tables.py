"""The tables of growth: lengths, years to lengths, values of the curves, and who shares them."""

from math import ceil, floor

from samples.findings.shown import Table
from samples.findings.topics.asked import Asked, interval
from samples.findings.topics.grown import Grown, aims_of
from samples.science.errors import CannotEstimate
from samples.science.growth.compare import Comparison, Group, compare_curves
from samples.science.growth.profile import Interval
from samples.science.growth.told import lengths_at, years_to


def lengths_table(asked: Asked, grown: list[Grown]) -> Table:
    rows = []
    for one in grown:
        ages = range(max(1, ceil(one.told_from)), int(one.sample.age.max()) + 1)
        for row in lengths_at(one.fit.curve, one.draws, [float(age) for age in ages]):
            sd = float(one.spread.sd_at(row.mean))
            ends = interval(asked.in_unit(row.lower), asked.in_unit(row.upper))
            rows.append(
                [
                    one.name,
                    f"{row.time:.0f}",
                    asked.length(row.mean),
                    ends,
                    f"{asked.in_unit(sd):.1f}",
                ]
            )
    return Table(
        name="length-at-birthdays",
        caption=f"Length at birthdays, {asked.unit_words}",
        heads=[
            asked.what,
            asked.clock_words,
            "Mean length",
            "95 % interval of the mean",
            "sd of fish",
        ],
        rows=rows,
    )


def years_table(asked: Asked, grown: list[Grown]) -> Table:
    """Give how long the middle fish takes to each length, and how sure that is."""
    rows = [
        [one.name, asked.with_unit(aim), *_years_words(one, aim)]
        for one in grown
        for aim in aims_of(asked)
    ]
    return Table(
        name="years-to-length",
        caption=f"{asked.clock_words} to reach a length",
        heads=[asked.what, "Length", asked.clock_words, "95 % interval", "Never, % of draws"],
        rows=rows,
        note="Of the average fish: half of the fish grow slower. Less or more than: no fish here "
        "is that young or old, and the curve is not extrapolated.",
    )


def _years_words(one: Grown, aim: float) -> list[str]:
    found = years_to(one.fit.curve, one.draws, aim)
    never = f"{100 * found.never:.0f}"
    if found.years is not None and found.years > one.told_to:
        return [f"more than {floor(one.told_to)}", "–", never]
    if found.years is None:
        return ["never", _ends_words(found.interval), never]
    if found.years < one.told_from:
        return [f"less than {ceil(one.told_from)}", "–", never]
    return [f"{found.years:.1f}", _ends_words(found.interval), never]


def _ends_words(ends: Interval) -> str:
    if ends.lower is None:
        return "–"
    return interval(ends.lower, ends.upper) if ends.upper else f"{ends.lower:.1f} to never"


def values_table(asked: Asked, grown: list[Grown]) -> Table:
    """Give Linf, K and t0 with their standard errors, and intervals by profile and by parties."""
    rows = [row for one in grown for row in _values_of(asked, one)]
    return Table(
        name="curve-values",
        caption="Values of the curves",
        heads=[
            asked.what,
            "Value",
            "Estimate",
            "se",
            "95 % interval by profile",
            "95 % interval by parties",
        ],
        rows=rows,
        note="L = Linf (1 - exp(-K (t - t0))), by least squares weighted by measured over aged "
        "fish of each length bin. Profile: from the sum of squares, fish taken for independent; by "
        "parties: drawn anew, so that fish of one party may be alike.",
    )


def _values_of(asked: Asked, one: Grown) -> list[list[str]]:
    curve, se, draws = one.fit.curve, one.fit.se, one.draws
    length, rate = one.fit.length_max_interval, one.fit.rate_interval
    in_unit = asked.in_unit
    low, high = (None if end is None else in_unit(end) for end in (length.lower, length.upper))
    lower, upper = draws.interval(draws.length_max_mm)
    whole = [f"{in_unit(curve.length_max_mm):.1f}", f"{in_unit(se.length_max_mm):.1f}"]
    return [
        [
            one.name,
            f"Linf, {asked.unit.value}",
            *whole,
            interval(low, high),
            interval(in_unit(lower), in_unit(upper)),
        ],
        [
            one.name,
            "K, per season",
            f"{curve.rate:.3f}",
            f"{se.rate:.3f}",
            interval(rate.lower, rate.upper, 3),
            interval(*draws.interval(draws.rate), 3),
        ],
        [
            one.name,
            "t0, seasons",
            f"{curve.age_zero:.2f}",
            f"{se.age_zero:.2f}",
            "–",
            interval(*draws.interval(draws.age_zero), 2),
        ],
    ]


def comparison_tables(grown: list[Grown]) -> list[Table]:
    if len(grown) < 2:
        return []
    groups = [Group(one.name, one.sample.clock, one.sample.length_mm, one.weights) for one in grown]
    try:
        found = compare_curves(groups)
    except CannotEstimate:
        return []
    return [_comparison_table(found, [one.name for one in grown])]


SHARED = {
    "coincident": "one curve for all",
    "length_max": "one Linf",
    "rate": "one K",
    "age_zero": "one t0",
}


def _comparison_table(found: Comparison, names: list[str]) -> Table:
    rows = [
        [words, f"{found.tests[name].chi2:.1f}", str(found.tests[name].df), _p(found.tests[name].p)]
        for name, words in SHARED.items()
    ]
    return Table(
        name="do-they-differ",
        caption=f"Do they grow alike: {', '.join(names)}",
        heads=["If they had", "chi2", "df", "p"],
        rows=rows,
        note="Likelihood ratios against a curve for each (Kimura 1980). A small p: they do not "
        "share it. Fish of one party are alike, so p is somewhat too small.",
    )


def _p(p: float) -> str:
    return "< 0.001" if p < 0.001 else f"{p:.3f}"
