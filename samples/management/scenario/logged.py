"""One fish as somebody wrote it down: measured, sexed and named, with the usual slips."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final
from uuid import UUID

import numpy as np

from samples.management.scenario.records import FishRecord
from samples.management.scenario.truth import (
    ANNULUS_WINDOW,
    BLACK,
    HATCH,
    HYBRID,
    SHRINK,
    TENTH_INCH_HUNDREDTHS_MM,
    WALLEYE,
    WHITE,
    species_of,
)

_IMMATURE_BELOW_MM: Final = {WHITE: 150.0, BLACK: 145.0, HYBRID: 150.0, WALLEYE: 330.0}
# What a fish is logged as, by what it is: those left out are logged as what they are.
_MISTAKEN_FOR: Final = {
    WHITE: ((HYBRID, 0.012),),
    BLACK: ((HYBRID, 0.012),),
    HYBRID: ((WHITE, 0.05), (BLACK, 0.04)),
    WALLEYE: (),
}
_SPINES: Final = {
    WHITE: ((5, 6), (0.2, 0.8)),
    BLACK: ((7, 8), (0.55, 0.45)),
    HYBRID: ((6, 7, 8), (0.35, 0.55, 0.10)),
}
_TOLD_BY: Final = ("pattern", "spines", "both", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """Where a fish stands when it is logged; ``opened`` says that it was cut open."""

    entry_id: UUID
    party_id: UUID
    arm: str
    reach: str
    day: date
    by_net: bool
    kept_state: str
    opened: bool
    logged_at: datetime


def log_one(
    rng: np.random.Generator,
    at: Opened,
    *,
    species: str,
    length_mm: float,
    linf_mm: float,
    female: bool,
    year_class: int,
) -> FishRecord:
    """Write down one fish as the logger saw it, with the truth beside it."""
    tenths = round(length_mm * SHRINK[at.kept_state] * 100.0 / TENTH_INCH_HUNDREDTHS_MM)
    length = tenths * TENTH_INCH_HUNDREDTHS_MM
    told_by, spines = _identify(rng, at, species)
    message = _named(rng, species)
    if told_by == "genetics":
        message = species
    age = at.day.year - year_class
    return FishRecord(
        entry_id=at.entry_id,
        party_id=at.party_id,
        species=message,
        sex=_sex(rng, at, species, length_mm, female),
        length_hundredths_mm=length,
        arm=at.arm,
        reach=at.reach,
        vial_sequence=None,
        told_by=told_by,
        spines=spines,
        logged_at=at.logged_at,
        slips_confirmed=_asked_about(message, length, spines),
        true_species=species,
        true_female=female,
        true_age_yr=age,
        true_year_class=year_class,
        true_linf_mm=round(linf_mm, 2),
        laid_on=_laid_on(rng, at.day.year, age),
    )


def _named(rng: np.random.Generator, species: str) -> str:
    chance = rng.random()
    for other, share in _MISTAKEN_FOR[species]:
        if chance < share:
            return other
        chance -= share
    return species


def _identify(rng: np.random.Generator, at: Opened, species: str) -> tuple[str, int | None]:
    if species == WALLEYE:
        return "pattern", None
    if species == HYBRID and at.by_net and at.opened and rng.random() < 0.3:
        return "genetics", None
    shares = (0.45, 0.20, 0.30, 0.05) if at.opened else (0.70, 0.05, 0.10, 0.15)
    told_by = _TOLD_BY[int(np.searchsorted(np.cumsum(shares), rng.random()))]
    if told_by not in {"spines", "both"}:
        return told_by, None
    counts, likely = _SPINES[species]
    return told_by, counts[int(np.searchsorted(np.cumsum(likely), rng.random()))]


def _sex(rng: np.random.Generator, at: Opened, species: str, length_mm: float, female: bool) -> str:
    """Return the sex as seen at the knife; unopened fish and spent summer adults are not known."""
    ripe_in_net = at.by_net and at.day.month < 6 and rng.random() < 0.3
    small = length_mm < _IMMATURE_BELOW_MM[species]
    if not at.opened and (small or not ripe_in_net):
        return "U"
    if small:
        return "I"
    unclear = 0.55 if at.day.month in {7, 8, 9} else 0.07
    if rng.random() < unclear:
        return "U"
    return "F" if female else "M"


def _asked_about(species: str, length: int, spines: int | None) -> tuple[str, ...]:
    """List the questions of the form that were answered with yes."""
    kind = species_of(species)
    slips = []
    if not kind.plausible_from_hundredths_mm <= length <= kind.plausible_to_hundredths_mm:
        slips.append("length_out_of_range")
    if spines is not None and kind.spines is not None:
        fewest, most = kind.spines
        if not fewest <= spines <= most:
            slips.append("spines_do_not_fit")
    return tuple(slips)


def _laid_on(rng: np.random.Generator, year: int, age: int) -> date:
    """Draw the day on which this year's annulus shows, always inside the window.

    The first annulus shows early, before fish of the new year hatch: else a fish of age 1
    without annuli could not be told from one of age 0.
    """
    starts, ends = (date(year, *day) for day in ANNULUS_WINDOW)
    if age <= 1:
        ends = date(year, *HATCH) - timedelta(days=1)
    middle, spread = (27.0, 8.0) if age <= 1 else (39.0, 13.0)
    days = round(rng.normal(middle, spread))
    return starts + timedelta(days=min(max(days, 1), (ends - starts).days))
