"""Taking in what was said at the ramp, and settling what could not be logged."""

from samples.ramp.entry.held_words import HELD_WORDS
from samples.ramp.services.answers import Answer, Outcome, Refused
from samples.ramp.services.intake import take
from samples.ramp.services.settling import (
    CannotSettle,
    give_other_number,
    give_vial,
    let_held_fish_keep_vial,
    set_aside,
    take_in,
)

__all__ = [
    "HELD_WORDS",
    "Answer",
    "CannotSettle",
    "Outcome",
    "Refused",
    "give_other_number",
    "give_vial",
    "let_held_fish_keep_vial",
    "set_aside",
    "take",
    "take_in",
]
