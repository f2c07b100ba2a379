"""What can be said from the ramp: entries of every kind, as said, before the database knows them.

Form, phone and spreadsheet all make these; the services know no other input.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, ClassVar
from uuid import UUID

from samples.models import Kind
from samples.units import Measured

# Stands in every fingerprint. Raising it makes every entry that is sent again look changed:
# put a new fact in only where something was said of it, and leave this as it is.
FINGERPRINT_VERSION = 1
MOST_IN_A_BATCH = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing said. ``said`` keeps the words as they came."""

    kind: ClassVar[str]

    entry_id: UUID
    party_id: UUID
    said_at: datetime
    said: Mapping[str, Any] = field(default_factory=dict)

    def facts(self) -> dict[str, Any]:
        """What was said, without clocks: the same facts make the same fingerprint."""
        raise NotImplementedError

    def fingerprint(self) -> str:
        facts = {"kind": self.kind, "version": FINGERPRINT_VERSION, "party": str(self.party_id)}
        text = json.dumps(facts | self.facts(), sort_keys=True, default=str)
        return hashlib.sha256(text.encode()).hexdigest()

    def vial_texts(self) -> list[str]:
        """Every vial number named, so that its row can be locked before it is decided on."""
        return []


@dataclass(frozen=True, slots=True, kw_only=True)
class PartyFacts:
    """How the fish of a party came to be sampled, as said."""

    arm: str
    reach: str = ""
    caught_on: date | None
    method: str
    how_chosen: str
    every_nth: int | None = None
    fish_in_box: int | None = None
    kept: str = "not_known"
    net_nights: int | None = None
    net_mesh_mm: int | None = None

    def as_dict(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in self.__slots__}


@dataclass(frozen=True, slots=True, kw_only=True)
class PartyOpened(Entry):
    kind = Kind.PARTY_OPENED.value

    lake: str
    party: PartyFacts
    donor_name: str = ""
    interview_key: str = ""
    season: str = ""
    confirmed: tuple[str, ...] = ()

    def facts(self) -> dict[str, Any]:
        return {
            "lake": self.lake,
            "donor": self.donor_name,
            "interview": self.interview_key,
            **self.party.as_dict(),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class PartyChanged(Entry):
    """``moved``: the boat went on to another arm. Else the party was written down wrongly.

    ``reopens``: a party that was closed goes on. It stands in the fingerprint only where it was
    said, so that changes of older phones keep theirs.
    """

    kind = Kind.PARTY_CHANGED.value

    party: PartyFacts
    moved: bool = False
    confirmed: tuple[str, ...] = ()
    reopens: bool = False

    def facts(self) -> dict[str, Any]:
        reopens = {"reopens": True} if self.reopens else {}
        return {"moved": self.moved, **self.party.as_dict(), **reopens}


@dataclass(frozen=True, slots=True, kw_only=True)
class PartyClosed(Entry):
    kind = Kind.PARTY_CLOSED.value

    count_in_hand: int | None
    last_number: str = ""

    def facts(self) -> dict[str, Any]:
        return {"count": self.count_in_hand, "last": self.last_number}


@dataclass(frozen=True, slots=True, kw_only=True)
class FishFacts:
    """One fish, as said."""

    vial: str
    species: str
    measured: Measured
    sex: str
    told_by: str = ""
    spines: int | None = None
    weight_g: int | None = None
    confirmed: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        return {
            "vial": "".join(self.vial.split()),
            "species": self.species,
            "length": self.measured.hundredths_mm,
            "unit": self.measured.unit.value,
            "sex": self.sex,
            "told_by": self.told_by,
            "spines": self.spines,
            "weight": self.weight_g,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class FishLogged(Entry):
    kind = Kind.FISH.value

    fish: FishFacts

    def facts(self) -> dict[str, Any]:
        return self.fish.as_dict()

    def vial_texts(self) -> list[str]:
        return [self.fish.vial]


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction(Entry):
    """The whole fish as it should read. It has an id of its own and never the fish's."""

    kind = Kind.CORRECTION.value

    about_entry_id: UUID
    fish: FishFacts

    def facts(self) -> dict[str, Any]:
        return {"about": str(self.about_entry_id), **self.fish.as_dict()}

    def vial_texts(self) -> list[str]:
        return [self.fish.vial]


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal(Entry):
    kind = Kind.WITHDRAWAL.value

    about_entry_id: UUID

    def facts(self) -> dict[str, Any]:
        return {"about": str(self.about_entry_id)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift(Entry):
    """From one vial of the party on, every fish belongs into the next one, or the one before."""

    kind = Kind.SHIFT.value

    from_vial: str
    by: int

    def facts(self) -> dict[str, Any]:
        return {"from": self.from_vial, "by": self.by}


@dataclass(frozen=True, slots=True, kw_only=True)
class UnmeasuredCounted(Entry):
    kind = Kind.UNMEASURED_COUNT.value

    species: str
    count: int

    def facts(self) -> dict[str, Any]:
        return {"species": self.species, "count": self.count}
