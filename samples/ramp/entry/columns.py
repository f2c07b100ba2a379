"""Facts as columns of the tables, and rows as payloads again.

A fact is kept in the column of its own name; the few that are kept otherwise are named here.
"""

from typing import Any

from samples.models import Fish, Party
from samples.ramp.entry.facts import FishFacts, PartyFacts
from samples.ramp.entry.spec import specs_of

LONGEST_VIAL_NUMBER = 20
NOT_AS_THEY_ARE = {
    FishFacts: {"vial", "species", "length", "confirmed"},
    PartyFacts: {"arm", "reach"},
}


def plain_columns(facts: FishFacts | PartyFacts) -> dict[str, Any]:
    """Return the facts that are kept in a column of their own name."""
    return {name: getattr(facts, name) for name in _plain_names(type(facts))}


def fish_columns(facts: FishFacts) -> dict[str, Any]:
    """Return the columns that hold what was said of a fish, all but its species and its vial."""
    return {
        **plain_columns(facts),
        "length_hundredths_mm": facts.length.hundredths_mm,
        "length_as_measured": facts.length.as_measured,
        "length_unit_as_measured": facts.length.unit.value,
        "vial_number_said": facts.vial.text[:LONGEST_VIAL_NUMBER],
        "slip_answers": sorted(facts.confirmed),
    }


def payload_of_fish(fish: Fish) -> dict[str, Any]:
    """Return a fish on record as the payload that would log it."""
    return {
        "vial": fish.vial.number if fish.vial else "",
        "species": fish.species.code,
        "length": fish.length_as_measured,
        "unit": fish.length_unit_as_measured,
        **{name: getattr(fish, name) for name in _plain_names(FishFacts)},
        "confirmed": fish.slip_answers,
    }


def payload_of_party(party: Party) -> dict[str, Any]:
    """Return a trip on record as the payload that would open it; its date stays a date."""
    return {
        "lake": party.lake.slug,
        "arm": party.arm.name,
        "reach": party.reach.name if party.reach else "",
        **{name: getattr(party, name) for name in _plain_names(PartyFacts)},
    }


def _plain_names(kind: type[FishFacts | PartyFacts]) -> list[str]:
    names = (one.attribute for one in specs_of(kind))
    return [name for name in names if name not in NOT_AS_THEY_ARE[kind]]
