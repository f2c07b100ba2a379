"""Every limit judged for every arm, with the growth and the fates that the figures show."""

from dataclasses import dataclass

import numpy as np

from samples.findings.entered import Entered
from samples.findings.limits import LimitSelection
from samples.findings.sample import Floats, Sample
from samples.findings.topics.fishing_inputs import CannotJudge
from samples.findings.topics.grown import grow_groups
from samples.findings.topics.growth.analyse import Line, line_of
from samples.findings.topics.length_limit.catch_season import season_of_catch
from samples.findings.topics.length_limit.inputs import check_enough
from samples.findings.topics.length_limit.stock import ArmVerdict, Known, answer, know
from samples.findings.topics.study import FishGroup, Study
from samples.science.errors import CannotEstimate
from samples.science.growth.summaries import YearsTo, years_to

POINTS = 60
YEARS_ON = 6


@dataclass(frozen=True, slots=True, eq=False)
class Fates:
    """What becomes of 100 fish from the kept length on, and when the average one is at the limit.

    Attributes
    ----------
    years : ndarray
        Years after the kept length.
    alive, died : ndarray
        Of 100 fish those alive, and those or dead of natural causes; the rest is harvested.
    way : float
        Years from the kept length to the limit; infinite where the average fish never comes to it.
    """

    years: Floats
    alive: Floats
    died: Floats
    way: float


@dataclass(frozen=True, slots=True, eq=False)
class JudgedArm:
    """One arm: what is known of it, each limit in the order asked about, and its figures.

    ``reaching`` is when the average fish comes to the first of the limits.
    """

    known: Known
    verdicts: list[ArmVerdict]
    line: Line
    reaching: YearsTo
    fates: Fates

    @property
    def name(self) -> str:
        return self.known.name

    @property
    def first(self) -> ArmVerdict:
        """Return the limit that is asked about above all."""
        return self.verdicts[0]


@dataclass(frozen=True, slots=True, eq=False)
class JudgedArms:
    """Arms with an answer, and by name why the others have none."""

    arms: list[JudgedArm]
    refused: dict[str, CannotEstimate | CannotJudge]


def judge_arms(
    study: Study,
    sample: Sample,
    groups: list[FishGroup],
    *,
    limit: LimitSelection,
    entered: Entered,
) -> JudgedArms:
    """Judge every limit for every arm, and say for which arms nothing can be judged, and why."""
    found: list[JudgedArm] = []
    refused: dict[str, CannotEstimate | CannotJudge] = {}
    grown, problems = grow_groups(study, groups)
    of_name = {one.name: one for one in grown}
    season = season_of_catch(sample)
    for group in groups:
        external = entered.of(group.species, group.arm)
        try:
            check_enough(limit, group)
            if group.name in problems:
                raise problems[group.name]
            grown_here = of_name[group.name]
            known = know(study, group, limit, external, season=season, grown=grown_here)
        except (CannotEstimate, CannotJudge) as problem:
            refused[group.name] = problem
            continue
        found.append(_judge(known, limit))
    return JudgedArms(found, refused)


def _judge(known: Known, limit: LimitSelection) -> JudgedArm:
    first = limit.limits_mm[0]
    one = known.grown
    return JudgedArm(
        known=known,
        verdicts=[answer(known, limit.lines, mm) for mm in limit.limits_mm],
        line=line_of(one),
        reaching=years_to(one.curve, one.draws, first),
        fates=_fates(known, first),
    )


def _fates(known: Known, limit_mm: float) -> Fates:
    years = np.linspace(0, YEARS_ON, POINTS)
    natural, fishing = (float(np.median(rate)) for rate in (known.deaths.m, known.deaths.f))
    alive = 100 * np.exp(-(natural + fishing) * years)
    died = alive + (100 - alive) * natural / (natural + fishing)
    return Fates(years, alive, died, float(np.median(_way(known, limit_mm))))


def _way(known: Known, limit_mm: float) -> Floats:
    """Return the years from the length kept now to a limit;
    infinite for fish that never reach it.
    """
    ends, starts = known.lives.age_at(limit_mm), known.lives.age_at(known.kept_from_mm)
    way = np.full_like(ends, np.inf)
    there = np.isfinite(ends) & np.isfinite(starts)
    way[there] = ends[there] - starts[there]
    return way
