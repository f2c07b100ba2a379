"""Entries from the ramp, and how they are read from the payloads that came."""

from samples.ramp.entry.columns import payload_of_fish, payload_of_party
from samples.ramp.entry.facts import FOLDED, FishFacts, PartyFacts
from samples.ramp.entry.json_schema import facts_schema_of, fields_for_phone, schema_of
from samples.ramp.entry.kinds import (
    KINDS,
    MOST_IN_A_BATCH,
    Correction,
    Entry,
    FishLogged,
    PartyChanged,
    PartyClosed,
    PartyOpened,
    Shift,
    UnmeasuredCounted,
    Withdrawal,
)
from samples.ramp.entry.pasted import (
    PastedEntry,
    announced_in,
    entries_in,
    summarize_entry,
    vials_of_fish,
)
from samples.ramp.entry.reader import SCHEMA, Unreadable, entry_id_of, read
from samples.ramp.entry.spec import EntryField, Spec, all_specs_of, specs_of

__all__ = [
    "FOLDED",
    "KINDS",
    "MOST_IN_A_BATCH",
    "SCHEMA",
    "Correction",
    "Entry",
    "EntryField",
    "FishFacts",
    "FishLogged",
    "PartyChanged",
    "PartyClosed",
    "PartyFacts",
    "PartyOpened",
    "PastedEntry",
    "Shift",
    "Spec",
    "UnmeasuredCounted",
    "Unreadable",
    "Withdrawal",
    "all_specs_of",
    "announced_in",
    "entries_in",
    "entry_id_of",
    "facts_schema_of",
    "fields_for_phone",
    "payload_of_fish",
    "payload_of_party",
    "read",
    "schema_of",
    "specs_of",
    "summarize_entry",
    "vials_of_fish",
]
