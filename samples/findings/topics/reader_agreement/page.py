"""How far readers, and ways of reading, agree."""

from samples.findings.page_model import (
    DOT,
    Cell,
    Column,
    Count,
    Interval,
    Joined,
    Number,
    Page,
    Panel,
    Plot,
    PValue,
    Sentence,
    Series,
    Table,
    Text,
)
from samples.findings.topics.ageing_error import error_matrix, error_table
from samples.findings.topics.query import TopicQuery
from samples.findings.topics.reader_agreement.analyse import (
    FEWEST,
    FEWEST_FOR_AN_INTERVAL,
    LEAST_EXACT,
    Compared,
    analyse,
    analyse_over_time,
    ends_of_mean,
    should_read_all_twice,
)
from samples.findings.topics.reader_agreement.over_time import (
    days_table,
    over_time_plots,
    trend_sentences,
    trend_table,
)
from samples.science.agreement import Agreement

RANDOM_ONLY = (
    "Readers are compared by the second readings that were drawn at random, and by no others."
)
NOT_RANDOM = (
    "No second readings drawn at random are used here, so readers are compared by all fish read "
    "twice. If hard otoliths were chosen for a second reading, precision looks worse than it is."
)
READ_ALL_TWICE = (
    f"Readers agree on fewer than {LEAST_EXACT:.0f}% of the random second readings. Read every "
    "otolith twice."
)
NO_INTERVAL = f"fewer than {FEWEST_FOR_AN_INTERVAL} fish, or all alike"


def build(query: TopicQuery) -> Page:
    """Compare every two readers and every two methods that read the same fish."""
    title = f"{query.species}: reader agreement, {query.choice.season_words}"
    compared = analyse(query.loaded.pairs)
    found = [(one.names, one.agreement) for one in compared]
    if not found:
        return Page(
            title,
            refused=Sentence(
                "few_read_twice",
                f"Fewer than {FEWEST} fish in this choice were read twice. Have a second reader "
                "read 10-20% of the otoliths blind.",
            ),
        )
    over_time = analyse_over_time(query.loaded.pairs)
    return Page(
        title=title,
        answer=_answer(*found[0]),
        summary=[*[_lead(names, one) for names, one in found], *trend_sentences(over_time)],
        plots=[*[_plot(names, one) for names, one in found], *over_time_plots(over_time)],
        tables=[
            _summary(found),
            _symmetry(found),
            *trend_table(over_time),
            *days_table(over_time),
            *error_table(query),
            *error_matrix(query),
            *[_table(names, one) for names, one in found],
        ],
        cautions=[
            *_basis(compared),
            (
                "For young fish percent agreement says more than the CV: the same one-year error "
                "weighs more at a young age."
            ),
            "Readers who agree may both be wrong: only known-age fish show accuracy.",
        ],
    )


Names = tuple[str, str]


def _basis(compared: list[Compared]) -> list[str]:
    """Say which second readings readers are compared by, and what follows from them."""
    is_random = any(one.is_random for one in compared)
    words = [RANDOM_ONLY if is_random else NOT_RANDOM]
    return [*words, READ_ALL_TWICE] if should_read_all_twice(compared) else words


def _lead(names: Names, one: Agreement) -> str:
    return (
        f"{names[0]} and {names[1]}: {one.exact:.0f}% agreement on {one.n} fish, "
        f"{one.within_1:.0f} "
        f"% within one year. {one.symmetry[0].meaning}"
    )


def _answer(names: Names, one: Agreement) -> str:
    return f"{names[0]} and {names[1]} agree on {one.exact:.0f}% of {one.n} fish"


