"""Age-length key: which ages fish of a length have, and what ages the measured fish are."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from samples.findings.page_model import (
    DOT,
    Cell,
    Column,
    Count,
    Length,
    Missing,
    Number,
    Page,
    Sentence,
    Share,
    Table,
    Text,
    in_words,
    joined,
    percent_interval,
)
from samples.findings.sample import Sample
from samples.findings.topics.account import PICKED_WORDS, Account
from samples.findings.topics.age_length_key.analyse import GroupAges, analyse
from samples.findings.topics.age_length_key.plots import (
    answer_of,
    finding,
    key_plot,
    structure_plot,
)
from samples.findings.topics.age_structures import key_of
from samples.findings.topics.ageing_error import shares_table
from samples.findings.topics.ages import mixed_warnings
from samples.findings.topics.query import NO_AGED_FISH, TopicQuery
from samples.findings.topics.study import SEED
from samples.findings.topics.true_age_texts import error_wanted, refusal, shares_text
from samples.findings.topics.true_ages import draw_back, redraw
from samples.science.age_length_key import AgeLengthKey, AgeStructure, age_structure
from samples.science.sample_size import shares_within


def build(query: TopicQuery) -> Page:
    """Return the key of each group, and the age structure of its measured fish.

    Where true ages are wanted they are in place of those that were read.
    """
    error = error_wanted(query)
    if error is None:
        return _page(query, {}, lambda found: refusal(query))
    study, as_read = query.study, structures_of(query)
    redrawn: dict[str, list[Sample]] = {}
    for sample in redraw(study, query.sample, error):
        for name, own in replace(query, sample=sample).groups():
            redrawn.setdefault(name, []).append(own)
    drawn = replace(query, sample=draw_back(study, query.sample, error))
    return _page(
        drawn,
        redrawn,
        lambda found: shares_text(error, as_read, {one.name: one.structure for one in found}),
    )


def structures_of(query: TopicQuery) -> dict[str, AgeStructure]:
    """Return the age structure of each group that has one."""
    edges = query.lower_edges()
    found, _ = query.tried(lambda name, sample: (name, age_structure(key_of(sample, edges))))
    return dict(found)


def _page(
    query: TopicQuery,
    redrawn: dict[str, list[Sample]],
    about_ages: Callable[[list[GroupAges]], list[Sentence]],
) -> Page:
    title = f"{query.species}: ages of the measured fish, {query.choice.season_words}"
    edges, bin_mm = query.lower_edges(), query.bin_mm
    found, refused = query.tried(
        lambda name, sample: analyse(
            name,
            sample,
            lower_edges=edges,
            bin_mm=bin_mm,
            seed=SEED,
            redrawn=redrawn.get(name, []),
        )
    )
    if not found:
        return Page(title, refused=joined(refused) or NO_AGED_FISH)
    structures = [] if redrawn else [(one.name, one.structure, one.drawn) for one in found]
    return Page(
        title=title,
        answer=answer_of(query, found),
        summary=[finding(one) for one in found],
        warnings=[*about_ages(found), *mixed_warnings(query)],
        plots=[
            structure_plot(query, found),
            key_plot(query, found),
        ],
        tables=[
            _structure_table(query, found),
            *shares_table(query, structures),
            *[_key_table(query, one.name, one.key, folded=len(found) > 1) for one in found],
            *_drawn_tables(query, found),
        ],
        left_out=[*refused, *_account(query, found).sentences(), *query.left_out],
        cautions=[*_bins_told(query, found), *query.cautions()],
    )


def _account(query: TopicQuery, found: list[GroupAges]) -> Account:
    """Account for every measured fish: counted by the key, of no known age, or excluded."""
    account = Account("measured fish", query.sample.n)
    shown = query.sample.where(
        np.isin(query.sample.fish, np.concatenate([one.sample.fish for one in found]))
    )
    picked = int(np.count_nonzero(~shown.of_sample))
    account.exclude("picked_by_size", picked, PICKED_WORDS)
    account.exclude(
        "no_group",
        query.sample.n - shown.n,
        "fish belong to no group with an age structure here.",
    )
    return account


def _bins_told(query: TopicQuery, found: list[GroupAges]) -> list[Sentence]:
    def names(edges: np.ndarray) -> str:
        return ", ".join(query.bin_at(edge).text for edge in edges)

    said = [
        Sentence(
            "shares_within",
            f"had the {one.aged} aged fish been taken at random, one by one, all shares "
            f"would be known to {100 * shares_within(one.aged):.0f} points (Thompson "
            "1987); picked fish and parties tell less.",
        ).of(one.name)
        for one in found
    ]
    for one in found:
        name, key = one.name, one.key
        if key.no_age_known:
            words = (
                f"without an age are {key.no_age_known:,} measured fish of "
                f"{names(key.without_ages)}, since none of that length was aged. They are counted "
                "apart. Age some of these lengths."
            )
            said.append(Sentence("bins_without_age", words).of(name))
        if key.one_age.size or key.one_fish.size:
            bins = names(np.unique(np.concatenate([key.one_age, key.one_fish])))
            words = (
                f"the aged fish of {bins} show one age alone. That is not taken as certain: the "
                "intervals let in the ages of the bins beside."
            )
            said.append(Sentence("bins_of_one_age", words).of(name))
    return said


def _structure_table(query: TopicQuery, found: list[GroupAges]) -> Table:
    smoothed = any(one.smoothed for one in found)
    rows: list[list[Cell]] = []
    for one in found:
        name, structure = one.name, one.structure
        lower, upper = one.drawn.interval()
        for place, age in enumerate(structure.ages):
            row: list[Cell] = [
                Text(name),
                Count(int(age)),
                Number(structure.numbers[place], 1),
                Share(structure.shares[place], 1),
                Share(structure.standard_errors[place], 1),
                percent_interval(float(lower[place]), float(upper[place]))
                if structure.shares[place]
                else Missing("no fish of this age"),
            ]
            rows.append([*row, *([_smooth(one.smoothed.get(int(age)))] if smoothed else [])])
        if structure.no_age_known:
            rows.append(
                [
                    Text(name),
                    in_words("not known"),
                    Count(structure.no_age_known),
                    Share(structure.share_no_age_known, 1),
                    *[Missing()] * (3 if smoothed else 2),
                ]
            )
    columns = [
        Column(query.what),
        Column("Age", unit="years"),
        Column("Fish"),
        Column("Share, %", "Share", "%"),
        Column("se, %", "se of the share", "%"),
        Column("95% CI by trips, %", "Share", "%"),
    ]
    if smoothed:
        columns.append(Column("Share by the smoothed key, %", "Share by the smoothed key", "%"))
    told = (
        " Smoothed key: multinomial logit of age on length, of at least 100 aged fish; a dash "
        "where none can be fitted."
    )
    return Table(
        name="age-structure",
        caption="Age structure of the measured fish",
        columns=columns,
        rows=rows,
        note="se by the variance of Quinn & Deriso (1999), which takes fish as drawn one by one; "
        "the interval draws parties first, then fish, at both stages." + (told if smoothed else ""),
    )


def _smooth(percent: float | None) -> Cell:
    return Missing("no smoothed key") if percent is None else Number(percent, 1)


def _key_table(query: TopicQuery, name: str, key: AgeLengthKey, *, folded: bool) -> Table:
    rows = []
    for place in np.flatnonzero((key.measured > 0) | key.known):
        shares = [_share(share, known=bool(key.known[place])) for share in key.shares[place]]
        counts = [Count(int(key.measured[place])), Count(int(key.aged[place]))]
        rows.append([query.bin_at(key.lower_edges[place]), *counts, *shares])
    ages = [Column(f"Age {age}, %", f"Share of age {age}", "%") for age in key.ages]
    return Table(
        name=f"key-{name}",
        caption=f"Age-length key of {name}",
        columns=[
            Column("Length"),
            Column("Measured", "Measured fish"),
            Column("Aged", "Aged fish"),
            *ages,
        ],
        rows=rows,
        note="Share of each age among the aged fish of the bin; an empty row has no aged fish, a "
        "point is an age that none of them had.",
        folded=folded,
    )


def _share(share: float, *, known: bool) -> Cell:
    """Return the share of an age in its bin: a point where nobody has it, blank if none is aged."""
    if not known:
        return Missing(words="")
    return Share(float(share)) if share else Share(0.0, shown=DOT)


def _drawn_tables(query: TopicQuery, found: list[GroupAges]) -> list[Table]:
    """List an age for every measured fish: of one that was not aged, one drawn in its bin."""
    rows: list[list[Cell]] = []
    aged, by_draw = Text("aged"), Text("drawn")
    for one in found:
        group, sample = Text(one.name), one.sample
        rows += [
            [group, Length(float(length), query.unit), _age(int(age)), aged if own else by_draw]
            for length, age, own in zip(sample.length_mm, one.drawn_ages, sample.aged, strict=True)
        ]
    return [
        Table(
            name="drawn-ages",
            caption="An age for every measured fish",
            columns=[
                Column(query.what),
                Column(f"Total length, {query.unit.value}", "Total length", query.unit.value),
                Column("Age", unit="years"),
                Column("How"),
            ],
            rows=rows,
            note=f"{len(rows):,} fish; those that were not aged get an age drawn within their "
            "length bin (Isermann & Knight 2005), by the same draw every time. One draw has no "
            "variance. In the file only.",
            in_file_only=True,
        )
    ]


def _age(age: int) -> Cell:
    return Count(age) if age >= 0 else Missing("no aged fish in its length bin", words="")
