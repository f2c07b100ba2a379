"""What becomes of an entry, as plain values: its answer, and what to write."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from uuid import UUID

from samples.ramp.entry import (
    Correction,
    Entry,
    FishLogged,
    PartyChanged,
    PartyClosed,
    PartyOpened,
    UnmeasuredCounted,
)
from samples.ramp.services.answers import Answer
from samples.ramp.services.known import KnownFish, KnownTrip


@dataclass(frozen=True, slots=True)
class LogFish:
    entry: FishLogged
    fish: KnownFish
    trip: KnownTrip
    species: int


@dataclass(frozen=True, slots=True)
class CorrectFish:
    entry: Correction
    species: int
    vial: str | None


@dataclass(frozen=True, slots=True)
class WithdrawFish:
    entry_id: UUID


@dataclass(frozen=True, slots=True)
class WithdrawCount:
    entry_id: UUID


@dataclass(frozen=True, slots=True)
class MoveFish:
    """Fish and the number of the vial that each belongs into: all leave theirs, then move."""

    numbers: Mapping[UUID, str]


@dataclass(frozen=True, slots=True)
class OpenTrip:
    entry: PartyOpened
    trip: KnownTrip


@dataclass(frozen=True, slots=True)
class ChangeTrip:
    entry: PartyChanged
    trip: KnownTrip


@dataclass(frozen=True, slots=True)
class CloseTrip:
    entry: PartyClosed


@dataclass(frozen=True, slots=True)
class CountFish:
    entry: UnmeasuredCounted
    species: int


@dataclass(frozen=True, slots=True)
class KeepEntry:
    """Keep the entry itself, word for word: it is how a second sending is recognised."""

    entry: Entry
    party_id: UUID | None
    lake: int | None
    fish: UUID | None = None


@dataclass(frozen=True, slots=True)
class HoldEntry:
    """Keep an entry word for word until an office settles it."""

    entry: Entry
    reason: str
    lake: int | None
    party_id: UUID | None = None
    vial: str | None = None


Change = (
    LogFish
    | CorrectFish
    | WithdrawFish
    | WithdrawCount
    | MoveFish
    | OpenTrip
    | ChangeTrip
    | CloseTrip
    | CountFish
    | KeepEntry
    | HoldEntry
)


@dataclass(frozen=True, slots=True)
class Decision:
    """What becomes of one entry."""

    answer: Answer
    changes: tuple[Change, ...] = field(default=())
