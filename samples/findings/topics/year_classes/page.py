"""Year classes: which are strong or weak over the seasons, and who makes up a season's fish."""

from typing import TypeAlias

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
from samples.findings.topics.intervals import calibration, misread_text
from samples.findings.topics.query import NO_AGED_FISH, TopicQuery
from samples.findings.topics.year_classes.analyse import SeasonClasses, YearClasses, analyse
from samples.rules.and_text import and_text
from samples.science.errors import CannotEstimate
from samples.science.year_class import finding
from samples.science.year_class_model import CatchCurve, YearClass, YearClassRating

FEWEST_SEASONS = 2


# The seasons that have classes, by name.
OfSeasons: TypeAlias = dict[str, SeasonClasses]


def build(query: TopicQuery) -> Page:
    """Name strong and weak year classes over seasons, and give their share in each season."""
    title = f"{query.species}: year classes, {query.choice.season_words}"
    seasons = sorted(query.choice.seasons, key=lambda one: one.starts_on)
    found = analyse(query.study, query.sample, [one.pk for one in seasons], query.loaded.pairs)
    names = {one.pk: one.name for one in seasons}
    refused = [_refused(problem).of(names[key]) for key, problem in found.refused.items()]
    if not found.seasons:
        return Page(title, refused=joined(refused) or NO_AGED_FISH)
    of_seasons = {names[key]: one for key, one in found.seasons.items()}
    curve = found.curve
    return Page(
        title=title,
        warnings=misread_text(found.error.cv) if found.error else [],
        answer=_answer(found),
        summary=[
            *_lead(found),
            *[finding(one.shares, season=name) for name, one in of_seasons.items()],
        ],
        plots=[*([_strength_plot(curve)] if curve else []), _plot(of_seasons)],
        tables=[
            *([_class_table(curve)] if curve else []),
            _share_table(of_seasons),
            *_strength_tables(of_seasons),
            calibration(),
        ],
        left_out=[*refused, *_account(query, found).sentences(), *query.left_out],
        cautions=[
            (
                "A steady trend in recruitment looks the same as a change in Z. In simulated lakes "
                "where recruitment rose 5% a year, 86% of the 95% intervals of a class held the "
                "truth."
            ),
            *query.cautions(),
        ],
    )


def _refused(problem: CannotEstimate | None) -> Sentence:
    """Return why a season has no classes."""
    if problem is None:
        return Sentence("no_fish", "no fish were measured.")
    return Sentence(problem.code, problem.sentence)


def _account(query: TopicQuery, found: YearClasses) -> Account:
    """Account for every measured fish: of a class in its season, or excluded, and why."""
    out = found.excluded
    account = Account("measured fish", query.sample.n)
    account.exclude("picked_by_size", out.picked, PICKED_WORDS)
    account.exclude(
        "season_not_estimated",
        out.of_other_seasons,
        "fish were measured in a season whose year classes cannot be estimated.",
    )
    account.exclude(
        "no_age_known",
        out.no_age_known,
        "fish are of a length of which no fish was aged in their season.",
    )
    return account


def _lead(found: YearClasses) -> list[Sentence]:
    """Name the classes that differ from the average, where several seasons say so."""
    if found.curve is None:
        why_not = found.why_not.sentence if found.why_not else NO_AGED_FISH
        words = f"Strong and weak year classes are not estimated. {why_not}"
        return [Sentence("not_estimated", words)]
    if found.curve.seasons < FEWEST_SEASONS:
        words = "One season does not name strong or weak year classes. Choose two or more."
        return [Sentence("one_season", words)]
    named = [_named(one) for one in found.curve.classes if one.strength in NAMED]
    return named or [Sentence("none_differs", "No year class differs clearly from the average.")]


def _answer(found: YearClasses) -> str:
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


def _plot(of_seasons: OfSeasons) -> Plot:
    panels = [
        Panel(
            name,
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
            says=finding(found, season=name),
        )
        for name, found in [(name, one.shares) for name, one in of_seasons.items()]
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


def _share_table(of_seasons: OfSeasons) -> Table:
    rows = [
        [
            Text(name),
            Count(one.year_class),
            Share(one.share, 1),
            percent_interval(one.lower, one.upper),
        ]
        for name, season in of_seasons.items()
        for one in season.shares
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


def _strength_tables(of_seasons: OfSeasons) -> list[Table]:
    rows = [
        [
            Text(name),
            Count(one.year_class),
            Number(one.residual, 2),
            interval(one.lower, one.upper, 2),
            Number(one.index, 1),
        ]
        for name, season in of_seasons.items()
        if not isinstance(season.strengths, CannotEstimate)
        for one in season.strengths.classes
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
