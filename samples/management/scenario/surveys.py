"""What surveys found beside the sampled fish: tags, creel, natural death, death after release.

The surveys are invented like the lake. Tags are drawn from what is true of each arm; the other
figures are what a careful survey would have come to.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from samples.management.scenario.draw import SEED
from samples.management.scenario.truth import (
    ARMS,
    BLACK,
    CRAPPIES,
    WALLEYE,
    WHITE,
    SimulatedStock,
)

# Beside the streams of the fish and vials, so that those stay as they are.
_STREAM: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Tagging:
    """How white crappie of keeping size are tagged, and what becomes of the tags.

    ``reporting`` is what is really sent back of the tags that anglers find; the survey only
    knows that it lies between ``reporting_least`` and ``reporting_most``.
    """

    tags_out: tuple[int, ...]
    reporting: float
    reporting_least: float
    reporting_most: float
    tags_kept: float
    survived: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CreelTruth:
    """White crappie in the creel of an arm in an ordinary season."""

    angler_hours: int
    caught_per_hour: float
    released: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseTruth:
    """Released fish that die of it, in percent: least, middle, most."""

    species: tuple[str, ...]
    when: str
    percent: tuple[int, int, int]


BASIN_SURVEY: Final = "Tarrow Basin fisheries survey, 2019"
OLDER_SURVEY: Final = "Tarrow Basin crappie review, 2008"
RELEASE_STUDY: Final = "Tarrow Basin holding-pen study, 2021"
TAGGING_REPORT: Final = "Lake Orrinbeck tagging report"
CREEL_REPORT: Final = "Lake Orrinbeck creel survey"

# The one arm whose fish die young, as a study of its own found.
DEADLY_ARM: Final = "Sallow"
SURVEY_MARGIN: Final = 5
KILL_STUDY: Final = "Sallow arm fish kill study, 2023"
DEADLY_PERCENT: Final = (46, 55, 64)

# What an earlier review thought of white crappie, in percent; kept, and no longer in use.
OLDER_NATURAL_DEATH: Final = (25, 40, 60)
OLDEST_YEARS: Final[dict[str, int]] = {WHITE: 11, BLACK: 12, WALLEYE: 19}

# Tags out in each arm, season by season; what is reported is the same in all arms.
TAGGING: Final = Tagging(
    tags_out=(180, 200, 210),
    reporting=0.62,
    reporting_least=0.50,
    reporting_most=0.75,
    tags_kept=0.93,
    survived=0.97,
)

# Anglers release more where few fish are large enough: see each arm's size that is kept.
CREEL: Final[dict[str, CreelTruth]] = {
    "Brindle": CreelTruth(angler_hours=21_500, caught_per_hour=0.85, released=0.28),
    "Cutbank": CreelTruth(angler_hours=4_200, caught_per_hour=1.10, released=0.46),
    "Hobbin": CreelTruth(angler_hours=3_100, caught_per_hour=1.30, released=0.71),
    "Sallow": CreelTruth(angler_hours=6_800, caught_per_hour=0.80, released=0.44),
    "Tarrow": CreelTruth(angler_hours=7_900, caught_per_hour=0.95, released=0.52),
}

RELEASE_DEATH: Final[tuple[ReleaseTruth, ...]] = (
    ReleaseTruth(species=CRAPPIES, when="Spring, less than 15 ft down", percent=(3, 8, 15)),
    ReleaseTruth(species=CRAPPIES, when="Summer, more than 30 ft down", percent=(25, 45, 70)),
    ReleaseTruth(species=(WALLEYE,), when="Spring, less than 15 ft down", percent=(1, 4, 9)),
    ReleaseTruth(species=(WALLEYE,), when="Summer, more than 30 ft down", percent=(12, 28, 50)),
)


def taken_in_a_year(stock: SimulatedStock) -> float:
    """Return the share of fish of keeping size that anglers take in a year: F A / Z."""
    total = stock.f_per_yr + stock.m_per_yr
    return float(stock.f_per_yr * -np.expm1(-total) / total)


def draw_tag_returns(seed: int = SEED) -> dict[tuple[str, int], int]:
    """Draw how many tags came back, by arm and season, counted from 0."""
    rng = np.random.Generator(np.random.PCG64([seed, _STREAM]))
    comes_back = TAGGING.survived * TAGGING.tags_kept * TAGGING.reporting
    return {
        (arm.name, season): int(rng.binomial(out, comes_back * taken_in_a_year(arm.stock(WHITE))))
        for season, out in enumerate(TAGGING.tags_out)
        for arm in ARMS
    }


def natural_death_percent(species: str) -> tuple[int, int, int]:
    """Return least, middle and most as a survey of many lakes would: wider than these arms are."""
    arms = [arm for arm in ARMS if arm.name != DEADLY_ARM]
    rates = np.array([arm.stock(species).m_per_yr for arm in arms])
    percent = -100 * np.expm1(-np.quantile(rates, (0, 0.5, 1)))
    least, middle, most = (round(float(one)) for one in percent)
    return least - SURVEY_MARGIN, middle, most + SURVEY_MARGIN


def creel_in_season(arm: str, season: int) -> CreelTruth:
    """Return what an arm's survey of a season found: effort grows a little from year to year."""
    ordinary = CREEL[arm]
    return CreelTruth(
        angler_hours=100 * round(ordinary.angler_hours * (0.95 + 0.05 * season) / 100),
        caught_per_hour=ordinary.caught_per_hour,
        released=ordinary.released,
    )