def _plot(names: Names, one: Agreement) -> Plot:
    ages = [float(row.age) for row in one.by_age]
    means = [row.mean for row in one.by_age]
    ends = [float(one.ages[0]), float(one.ages[-1])]
    series = [
        Series("soft", ends, ends),
        Series(
            "dots",
            ages,
            means,
            lower=[_else(ends_of_mean(row)[0], row.mean) for row in one.by_age],
            upper=[_else(ends_of_mean(row)[1], row.mean) for row in one.by_age],
            name=f"mean age by {names[1]}",
        ),
    ]
    return Plot(
        name=f"{names[1]} against {names[0]}",
        panels=[
            Panel(
                f"{names[1]} against {names[0]}",
                series,
                note=f"n = {one.n}",
                answer=f"{one.exact:.0f}% alike",
                interval=f"(CV {one.cv:.1f}%)",
                says=_lead(names, one),
            )
        ],
        x_label=f"Age by {names[0]}, years",
        y_label=f"Mean age by {names[1]}, years",
        alt=f"Mean age by {names[1]} at each age by {names[0]}. {one.symmetry[0].meaning}",
        caption=f"Mean age that {names[1]} gave the fish of each age by {names[0]}, with its 95% "
        "interval. Thin line: full agreement.",
        whole_x=True,
    )


def _else(end: float | None, mean: float) -> float:
    return mean if end is None else end


def _summary(found: list[tuple[Names, Agreement]]) -> Table:
    rows = []
    for names, one in found:
        test = one.symmetry[0]
        chi2 = Joined("{} ({})", (("", Number(test.chi2, 1)), ("df", Count(test.df))))
        rows.append(
            [
                Text(f"{names[0]}, {names[1]}"),
                Count(one.n),
                Number(one.exact),
                Number(one.within_1),
                Number(one.ape, 1),
                Number(one.cv, 1),
                chi2,
                PValue(test.p),
            ]
        )
    return Table(
        name="agreement",
        caption="Agreement between readers and between methods",
        columns=[
            Column("Who"),
            Column("Fish"),
            Column("Alike, %", "Alike", "%"),
            Column("Within 1, %", "Within 1 year", "%"),
            Column("APE, %", "APE", "%"),
            Column("CV, %", "CV", "%"),
            Column("chi2 (df)", "chi2"),
            Column("p"),
        ],
        rows=rows,
        note="APE: average percent error (Beamish & Fournier 1981); CV: Chang 1982. Symmetry by "
        "differences pooled (Evans & Hoenig 1998). Ages are those assigned by the aging rule.",
    )


def _symmetry(found: list[tuple[Names, Agreement]]) -> Table:
    rows = [
        [
            Text(" and ".join(names)),
            Text(test.name),
            Number(test.chi2, 1),
            Count(test.df),
            PValue(test.p),
            Text(test.meaning),
        ]
        for names, one in found
        for test in one.symmetry
    ]
    return Table(
        name="symmetry",
        caption="Bias between readers",
        columns=[
            Column("Who"),
            Column("Test"),
            Column("chi2"),
            Column("df"),
            Column("p"),
            Column("What it means"),
        ],
        rows=rows,
        note="Evans & Hoenig (1998); Bowker (1948); McNemar (1947).",
        folded=True,
    )


def _table(names: Names, one: Agreement) -> Table:
    rows = [
        [
            Count(row.age),
            Count(row.n),
            Number(row.exact),
            Number(row.within_1),
            Number(row.mean, 1),
            Interval(*ends_of_mean(row), reason=NO_INTERVAL),
            *[_fish(count) for count in one.table[one.ages.index(row.age)]],
        ]
        for row in one.by_age
    ]
    return Table(
        name=f"ages-{names[0]}-{names[1]}",
        caption=f"Fish by age of {names[0]} (rows) and of {names[1]} (last columns)",
        columns=[
            Column(f"Age by {names[0]}", unit="years"),
            Column("Fish"),
            Column("Alike, %", "Alike", "%"),
            Column("Within 1, %", "Within 1 year", "%"),
            Column("Mean", f"Mean age by {names[1]}", "years"),
            Column("95% interval", f"Mean age by {names[1]}", "years"),
            *[Column(f"{age}", f"Fish of age {age} by {names[1]}") for age in one.ages],
        ],
        rows=rows,
    )


def _fish(count: int) -> Cell:
    """Return a number of fish; none at all are a point, so that the others stand out."""
    return Count(count) if count else Count(0, shown=DOT)
