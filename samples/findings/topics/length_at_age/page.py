"""Mean length at age, weighted by measured fish where aged ones were picked by length."""

import numpy as np

from samples.findings.page_model import (
    Cell,
    Column,
    Count,
    Interval,
    Missing,
    Number,
    Page,
    Panel,
    Plot,
    Sentence,
    Series,
    Table,
    Text,
)
from samples.findings.sample import Sample
from samples.findings.topics.account import Account
from samples.findings.topics.ages import ages_text
from samples.findings.topics.headline import in_brackets, in_group
from samples.findings.topics.length_at_age.analyse import LengthAtAgeRow, analyse
from samples.findings.topics.query import TopicQuery
from samples.rules.and_text import and_text

FEWEST_TO_COMPARE = 5


def build(query: TopicQuery) -> Page:
    """Return mean lengths at age with their intervals, group by group."""
    title = f"{query.species}: length at age in {query.choice.season_words}"
    groups = [
        (name, sample, analyse(sample, bins=query.bin_of(sample), in_unit=query.in_unit))
        for name, sample in query.groups()
    ]
    groups = [one for one in groups if one[2]]
    if not groups:
        return Page(title, refused=_nothing(query))
    return Page(
        title=title,
        answer=_answer(query, groups),
        summary=[one for one in (_finding(query, groups), _how(groups)) if one],
        plots=[_plot(query, groups)],
        tables=[_table(query, groups)],
        left_out=[*_account(query, groups).sentences(), *query.left_out],
        cautions=query.cautions(),
    )


def _account(query: TopicQuery, groups: "Groups") -> Account:
    account = Account("aged fish", int(np.count_nonzero(query.sample.aged)))
    shown = sum(row.plain.n for _, _, rows in groups for row in rows)
    account.exclude(
        "no_group", account.total - shown, f"aged fish belong to none of these: {query.what}."
    )
    return account


def _nothing(query: TopicQuery) -> str:
    return (
        f"No {query.species.lower()} in this choice has an age yet. Read otoliths or import "
        "ages to see them here."
    )


Groups = list[tuple[str, Sample, list[LengthAtAgeRow]]]


def _finding(query: TopicQuery, groups: Groups) -> Sentence:
    """Compare the groups at the age that most of them have."""
    lines = _compared(groups)
    if not lines:
        return Sentence("too_few", "Too few fish of one age to compare.")
    age = lines[0][2].age
    longest = _told(query, *lines[-1][1:])
    if len(lines) == 1:
        return Sentence("average", f"At age {age} fish average: {longest}.")
    shortest = _told(query, *lines[0][1:])
    return Sentence("widest_apart", f"Longest at age {age}: {longest}. Shortest: {shortest}.")


def _compared(groups: Groups) -> list[tuple[float, str, LengthAtAgeRow]]:
    """Return the groups at the age that most of them have, the shortest fish first."""
    by_age: dict[int, list[tuple[float, str, LengthAtAgeRow]]] = {}
    for name, _, rows in groups:
        for row in rows:
            if row.plain.n >= FEWEST_TO_COMPARE:
                by_age.setdefault(row.age, []).append((row.mean, name, row))
    if not by_age:
        return []
    age = max(by_age, key=lambda one: (len(by_age[one]), sum(x[2].plain.n for x in by_age[one])))
    return sorted(by_age[age], key=lambda one: one[0])


def _answer(query: TopicQuery, groups: Groups) -> str:
    lines = _compared(groups)
    if not lines:
        return ""
    age, unit = lines[0][2].age, query.unit.value
    said = [f"{mean:.1f} {unit} {in_group(query, name)}" for mean, name, _ in lines]
    both = [said[-1]] if len(said) == 1 else [said[-1], said[0]]
    return f"Fish of age {age} average {and_text(both)}"


def _told(query: TopicQuery, name: str, row: LengthAtAgeRow) -> str:
    ends = Interval(*row.ends).text
    return f"{name}, {row.mean:.1f} {query.unit.value} ({ends}; {row.plain.n} fish)"


