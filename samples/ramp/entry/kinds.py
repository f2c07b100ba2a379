"""Entries of every kind, as written, before the database knows them.

Form, phone and spreadsheet all make these; the services know no other input. What a field takes
stands beside it, as for the facts of a trip and of a fish in `facts`.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Any, ClassVar
from uuid import UUID

from samples.models import EntryKind
from samples.ramp.entry.facts import ANSWERED, FishFacts, PartyFacts, later_facts
from samples.ramp.entry.fields import (
    codes,
    instant,
    made_id,
    mapped,
    text,
    typed_vial,
    whole_number,
)
from samples.rules.vial_number import TypedVial

# Stands in every fingerprint. Raising it makes every entry that is sent again look changed:
# a new field enters one only where something was said of it, so leave this as it is.
FINGERPRINT_VERSION = 1
MOST_IN_A_BATCH = 50
MOST_IN_A_COUNT = 10_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing written down. ``payload`` keeps it as it came."""

    kind: ClassVar[str]

    entry_id: Annotated[UUID, made_id("Entry", about="Made on the phone; never used again.")]
    party_id: Annotated[UUID, made_id("Trip", about="Made on the phone when the party is opened.")]
    written_at: Annotated[
        datetime, instant("Written on the phone", about="By the phone's clock, with its offset.")
    ]
    payload: Mapping[str, Any] = field(default_factory=dict)

    def facts(self) -> dict[str, Any]:
        """Return what was said, without clocks: the same facts make the same fingerprint."""
        raise NotImplementedError

    def fingerprint(self) -> str:
        """Return a digest of the facts, by which a second sending is recognised."""
        facts = {"kind": self.kind, "version": FINGERPRINT_VERSION, "party": str(self.party_id)}
        content = json.dumps(facts | self.facts() | later_facts(self), sort_keys=True, default=str)
        return hashlib.sha256(content.encode()).hexdigest()

    def vials(self) -> list[TypedVial]:
        """Return every vial that is named, so that its row can be locked first."""
        return []


@dataclass(frozen=True, slots=True, kw_only=True)
class PartyOpened(Entry):
    """A trip, an interview or a net set begins. ``season`` is an import's own, not on the wire."""

    kind = EntryKind.PARTY_OPENED.value

    lake: Annotated[str, text("Lake")] = ""
    party: PartyFacts
    donor_name: Annotated[
        str, text("Donor", hint="Who donated the fish; only the biologist sees it")
    ] = ""
    interview_key: Annotated[str, text("Interview key", most=40, hint="Instead of a name")] = ""
    season: str = ""
    confirmed: Annotated[tuple[str, ...], codes("Answers", about=ANSWERED)] = ()

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

    ``reopens``: a party that was closed goes on.
    """

    kind = EntryKind.PARTY_CHANGED.value

    party: PartyFacts
    moved: Annotated[
        bool,
        mapped(
            "Arm change",
            {"wrong": False, "moved": True},
            error="Choose: wrong arm, or moved.",
            word="arm_change",
        ),
    ] = False
    confirmed: Annotated[tuple[str, ...], codes("Answers", about=ANSWERED)] = ()
    reopens: Annotated[
        bool,
        mapped(
            "Reopen",
            {"yes": True},
            error="Write yes where the trip goes on.",
            word="reopen",
            since=2,
            about="The party was closed, and goes on.",
        ),
    ] = False

    def facts(self) -> dict[str, Any]:
        return {"moved": self.moved, **self.party.as_dict()}


@dataclass(frozen=True, slots=True, kw_only=True)
class PartyClosed(Entry):
    """The trip ends, with the vials that were counted."""

    kind = EntryKind.PARTY_CLOSED.value

    count_in_hand: Annotated[
        int | None,
        whole_number(
            "Filled vials",
            most=9_999,
            error="Count the vials with otoliths in your hand, such as 13.",
        ),
    ] = None
    last_number: Annotated[
        str,
        text(
            "Last vial",
            most=20,
            hint="Number on the vial filled last; its last digits are enough",
        ),
    ] = ""

    def facts(self) -> dict[str, Any]:
        return {"count": self.count_in_hand, "last": self.last_number}


@dataclass(frozen=True, slots=True, kw_only=True)
class FishLogged(Entry):
    """A fish, logged."""

    kind = EntryKind.FISH.value

    fish: FishFacts

    def facts(self) -> dict[str, Any]:
        return self.fish.as_dict()

    def vials(self) -> list[TypedVial]:
        return [self.fish.vial]


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction(Entry):
    """The whole fish as it should read. It has an id of its own and never the fish's."""

    kind = EntryKind.CORRECTION.value

    about_entry_id: Annotated[UUID, made_id("Fish")]
    fish: FishFacts

    def facts(self) -> dict[str, Any]:
        return {"about": str(self.about_entry_id), **self.fish.as_dict()}

    def vials(self) -> list[TypedVial]:
        return [self.fish.vial]


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal(Entry):
    """A fish, or a count of unmeasured ones, is deleted."""

    kind = EntryKind.WITHDRAWAL.value

    about_entry_id: Annotated[
        UUID, made_id("Fish", about="A fish, or fish counted and not measured.")
    ]

    def facts(self) -> dict[str, Any]:
        return {"about": str(self.about_entry_id)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift(Entry):
    """From one vial of the party on, every fish belongs into the next one, or the one before."""

    kind = EntryKind.SHIFT.value

    from_vial: Annotated[
        TypedVial,
        typed_vial(
            "First fish in the wrong vial",
            error="Choose the first fish in the wrong vial.",
        ),
    ]
    offset: Annotated[
        int,
        mapped(
            "Move each fish to",
            {"1": 1, "-1": -1},
            error="Choose the next vial or the vial before.",
            word="by",
            choices=(("1", "The next vial"), ("-1", "The vial before")),
            limits={"type": "integer", "enum": [1, -1]},
        ),
    ]

    def facts(self) -> dict[str, Any]:
        return {"from": self.from_vial.text, "by": self.offset}


@dataclass(frozen=True, slots=True, kw_only=True)
class UnmeasuredCounted(Entry):
    """Fish of a species that were counted and not measured."""

    kind = EntryKind.UNMEASURED_COUNT.value

    species: Annotated[str, text("Species", about="A code of the pick lists.")] = ""
    count: Annotated[
        int,
        whole_number("How many", least=1, most=MOST_IN_A_COUNT, such_as=12),
    ]

    def facts(self) -> dict[str, Any]:
        return {"species": self.species, "count": self.count}


KINDS: dict[str, type[Entry]] = {
    one.kind: one
    for one in (
        PartyOpened,
        PartyChanged,
        PartyClosed,
        FishLogged,
        Correction,
        Withdrawal,
        Shift,
        UnmeasuredCounted,
    )
}
