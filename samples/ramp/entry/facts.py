"""The facts of a trip and of a fish. Each field stands here once.

From the specs come the server's form, the reader of payloads, the OpenAPI document, what the phone
shows and refuses, the columns of the tables and the column heads of an import. Names on the wire
are a contract with phones that may be months old: they are added to, and none is ever given
another meaning.
"""

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any

from samples.models import HowChosen, Method, Preservation, Sex, ToldBy
from samples.models.fish import LONGEST_NOTE, LONGEST_TAG
from samples.ramp.entry.fields import (
    choice,
    codes,
    day,
    measured_length,
    text,
    typed_vial,
    whole_number,
)
from samples.ramp.entry.spec import specs_of
from samples.rules.vial_number import TypedVial
from samples.units import Measured

NO_VIAL = TypedVial()
ANSWERED = "Codes of the questions that were answered with yes, it is right."


def later_facts(facts: Any) -> dict[str, Any]:
    """Return what was said in fields that came after the first release, for a fingerprint."""
    later = (one for one in specs_of(type(facts)) if one.spec.since > 1)
    values = ((one.attribute, getattr(facts, one.attribute), one.default) for one in later)
    return {name: value for name, value, default in values if value != default}


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
            error="Choose a method.",
            heads=("method", "gear"),
        ),
    ]
    how_chosen: Annotated[
        str,
        choice(
            "How the fish were chosen", HowChosen.choices, error="Choose how the fish were chosen."
        ),
    ]
    every_nth: Annotated[
        int | None,
        whole_number(
            "Sampling interval", least=2, most=100, such_as=2, hint="2 for every second fish"
        ),
    ] = None
    fish_in_box: Annotated[int | None, whole_number("Fish in the box", most=9_999, such_as=12)] = (
        None
    )
    kept: Annotated[
        str, choice("Preservation", Preservation.choices, error="Fresh, on ice or frozen?")
    ] = Preservation.NOT_KNOWN.value
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
        choice(
            "How the species was identified",
            ToldBy.choices,
            error="How was the species identified?",
        ),
    ] = ""
    weight_g: Annotated[
        int | None,
        whole_number("Weight in g", least=1, most=60_000, such_as=310, heads=("weight",)),
    ] = None
    tag_number: Annotated[
        str,
        text(
            "Tag number",
            most=LONGEST_TAG,
            hint="as on the fish's tag",
            since=3,
            heads=("tag", "tagnumber", "tagno"),
        ),
    ] = ""
    note: Annotated[
        str,
        text(
            "Note",
            most=LONGEST_NOTE,
            hint="such as a scar or a swollen belly",
            since=3,
            heads=("note", "notes", "comment", "comments", "remarks"),
        ),
    ] = ""
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


# The facts of a fish that are seldom written down, folded together below the others.
FOLDED = tuple(
    one
    for one in specs_of(FishFacts)
    if not one.is_required and one.attribute not in {"vial", "confirmed"}
)
