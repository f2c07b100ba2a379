"""Entries of every kind, as written, before the database knows them. Each field stands here once.

Form, phone and spreadsheet all make these; the services know no other input. From the specs come
the server's form, the reader of payloads, the OpenAPI document, what the phone asks and refuses,
and the column heads of an import. Names on the wire are a contract with phones that may be months
old: they are added to, and none is ever given another meaning.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Annotated, Any, ClassVar
from uuid import UUID

from samples.models import HowChosen, Kept, Kind, Method, Sex, ToldBy
from samples.ramp.entry.fields import (
    choice,
    codes,
    day,
    instant,
    made_id,
    mapped,
    measured_length,
    text,
    typed_vial,
    whole_number,
)
from samples.ramp.entry.spec import specs_of
from samples.rules.vial_number import TypedVial
from samples.units import Measured

# Stands in every fingerprint. Raising it makes every entry that is sent again look changed:
# a new field enters one only where something was said of it, so leave this as it is.
FINGERPRINT_VERSION = 1
MOST_IN_A_BATCH = 50
MOST_IN_A_COUNT = 10_000
NO_VIAL = TypedVial()
ANSWERED = "Codes of the questions that were answered with yes, it is right."


def later_facts(facts: Any) -> dict[str, Any]:
    """Return what was said in fields that came after the first release, for a fingerprint."""
    later = (one for one in specs_of(type(facts)) if one.spec.since > 1)
    said = ((one.attribute, getattr(facts, one.attribute), one.default) for one in later)
    return {name: value for name, value, default in said if value != default}


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
class PartyFacts:
    """How the fish of a party came to be sampled."""

    arm: Annotated[str, text("Arm", error="Choose an arm.", heads=("arm",))]
    reach: Annotated[str, text("Reach", heads=("reach",))] = ""
    # Imported fish alone may have none.
    caught_on: Annotated[
        date | None,
        day(
            "Date caught",
            error="Enter the date the fish were caught.",
            heads=("date", "datecaught", "caughton", "catchdate"),
        ),
    ]
    method: Annotated[
        str,
        choice(
            "Method",
            Method.choices,
            error="How were they caught? Choose a method.",
            heads=("method", "gear"),
        ),
    ]
    how_chosen: Annotated[
        str,
        choice("How the fish were chosen", HowChosen.choices, error="How were the fish chosen?"),
    ]
    every_nth: Annotated[
        int | None,
        whole_number(
            "Every how many", least=2, most=100, such_as=2, hint="2 for every second fish"
        ),
    ] = None
    fish_in_box: Annotated[int | None, whole_number("Fish in the box", most=9_999, such_as=12)] = (
        None
    )
    kept: Annotated[str, choice("Kept", Kept.choices, error="Fresh, on ice or frozen?")] = (
        Kept.NOT_KNOWN.value
    )
    net_nights: Annotated[int | None, whole_number("Net nights", least=1, most=60, such_as=2)] = (
        None
    )
    net_mesh_mm: Annotated[
        int | None, whole_number("Net mesh in mm", least=1, most=500, such_as=13)
    ] = None

    def as_dict(self) -> dict[str, Any]:
        """Return the facts for a fingerprint. The names are frozen: release 1 hashed these."""
        first = (
            "arm", "reach", "caught_on", "method", "how_chosen", "every_nth", "fish_in_box",
            "kept", "net_nights", "net_mesh_mm",
        )  # fmt: skip
        return {name: getattr(self, name) for name in first} | later_facts(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartyOpened(Entry):
    """A trip, an interview or a net set begins. ``season`` is an import's own, not on the wire."""

    kind = Kind.PARTY_OPENED.value

    lake: Annotated[str, text("Lake")] = ""
    party: PartyFacts
    donor_name: Annotated[
        str, text("Donor", hint="Who gives the fish; seen by the biologist alone")
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

    kind = Kind.PARTY_CHANGED.value

    party: PartyFacts
    moved: Annotated[
        bool,
        mapped(
            "Arm change",
            {"wrong": False, "moved": True},
            error="Was the arm wrong, or did you move?",
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

    kind = Kind.PARTY_CLOSED.value

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
class FishFacts:
    """One fish."""

    vial: Annotated[
        TypedVial,
        typed_vial(
            "Vial",
            about="Empty for a fish only measured.",
            heads=("vial", "vialnumber", "vialno", "number"),
        ),
    ] = NO_VIAL
    species: Annotated[
        str,
        text(
            "Species",
            error="Choose a species.",
            about="A code of the pick lists.",
            heads=("species",),
        ),
    ]
    length: Annotated[
        Measured,
        measured_length(
            "Total length",
            about="Total length as measured, for example 9.4.",
            heads=("length", "totallength", "tl"),
        ),
    ]
    sex: Annotated[
        str, choice("Sex", Sex.choices, error="Choose a sex, or Not known.", heads=("sex",))
    ]
    spines: Annotated[
        int | None, whole_number("Spines counted on the top fin", least=1, most=30, such_as=6)
    ] = None
    told_by: Annotated[
        str,
        choice("How the species was told", ToldBy.choices, error="How was the species told?"),
    ] = ""
    weight_g: Annotated[
        int | None,
        whole_number("Weight in g", least=1, most=60_000, such_as=310, heads=("weight",)),
    ] = None
    confirmed: Annotated[tuple[str, ...], codes("Answers", about=ANSWERED)] = ()

    def as_dict(self) -> dict[str, Any]:
        """Return the facts for a fingerprint. The names are frozen: release 1 hashed these."""
        return {
            "vial": "".join(self.vial.text.split()),
            "species": self.species,
            "length": self.length.hundredths_mm,
            "unit": self.length.unit.value,
            "sex": self.sex,
            "told_by": self.told_by,
            "spines": self.spines,
            "weight": self.weight_g,
            **later_facts(self),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class FishLogged(Entry):
    """A fish, logged."""

    kind = Kind.FISH.value

    fish: FishFacts

    def facts(self) -> dict[str, Any]:
        return self.fish.as_dict()

    def vials(self) -> list[TypedVial]:
        return [self.fish.vial]


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction(Entry):
    """The whole fish as it should read. It has an id of its own and never the fish's."""

    kind = Kind.CORRECTION.value

    about_entry_id: Annotated[UUID, made_id("Fish")]
    fish: FishFacts

    def facts(self) -> dict[str, Any]:
        return {"about": str(self.about_entry_id), **self.fish.as_dict()}

    def vials(self) -> list[TypedVial]:
        return [self.fish.vial]


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal(Entry):
    """A fish, or a count of unmeasured ones, is deleted."""

    kind = Kind.WITHDRAWAL.value

    about_entry_id: Annotated[
        UUID, made_id("Fish", about="A fish, or fish counted and not measured.")
    ]

    def facts(self) -> dict[str, Any]:
        return {"about": str(self.about_entry_id)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift(Entry):
    """From one vial of the party on, every fish belongs into the next one, or the one before."""

    kind = Kind.SHIFT.value

    from_vial: Annotated[
        TypedVial,
        typed_vial(
            "First fish in the wrong vial",
            error="From which vial on? Choose the first that is wrong.",
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

    kind = Kind.UNMEASURED_COUNT.value

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

# The facts of a fish that are seldom written down, folded together below the others.
FOLDED = tuple(
    one
    for one in specs_of(FishFacts)
    if not one.is_required and one.attribute not in {"vial", "confirmed"}
)
