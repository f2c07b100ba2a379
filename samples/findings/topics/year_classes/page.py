"""Year classes: which are strong or weak over the seasons, and who makes up a season's fish."""

from dataclasses import dataclass

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
    Share,
    Table,
    Text,
    interval,
    joined,
    percent_interval,
)
from samples.findings.topics.account import PICKED_WORDS, Account
from samples.findings.topics.age_structures import as_classes, structure_of
from samples.findings.topics.ageing_error import error_of
from samples.findings.topics.catch import catches_of, series_of, year_of
from samples.findings.topics.headline import and_text
from samples.findings.topics.intervals import calibration, misread_text
from samples.findings.topics.query import NO_AGED_FISH, TopicQuery
from samples.models import Season
from samples.science.age_length_key import AgeStructure
from samples.science.errors import CannotEstimate
from samples.science.year_class import (
    ShareOfClass,
    Strengths,
    class_strengths,
    finding,
    shares_of_classes,
)
from samples.science.year_class_model import (
    CatchCurve,
    YearClass,
    YearClassRating,
    fit_catch_curve,
)

FEWEST_SEASONS = 2


@dataclass(frozen=True, slots=True, eq=False)
class Classes:
    """What the seasons say together (nothing where they carry no model), and each season alone."""

    curve: CatchCurve | None
    why_not: str
    shares: dict[Season, list[ShareOfClass]]
    strengths: dict[Season, Strengths]
    refused: list[Sentence]
    no_age_known: int


def build(query: TopicQuery) -> Page:
    """Name strong and weak year classes over seasons, and give their share in each season."""
    title = f"{query.species}: year classes, {query.choice.season_words}"
    found = analyse(query)
    if not found.shares:
        return Page(title, refused=joined(found.refused) or NO_AGED_FISH)
    curve = found.curve
    error, _ = error_of(query)
    return Page(
        title=title,
        warnings=misread_text(error.cv) if error else [],
        answer=_answer(found),
        summary=[*_lead(found), *[finding(one, season=s.name) for s, one in found.shares.items()]],
        plots=[*([_strength_plot(curve)] if curve else []), _plot(found.shares)],
        tables=[
            *([_class_table(curve)] if curve else []),
            _share_table(found.shares),
            *_strength_tables(found.strengths),
            calibration(),
        ],
        left_out=[*found.refused, *_account(query, found).sentences(), *query.left_out],
        cautions=[
            (
                "A steady trend in recruitment looks the same as a change in Z. In simulated lakes "
                "where recruitment rose 5% a year, 86% of the 95% intervals of a class held the "
                "truth."
            ),
            *query.cautions(),
        ],
    )


def analyse(query: TopicQuery) -> Classes:
    """Fit year classes and mortality together, and describe each season by itself."""
    shares: dict[Season, list[ShareOfClass]] = {}
    strengths: dict[Season, Strengths] = {}
    refused: list[Sentence] = []
    no_age_known = 0
    for season in sorted(query.choice.seasons, key=lambda one: one.starts_on):
        sample = query.sample.where(query.sample.season == season.pk)
        if not sample.n:
            refused.append(Sentence("no_fish", "no fish were measured.").of(str(season)))
            continue
        try:
            _, structure, drawn = structure_of(
                as_classes(sample), lower_edges=query.lower_edges(), rng=query.rng
            )
            year = year_of(query, sample)
            shares[season] = shares_of_classes(
                structure.ages, structure.numbers, drawn.numbers, season_year=year
            )
            strengths[season] = _strengths(structure, year)
            no_age_known += structure.no_age_known
        except CannotEstimate as problem:
            refused.append(Sentence(problem.code, problem.sentence).of(str(season)))
    curve, why_not = _over_seasons(query)
    return Classes(curve, why_not, shares, strengths, refused, no_age_known)


def _over_seasons(query: TopicQuery) -> tuple[CatchCurve | None, str]:
    """Fit the classes of all arms together, each arm with a mortality of its own."""
    caught = []
    why_not: str = NO_AGED_FISH
    for arm in np.unique(query.sample.arm):
        try:
            caught.append(catches_of(query, query.sample.where(query.sample.arm == arm)))
        except CannotEstimate as problem:
            why_not = problem.sentence
    if not caught:
        return None, why_not
    try:
        return fit_catch_curve(series_of(*caught), rng=query.rng), ""
    except CannotEstimate as problem:
        return None, problem.sentence


def _account(query: TopicQuery, found: Classes) -> Account:
    """Account for every measured fish: of a class in its season, or excluded, and why."""
    sample = query.sample
    account = Account("measured fish", sample.n)
    account.exclude("picked_by_size", int(np.count_nonzero(~sample.of_sample)), PICKED_WORDS)
    told = np.isin(sample.season, [season.pk for season in found.shares])
    account.exclude(
        "season_not_estimated",
        int(np.count_nonzero(sample.of_sample & ~told)),
        "fish were measured in a season whose year classes cannot be estimated.",
    )
    account.exclude(
        "no_age_known",
        found.no_age_known,
        "fish are of a length of which no fish was aged in their season.",
    )
    return account


def _lead(found: Classes) -> list[Sentence]:
    """Name the classes that differ from the average, where several seasons say so."""
    if found.curve is None:
        words = f"Strong and weak year classes are not estimated. {found.why_not}"
        return [Sentence("not_estimated", words)]
    if found.curve.seasons < FEWEST_SEASONS:
        words = "One season does not name strong or weak year classes. Choose two or more."
        return [Sentence("one_season", words)]
    named = [_named(one) for one in found.curve.classes if one.strength in NAMED]
    return named or [Sentence("none_differs", "No year class differs clearly from the average.")]


