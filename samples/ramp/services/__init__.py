"""Taking in what was said at the ramp, and settling what could not be logged."""

from samples.ramp.entry.held_words import HELD_WORDS
from samples.ramp.services.answers import Answer, Outcome, Refused
from samples.ramp.services.applying import CannotSettle
from samples.ramp.services.intake import take
from samples.ramp.services.passing import TryLater
from samples.ramp.services.paste import Pasted, take_pasted
from samples.ramp.services.resolving import (
    bring_vial_back,
    give_trip,
    save_as_written,
    take_in,
    take_new_words,
)
from samples.ramp.services.settling import (
    give_other_number,
    give_vial,
    let_both_wait,
    let_held_fish_keep_vial,
    set_aside,
)

__all__ = [
    "HELD_WORDS",
    "Answer",
    "CannotSettle",
    "Outcome",
    "Pasted",
    "Refused",
    "TryLater",
    "bring_vial_back",
    "give_other_number",
    "give_trip",
    "give_vial",
    "let_both_wait",
    "let_held_fish_keep_vial",
    "save_as_written",
    "set_aside",
    "take",
    "take_in",
    "take_new_words",
    "take_pasted",
]
