"""Vials with the fish logged in them and what was found inside, as plain values."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

from samples.accounts.selectors import fish_counted
from samples.lab.queries import species_at
from samples.lab.rules import VIAL_CHECKED, calendar_of
from samples.models import Lake, LakeSpecies, Reading
from samples.rules.ageing import CannotAge
from samples.rules.season_days import SpeciesCalendar
from samples.science.swapped_vials import FEWEST_FISH

DAYS_PER_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class VialContents:
    """The fish logged for a vial, and the age and size of the otolith in it.

    Attributes
    ----------
    part : float
        Years from the birthday to the capture in the year of capture.
    age_years : int or None
        None where nobody read it, or its readers differ.
    edge_um : int
        Radius of the otolith; 0 where it was not measured.
    is_checked : bool
        Somebody looked at the vial since it was read and found it right.
    """

    vial_id: int
    number: str
    season_id: int
    sequence: int
    party_id: int
    species_id: int
    species: str
    arm_id: int
    arm: str
    caught_on: date | None
    length_hundredths_mm: int
    part: float
    age_years: int | None
    edge_um: int
    is_checked: bool

    @property
    def length_mm(self) -> float:
        return self.length_hundredths_mm / 100


def contents_at(lake: Lake) -> list[VialContents]:
    """Return every vial of a lake that a fish is logged for, in order of season and number."""
    rows = list(
        fish_counted(lake)
        .filter(vial__isnull=False)
        .order_by("vial__season_id", "vial__sequence")
        .values_list(
            "vial_id",
            "vial__number",
            "vial__season_id",
            "vial__sequence",
            "party_id",
            "species_id",
            "species__name",
            "arm_id",
            "arm__name",
            "caught_on",
            "length_hundredths_mm",
            "age__age_years",
        )
    )
    radii: dict[int, int] = {}
    checked: set[int] = set()
    calendars: dict[int, SpeciesCalendar] = {}
    if (
        max(Counter(row[5] for row in rows if row[11] is not None).values(), default=0)
        >= FEWEST_FISH
    ):
        # Of fewer nothing is compared, so that there is nothing more to look up.
        radii, checked = _read_at(lake)
        calendars = {pk: _calendar(row) for pk, row in species_at(lake).items()}
    usual = SpeciesCalendar()
    return [
        VialContents(
            *row[:11],
            part=_part(row[9], calendars.get(row[5], usual)),
            age_years=row[11],
            edge_um=radii.get(row[0], 0),
            is_checked=row[0] in checked,
        )
        for row in rows
    ]


def _calendar(row: LakeSpecies) -> SpeciesCalendar:
    try:
        return calendar_of(row)
    except CannotAge:
        return SpeciesCalendar()


def _part(caught_on: date | None, calendar: SpeciesCalendar) -> float:
    if caught_on is None:
        return 0.0
    return (caught_on - calendar.hatch.on(caught_on.year)).days / DAYS_PER_YEAR


def _read_at(lake: Lake) -> tuple[dict[int, int], set[int]]:
    """Return the newest radius of each measured otolith, and the vials checked since all readings.

    A reading of another count or reader that came after the check opens it again.
    """
    rows = (
        Reading.objects.filter(vial__lake=lake)
        .order_by("sitting_on", "read_at", "pk")
        .values_list("vial_id", "edge_um", "slip_answers")
    )
    radii: dict[int, int] = {}
    open_again: dict[int, bool] = {}
    for vial, edge_um, answers in rows:
        if edge_um is not None:
            radii[vial] = edge_um
        open_again[vial] = open_again.get(vial, False) or VIAL_CHECKED not in answers
    return radii, {vial for vial, is_open in open_again.items() if not is_open}
