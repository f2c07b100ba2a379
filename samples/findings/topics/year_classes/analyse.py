"""Strength of year classes over seasons, and who makes up the fish of each season."""

from dataclasses import dataclass

import numpy as np

from samples.findings.sample import Pair, Sample
from samples.findings.topics.age_structures import as_classes, structure_of
from samples.findings.topics.catch import catches_of, series_of, year_of
from samples.findings.topics.reading_error import reading_error_of
from samples.findings.topics.study import Study
from samples.science.age_length_key import AgeStructure
from samples.science.ageing_error import ReadingError
from samples.science.errors import CannotEstimate
from samples.science.year_class import ShareOfClass, Strengths, class_strengths, shares_of_classes
from samples.science.year_class_model import CatchCurve, fit_catch_curve


@dataclass(frozen=True, slots=True, eq=False)
class SeasonClasses:
    """The year classes of one season by itself.

    Attributes
    ----------
    shares : list of ShareOfClass
    strengths : Strengths or CannotEstimate
        Residuals of its catch curve, or why there are none.
    no_age_known : int
        Measured fish of lengths of which no fish was aged.
    """

    shares: list[ShareOfClass]
    strengths: Strengths | CannotEstimate
    no_age_known: int


@dataclass(frozen=True, slots=True)
class Excluded:
    """Measured fish that are of no class here, each for one reason only."""

    picked: int
    of_other_seasons: int
    no_age_known: int


@dataclass(frozen=True, slots=True, eq=False)
class YearClasses:
    """What the seasons say together, and each season by itself.

    Attributes
    ----------
    curve : CatchCurve or None
        Classes and mortality fitted together; none where the seasons carry no model.
    why_not : CannotEstimate or None
        Why there is no curve; none where nobody aged a fish.
    seasons : dict of int to SeasonClasses
        By key, in the order in which they were asked for.
    refused : dict of int to (CannotEstimate or None)
        Why a season has no classes, or no residuals; none where no fish was measured in it.
    error : ReadingError or None
    excluded : Excluded
    """

    curve: CatchCurve | None
    why_not: CannotEstimate | None
    seasons: dict[int, SeasonClasses]
    refused: dict[int, CannotEstimate | None]
    error: ReadingError | None
    excluded: Excluded


def analyse(study: Study, sample: Sample, seasons: list[int], pairs: list[Pair]) -> YearClasses:
    """Fit year classes and mortality together, and describe each season by itself."""
    found: dict[int, SeasonClasses] = {}
    refused: dict[int, CannotEstimate | None] = {}
    for season in seasons:
        of_season = sample.where(sample.season == season)
        if not of_season.n:
            refused[season] = None
            continue
        try:
            found[season] = _classes(study, of_season)
        except CannotEstimate as problem:
            refused[season] = problem
            continue
        strengths = found[season].strengths
        if isinstance(strengths, CannotEstimate):
            refused[season] = strengths
    curve, why_not = _over_seasons(study, sample)
    excluded = _count_excluded(sample, found)
    return YearClasses(curve, why_not, found, refused, reading_error_of(pairs), excluded)


def _classes(study: Study, sample: Sample) -> SeasonClasses:
    _, structure, drawn = structure_of(
        as_classes(sample), lower_edges=study.lower_edges, rng=study.rng
    )
    year = year_of(study, sample)
    shares = shares_of_classes(structure.ages, structure.numbers, drawn.numbers, season_year=year)
    return SeasonClasses(shares, _strengths(structure, year), structure.no_age_known)


def _strengths(structure: AgeStructure, year: int) -> Strengths | CannotEstimate:
    first = int(structure.ages[np.argmax(structure.numbers)])
    kept = structure.ages >= first
    try:
        return class_strengths(structure.ages[kept], structure.numbers[kept], season_year=year)
    except CannotEstimate as problem:
        return problem


def _over_seasons(study: Study, sample: Sample) -> tuple[CatchCurve | None, CannotEstimate | None]:
    """Fit the classes of all arms together, each arm with a mortality of its own."""
    caught, why_not = [], None
    for arm in np.unique(sample.arm):
        try:
            caught.append(catches_of(study, sample.where(sample.arm == arm)))
        except CannotEstimate as problem:
            why_not = problem
    if not caught:
        return None, why_not
    try:
        return fit_catch_curve(series_of(*caught), rng=study.rng, leave_out=False), None
    except CannotEstimate as problem:
        return None, problem


def _count_excluded(sample: Sample, found: dict[int, SeasonClasses]) -> Excluded:
    told = np.isin(sample.season, list(found))
    return Excluded(
        picked=int(np.count_nonzero(~sample.of_sample)),
        of_other_seasons=int(np.count_nonzero(sample.of_sample & ~told)),
        no_age_known=sum(one.no_age_known for one in found.values()),
    )
