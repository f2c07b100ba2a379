"""Ingest of entries from the ramp, and settling of what could not be logged."""

from samples.ramp.entry.held_words import HELD_WORDS
from samples.ramp.services.answers import Answer, Outcome, Refused
from samples.ramp.services.applying import CannotSettle
from samples.ramp.services.intake import ingest
from samples.ramp.services.passing import TryLater
from samples.ramp.services.paste import PasteResult, ingest_pasted
from samples.ramp.services.photos import MOST_BYTES as MOST_PHOTO_BYTES
from samples.ramp.services.photos import CannotKeepPhoto, keep_photo
from samples.ramp.services.resolving import (
    apply_as_written,
    apply_second_version,
    bring_vial_back,
    give_trip,
    save_as_written,
)
from samples.ramp.services.settling import (
    assign_vial,
    give_other_number,
    let_both_wait,
    let_held_fish_keep_vial,
    set_aside,
)

__all__ = [
    "HELD_WORDS",
    "MOST_PHOTO_BYTES",
    "Answer",
    "CannotKeepPhoto",
    "CannotSettle",
    "Outcome",
    "PasteResult",
    "Refused",
    "TryLater",
    "apply_as_written",
    "apply_second_version",
    "assign_vial",
    "bring_vial_back",
    "give_other_number",
    "give_trip",
    "ingest",
    "ingest_pasted",
    "keep_photo",
    "let_both_wait",
    "let_held_fish_keep_vial",
    "save_as_written",
    "set_aside",
]