def _answer(found: Classes) -> str:
    """Name the strong and the weak classes."""
    if found.curve is None or found.curve.seasons < FEWEST_SEASONS:
        return ""
    said = []
    for rating in NAMED:
        years = [str(one.year) for one in found.curve.classes if one.strength is rating]
        if years:
            plural = "year classes" if len(years) > 1 else "year class"
            said.append(f"{str(rating).capitalize()} {plural}: {and_text(years)}")
    return ". ".join(said) or "No year class differs clearly from the average"


NAMED = (YearClassRating.STRONG, YearClassRating.WEAK)


def _named(one: YearClass) -> Sentence:
    ends = f"95% CI {one.lower:.2f}-{one.upper:.2f}"
    words = (
        f"{one.year} is a {one.strength} year class: {one.ratio:.2f} times the average ({ends})."
    )
    return Sentence(str(one.strength), words)


def _strength_plot(curve: CatchCurve) -> Plot:
    sampled = [one for one in curve.classes if one.strength is not YearClassRating.NOT_SAMPLED]
    series = Series(
        "dots",
        [float(one.year) for one in sampled],
        [one.ratio for one in sampled],
        lower=[one.lower for one in sampled],
        upper=[one.upper for one in sampled],
        name="times the average class",
    )
    return Plot(
        name="Year-class strength",
        panels=[Panel("All seasons together", [series], [Mark(1.0, "average", tick="1")])],
        x_label="Year of hatching",
        y_label="Times the average year class",
        alt="Strength of each year class against the average; the table has every figure.",
        caption="Strength of each year class over all seasons, with its 95% CI, from one model of "
        "year classes and mortality.",
        whole_x=True,
    )


def _class_table(curve: CatchCurve) -> Table:
    no_verdict = Missing(f"fewer than {FEWEST_SEASONS} seasons")
    rows: list[list[Cell]] = [
        [
            Count(one.year),
            Number(one.ratio, 2),
            interval(one.lower, one.upper, 2),
            Number(one.seen, 1),
            Number(one.expected_aged, 1),
            Text(str(one.strength)) if curve.seasons >= FEWEST_SEASONS else no_verdict,
        ]
        for one in curve.classes
    ]
    return Table(
        name="year-classes",
        caption="Strength of each year class over all seasons",
        columns=[
            Column("Hatched in"),
            Column("Times the average"),
            Column("95% CI", "Times the average"),
            Column("Fish (effective)", "Effective fish"),
            Column("Aged fish expected"),
            Column("Verdict"),
        ],
        rows=rows,
        note="Strong or weak: the interval excludes 1, at least 5 aged fish were expected (3 where "
        "none was seen), and two or more seasons were sampled. Year classes and mortality are "
        "fitted together; a season's level is its own, so no effort is needed.",
    )


def _strengths(structure: AgeStructure, year: int) -> Strengths:
    first = int(structure.ages[np.argmax(structure.numbers)])
    kept = structure.ages >= first
    return class_strengths(structure.ages[kept], structure.numbers[kept], season_year=year)


def _plot(shares: dict[Season, list[ShareOfClass]]) -> Plot:
    panels = [
        Panel(
            season.name,
            [
                Series(
                    "bars",
                    [float(one.year_class) for one in reversed(found)],
                    [100 * one.share for one in reversed(found)],
                    lower=[100 * one.lower for one in reversed(found)],
                    upper=[100 * one.upper for one in reversed(found)],
                    name="share of the measured fish",
                )
            ],
            answer=f"{largest.year_class}: {100 * largest.share:.0f}%",
            interval=f"({100 * largest.lower:.0f}-{100 * largest.upper:.0f})",
            says=finding(found, season=season.name),
        )
        for season, found in shares.items()
        for largest in [max(found, key=lambda one: one.share)]
    ]
    return Plot(
        name="Year classes by season",
        panels=panels,
        x_label="Year of hatching",
        y_label="Share of the measured fish, %",
        alt="Share of each year class among the measured fish, one panel a season.",
        caption="Share of the measured fish of known age hatched in each year, with its 95% "
        "CI by trips. A year class keeps its place from panel to panel.",
        whole_x=True,
    )


def _share_table(shares: dict[Season, list[ShareOfClass]]) -> Table:
    rows = [
        [
            Text(season.name),
            Count(one.year_class),
            Share(one.share, 1),
            percent_interval(one.lower, one.upper),
        ]
        for season, found in shares.items()
        for one in found
    ]
    return Table(
        name="year-class-shares",
        caption="Share of each year class",
        note="Of the measured fish whose length bin has an age: those of other lengths are "
        "excluded; the age-length key counts them apart.",
        columns=[
            Column("Season"),
            Column("Hatched in"),
            Column("Share, %", "Share", "%"),
            Column("95% CI, %", "Share", "%"),
        ],
        rows=rows,
    )


def _strength_tables(strengths: dict[Season, Strengths]) -> list[Table]:
    rows = [
        [
            Text(season.name),
            Count(one.year_class),
            Number(one.residual, 2),
            interval(one.lower, one.upper, 2),
            Number(one.index, 1),
        ]
        for season, found in strengths.items()
        for one in found.classes
    ]
    if not rows:
        return []
    return [
        Table(
            name="year-class-strength",
            caption="Each season by itself: residuals of its catch curve",
            columns=[
                Column("Season"),
                Column("Hatched in"),
                Column("Residual of the log"),
                Column("95% CI", "Residual of the log"),
                Column("Index"),
            ],
            rows=rows,
            note="Residuals of the catch curve without weights (Maceina 1997); index: studentized "
            "with the class left out. One season alone does not identify strong or weak classes.",
            folded=True,
        )
    ]
