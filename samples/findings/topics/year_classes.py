"""Year classes: who makes up a season's fish, followed over seasons, strong and weak ones."""

import numpy as np

from samples.findings.shown import Page, Panel, Plot, Series, Table
from samples.findings.topics.asked import NO_AGED_FISH, Asked, interval
from samples.findings.topics.key import as_classes, structure_of
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


def topic(asked: Asked) -> Page:
    """Give the share of each year class in each season, and the strong and weak ones."""
    title = f"{asked.species}: year classes, {asked.choice.season_words}"
    shares: dict[Season, list[ShareOfClass]] = {}
    strengths: dict[Season, Strengths] = {}
    refused = []
    for season in sorted(asked.choice.seasons, key=lambda one: one.starts_on):
        sample = asked.sample.where(asked.sample.season == season.pk)
        try:
            _, structure, drawn = structure_of(asked, as_classes(sample))
            dated = sample.year[sample.year > 0]
            year = int(dated.min()) if dated.size else season.starts_on.year
            shares[season] = shares_of_classes(
                structure.ages, structure.numbers, drawn.numbers, season_year=year
            )
            strengths[season] = _strengths(structure, year)
        except CannotEstimate as problem:
            refused.append(f"{season}: {problem.sentence}")
    if not shares:
        return Page(title, refused=" ".join(refused) or NO_AGED_FISH)
    return Page(
        title=title,
        says=[finding(found, season=season.name) for season, found in shares.items()],
        plots=[_plot(shares)],
        tables=[_share_table(shares), *_strength_tables(strengths)],
        left_out=[*refused, *asked.left_out],
        cautions=[
            (
                "A class that is strong in one season should be strong in the next, a year older: "
                "choose several seasons and follow it."
            ),
            *asked.cautions(),
        ],
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
        )
        for season, found in shares.items()
    ]
    return Plot(
        name="Year classes by season",
        panels=panels,
        x_label="Year of hatching",
        y_label="Share of the measured fish, %",
        alt="Share of each year class among the measured fish, one panel a season.",
        caption="Share of the measured fish of known age hatched in each year, with 95 % "
        "intervals by parties. Looked at from panel to panel, a class keeps its place.",
        whole_x=True,
    )


def _share_table(shares: dict[Season, list[ShareOfClass]]) -> Table:
    rows = [
        [
            season.name,
            str(one.year_class),
            f"{100 * one.share:.1f}",
            interval(100 * one.lower, 100 * one.upper),
        ]
        for season, found in shares.items()
        for one in found
    ]
    return Table(
        name="year-class-shares",
        caption="Share of each year class",
        note="Of the measured fish whose length bin has an age: those of other lengths are left "
        "out, while the page of the key counts them apart.",
        heads=[
            "Season",
            "Hatched in",
            "Share, %",
            "95 % interval, %",
        ],
        rows=rows,
    )


def _strength_tables(strengths: dict[Season, Strengths]) -> list[Table]:
    rows = [
        [
            season.name,
            str(one.year_class),
            f"{one.residual:.2f}",
            interval(one.lower, one.upper, 2),
            f"{one.index:.1f}",
        ]
        for season, found in strengths.items()
        for one in found.classes
    ]
    if not rows:
        return []
    return [
        Table(
            name="year-class-strength",
            caption="Strength of each year class about the catch curve",
            heads=[
                "Season",
                "Hatched in",
                "Residual of the log",
                "95 % interval",
                "Index",
            ],
            rows=rows,
            note="Residuals of the catch curve without weights (Maceina 1997); index: studentised "
            "with the class left out. Above 0 is stronger than the curve.",
        )
    ]