def _how(groups: Groups) -> str:
    if any(row.weighted is not None for _, _, rows in groups for row in rows):
        return (
            "Means are weighted: each aged fish counts for the fish of its length that were "
            "measured. The table also gives unweighted means."
        )
    return "These are unweighted means of the aged fish: no other fish were measured."


def _plot(query: TopicQuery, groups: Groups) -> Plot:
    lines = {
        name: ([float(row.age) for row in rows], [row.mean for row in rows])
        for name, _, rows in groups
    }
    heads = {
        name: (
            f"{row.mean:.1f} {query.unit.value} at age {row.age}",
            in_brackets(*row.ends),
        )
        for _, name, row in _compared(groups)
    }
    panels = []
    for name, sample, rows in groups:
        ends = [row.ends for row in rows]
        dots = Series(
            "dots",
            *lines[name],
            lower=[
                row.mean if low is None else low for row, (low, _) in zip(rows, ends, strict=True)
            ],
            upper=[
                row.mean if high is None else high
                for row, (_, high) in zip(rows, ends, strict=True)
            ],
            name="mean length",
        )
        bars = Series(
            "band",
            *lines[name],
            lower=[row.mean - (row.sd or 0) for row in rows],
            upper=[row.mean + (row.sd or 0) for row in rows],
            name="one sd of the fish to either side",
        )
        others = [Series("soft", *lines[other], name=other) for other in lines if other != name]
        own = Series("line", *lines[name], name="mean length")
        aged = int(np.count_nonzero(sample.aged))
        head, interval = heads.get(name, ("", ""))
        panels.append(
            Panel(
                name,
                [*others, bars, own, dots],
                note=f"n = {aged}",
                answer=head,
                interval=interval,
            )
        )
    return Plot(
        name="Length at age",
        panels=panels,
        x_label="Age, years",
        y_label=f"Total length, {query.unit_name}",
        alt=f"Mean length against age, in {len(panels)} panels. "
        f"{_finding(query, groups)} The table has every figure.",
        caption="Mean total length with its 95% CI against age in whole years. "
        f"{ages_text(query.sample)}",
        whole_x=True,
    )


def _table(query: TopicQuery, groups: Groups) -> Table:
    weighed = any(row.weighted is not None for _, _, rows in groups for row in rows)
    unit = query.unit.value
    mean = "Mean length, weighted" if weighed else "Mean length"
    columns = [Column(query.what), Column("Age", unit="years"), Column("Aged", "Aged fish")]
    columns += [
        *([Column("Mean, weighted", mean, unit)] if weighed else []),
        Column("Plain mean" if weighed else "Mean", "Mean length", unit),
        Column("sd, by the key" if weighed else "sd", "sd of length", unit),
        Column("95% CI of the mean", mean, unit),
    ]
    rows = []
    for name, _, of_group in groups:
        for row in of_group:
            means = [_mean(row.plain.mean)]
            if weighed:
                means.insert(0, _mean(None if row.weighted is None else row.weighted.mean))
            sd: Cell = Missing("an sd needs 2 fish") if row.sd is None else Number(row.sd, 1)
            ends = Interval(*row.ends, reason="an interval needs 3 fish")
            rows.append([Text(name), Count(row.age), Count(row.plain.n), *means, sd, ends])
    return Table(
        name="length-at-age",
        caption=f"Total length at age in {query.unit_name}",
        columns=columns,
        rows=rows,
        note="Age in whole years: fish of one age grow through the season. "
        "The interval assumes independent fish; fish of one trip are alike, so the true interval "
        "is wider. A dash: an sd needs two fish, an interval three. Weighting: Bettoli & "
        "Miranda 2001.",
    )


def _mean(mean: float | None) -> Cell:
    return Missing("the key has no measured fish of this age") if mean is None else Number(mean, 1)
