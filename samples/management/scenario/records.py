"""What a draw of the scenario consists of: plain records, in the order they happened."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID


@dataclass(frozen=True, slots=True, kw_only=True)
class FishRecord:
    """One fish as it was logged, and beside it what is true of it.

    ``true_linf_mm`` is the length this fish would level off at, ``laid_on`` the day this
    year's annulus shows. ``slips_confirmed`` holds codes of questions that were answered "yes,
    it is right".
    """

    entry_id: UUID
    party_id: UUID
    species: str
    sex: str
    length_hundredths_mm: int
    arm: str
    reach: str
    vial_sequence: int | None
    told_by: str
    spines: int | None
    logged_at: datetime
    slips_confirmed: tuple[str, ...]
    true_species: str
    true_female: bool
    true_age_yr: int
    true_year_class: int
    true_linf_mm: float
    laid_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class UnmeasuredRecord:
    """Fish of a party that were counted and not measured."""

    entry_id: UUID
    species: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NetSet:
    """How the nets of one set stood; the place is the party's arm and reach."""

    sets: int
    nights: int
    mesh_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PartyRecord:
    """One trip of one boat, or one net set, with its fish in the order of logging.

    A donor is a person's key; a creel interview has a key of its own instead; a net set has
    neither. ``closed_count`` counts vials in hand; both closing fields are None where the
    party was left open or had no vials.
    """

    party_id: UUID
    season_year: int
    arm: str
    reach: str
    caught_on: date
    cleaned_on: date
    method: str
    how_chosen: str
    every_nth: int | None
    fish_in_box: int | None
    kept_state: str
    donor: str | None
    interview_key: str | None
    logged_by: str
    opened_at: datetime
    closed_at: datetime | None
    closed_count: int | None
    last_sequence: int | None
    net: NetSet | None
    unmeasured: tuple[UnmeasuredRecord, ...]
    fish: tuple[FishRecord, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelRunRecord:
    """Labels printed in one go, both ends included."""

    season_year: int
    printed_on: date
    printed_by: str
    first_sequence: int
    last_sequence: int


@dataclass(frozen=True, slots=True, kw_only=True)
class KitRecord:
    """Vials handed to a person, both ends included."""

    season_year: int
    first_sequence: int
    last_sequence: int
    issued_to: str
    issued_on: date
    issued_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VialFate:
    """What had become of a printed vial by the last day.

    A date is None where that has not happened. ``state`` is the last state reached. A vial
    with ``received_on`` and no ``logged_fish`` came in without a log.
    """

    season_year: int
    sequence: int
    state: str
    logged_fish: UUID | None
    issued_to: str | None
    issued_on: date | None
    received_on: date | None
    content: str | None
    clearing_from: date | None
    ready_on: date | None
    read_on: date | None
    archived_on: date | None
    box: str | None
    slot: int | None
    gone_on: date | None
    gone_why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRecord:
    """One reading of one otolith; readability is 1 clear, 2 fair or 3 poor.

    Radii are from the nucleus, one an annulus; they and the edge stand only where the
    picture was measured.
    """

    season_year: int
    sequence: int
    reader: str
    read_at: datetime
    annuli: int
    margin: int | None
    side: str
    method: str
    light: str
    readability: int
    blind: bool
    radii_um: tuple[int, ...]
    edge_um: int | None
    note: str
    true_error_yr: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionRecord:
    """How the biologist settled a contested vial; no age means left unresolved."""

    season_year: int
    sequence: int
    age_yr: int | None
    how: str
    note: str
    decided_by: str
    decided_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class ClashRecord:
    """Two logs that claim one vial: the later one is held.

    ``right_sequence`` is the vial the second fish really lies in. Open clashes have no
    ``settled_on``.
    """

    season_year: int
    sequence: int
    first_entry_id: UUID
    second_entry_id: UUID
    right_sequence: int
    settled_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """Everything drawn, in time order; the true values are in ``truth``."""

    seed: int
    today: date
    label_runs: tuple[LabelRunRecord, ...]
    kits: tuple[KitRecord, ...]
    parties: tuple[PartyRecord, ...]
    vials: tuple[VialFate, ...]
    readings: tuple[ReadingRecord, ...]
    decisions: tuple[DecisionRecord, ...]
    clashes: tuple[ClashRecord, ...]
