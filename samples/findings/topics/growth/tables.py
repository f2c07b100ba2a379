"""The tables of growth: lengths, years to lengths, growth years, values of the curves."""

from math import ceil, floor

from samples.findings.page_model import (
    Cell,
    Column,
    Count,
    Interval,
    Joined,
    Length,
    Missing,
    Number,
    Share,
    Table,
    Text,
    in_words,
    interval,
)
from samples.findings.topics.grown import Grown
from samples.findings.topics.growth.analyse import Growth
from samples.findings.topics.query import TopicQuery
from samples.science.growth.profile import Interval as TimeInterval
from samples.science.growth.summaries import AtTime, YearsTo

CI = "95% CI"
# How files name what a page heads by the years that it is of.
AVERAGE_LENGTH = "Mean length in an average year"
RECENT_LENGTH = "Mean length at recent growth"
AVERAGE_TIME, RECENT_TIME = "Time in an average year", "Time at recent growth"
NEVER = in_words("never")


def recent_text(grown: list[Grown]) -> str:
    """Write the recent years, such as 2024-2026."""
    years = grown[0].effects.recent_years
    if not years:
        return "recent years"
    return str(years[0]) if years[0] == years[-1] else f"{years[0]}-{years[-1]}"


def lengths_table(query: TopicQuery, found: Growth) -> Table:
    """Return mean lengths at whole ages between the youngest and the oldest fish."""
    rows = [
        [
            Text(one.name),
            Number(birthday.average.time),
            *_length_cells(query, birthday.average),
            *_length_cells(query, birthday.recent),
            Number(query.in_unit(birthday.sd_mm), 1),
        ]
        for one in found.groups
        for birthday in one.birthdays
    ]
    unit = query.unit.value
    return Table(
        name="length-at-birthdays",
        caption=f"Length on birthdays, {query.unit_name}",
        columns=[
            Column(query.what),
            Column(query.clock_name),
            Column("Mean length, average year", AVERAGE_LENGTH, unit),
            Column(CI, AVERAGE_LENGTH, unit),
            Column(f"At the growth of {recent_text(found.grown)}", RECENT_LENGTH, unit),
            Column(CI, RECENT_LENGTH, unit),
            Column("sd of fish", unit=unit),
        ],
        rows=rows,
        note="Only ages between the youngest and the oldest fish: the curve is not extrapolated.",
    )


def _length_cells(query: TopicQuery, row: AtTime) -> list[Cell]:
    ends = interval(query.in_unit(row.lower), query.in_unit(row.upper))
    return [Length(row.mean, query.unit), ends]


def years_table(query: TopicQuery, found: Growth) -> Table:
    """Return how long the average fish takes to each length, and how sure that is."""
    rows = [
        [
            Text(one.name),
            query.length_cell(reaching.length_mm),
            *_years_cells(one.grown, reaching.average),
            *_years_cells(one.grown, reaching.recent)[:2],
        ]
        for one in found.groups
        for reaching in one.reaching
    ]
    unit = query.clock_name.lower()
    return Table(
        name="years-to-length",
        caption=f"{query.clock_name} to reach a length",
        columns=[
            Column(query.what),
            Column("Length"),
            Column(f"{query.clock_name}, average year", AVERAGE_TIME, unit),
            Column(CI, AVERAGE_TIME, unit),
            Column("Never, %", "Never", "%"),
            Column(f"At the growth of {recent_text(found.grown)}", RECENT_TIME, unit),
            Column(CI, RECENT_TIME, unit),
        ],
        rows=rows,
        note="For the average fish: half of the fish grow slower. Less or more than: no fish here "
        "is that young or old, and the curve is not extrapolated.",
    )


def _years_cells(one: Grown, found: YearsTo) -> list[Cell]:
    never = Share(found.never)
    if found.years is not None and found.years > one.oldest_time:
        return [_more(one), Missing(), never]
    if found.years is None:
        return [NEVER, ends_of(one, found.interval), never]
    if found.years < one.youngest_time:
        return [_less(one), Missing(), never]
    return [Number(found.years, 1), ends_of(one, found.interval), never]


def _more(one: Grown) -> Missing:
    return in_words(f"more than {floor(one.oldest_time)}")


def _less(one: Grown) -> Missing:
    return in_words(f"less than {ceil(one.youngest_time)}")


def ends_of(one: Grown, ends: TimeInterval) -> Interval:
    """Return the interval of a time; an end outside the ages seen is not given as a number."""
    if ends.lower is None:
        return Interval(None, None)
    if ends.lower > one.oldest_time:
        return Interval(_more(one), _more(one))
    low = _less(one) if ends.lower < one.youngest_time else ends.lower
    if ends.upper is None:
        return Interval(low, NEVER)
    return Interval(low, _more(one) if ends.upper > one.oldest_time else ends.upper)


def growth_years_table(grown: list[Grown]) -> list[Table]:
    """Return the growth of each calendar year; one season tells nothing of them."""
    effects = grown[0].effects
    if effects.seasons < 2:
        return []
    rows = [
        [Count(one.year), Number(one.ratio, 2), interval(one.lower, one.upper, 2)]
        for one in effects.years
    ]
    return [
        Table(
            name="growth-years",
            caption="Growth by calendar year, times an average year",
            columns=[Column("Year"), Column("Times the average"), Column(CI, "Times the average")],
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
        columns=[Column(query.what), Column("Value"), Column("Estimate"), Column(CI, "Estimate")],
        rows=rows,
        note="L = Linf (1 - exp(-K (t - t0))), from mean lengths by season and age. Growth years "
        "and trips vary in the interval. Groups with few fish borrow from the others.",
    )


def _values_of(query: TopicQuery, one: Grown) -> list[list[Cell]]:
    curve, draws = one.curve, one.draws
    lower, upper = (query.in_unit(end) for end in draws.interval(draws.linf_mm))
    longest = Number(query.in_unit(curve.linf_mm), 1)
    rows: list[tuple[str, str, Number, Interval]] = [
        ("Linf", query.unit.value, longest, interval(lower, upper)),
        ("K", "per season", Number(curve.k, 3), interval(*draws.interval(draws.k), 3)),
        ("t0", "seasons", Number(curve.t0, 2), interval(*draws.interval(draws.t0), 2)),
    ]
    return [
        [Text(one.name), Joined("{}, {}", (("", Text(value)), ("unit", Text(unit)))), *cells]
        for value, unit, *cells in rows
    ]


def differences_table(query: TopicQuery, found: Growth) -> list[Table]:
    """Compare groups by length at age: each against the one with the most aged fish."""
    if len(found.groups) < 2:
        return []
    rows = []
    for one in found.differences:
        apart, low, high = (query.in_unit(mm) for mm in (one.mm, one.lower, one.upper))
        clear = Text("yes" if one.differs else "no")
        longer = Number(apart, 1, signed=True)
        rows.append([Text(one.name), Count(one.age), longer, interval(low, high), clear])
    return [
        Table(
            name="differences",
            caption=f"Length at age against {found.base}, {query.unit_name}",
            columns=[
                Column(query.what),
                Column(query.clock_name),
                Column("Longer by", unit=query.unit.value),
                Column(CI, "Longer by", query.unit.value),
                Column("Differs"),
            ],
            rows=rows,
            note="Average year. Differs: the interval excludes 0.",
        )
    ]
