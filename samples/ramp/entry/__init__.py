"""What can be said from the ramp, and how it is read from the words that came."""

from samples.ramp.entry.kinds import (
    MOST_IN_A_BATCH,
    Correction,
    Entry,
    FishFacts,
    FishLogged,
    PartyChanged,
    PartyClosed,
    PartyFacts,
    PartyOpened,
    Shift,
    UnmeasuredCounted,
    Withdrawal,
)
from samples.ramp.entry.pasted import Found, announced_in, entries_in, told_shortly, vials_told_in
from samples.ramp.entry.words import SCHEMA, Unreadable, entry_id_of, read

__all__ = [
    "MOST_IN_A_BATCH",
    "SCHEMA",
    "Correction",
    "Entry",
    "FishFacts",
    "FishLogged",
    "Found",
    "PartyChanged",
    "PartyClosed",
    "PartyFacts",
    "PartyOpened",
    "Shift",
    "UnmeasuredCounted",
    "Unreadable",
    "Withdrawal",
    "announced_in",
    "entries_in",
    "entry_id_of",
    "read",
    "told_shortly",
    "vials_told_in",
]
