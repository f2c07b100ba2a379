"""What happens at the lab: otoliths read, ages worked out and decided."""

from samples.lab.services.ages import decide_age, undo_decision, work_out_age, work_out_ages
from samples.lab.services.checks import mark_vials_checked
from samples.lab.services.errors import (
    CannotCheck,
    CannotDecide,
    CannotRead,
    CannotWithdrawReading,
    ReadingNeedsConfirmation,
)
from samples.lab.services.lengths import note_length_seen
from samples.lab.services.marks import PlainFacts, save_marks
from samples.lab.services.profile import Profile, profile_of
from samples.lab.services.radii import set_radii
from samples.lab.services.readings import Saved, save_reading, withdraw_reading

__all__ = [
    "CannotCheck",
    "CannotDecide",
    "CannotRead",
    "CannotWithdrawReading",
    "PlainFacts",
    "Profile",
    "ReadingNeedsConfirmation",
    "Saved",
    "decide_age",
    "mark_vials_checked",
    "note_length_seen",
    "profile_of",
    "save_marks",
    "save_reading",
    "set_radii",
    "undo_decision",
    "withdraw_reading",
    "work_out_age",
    "work_out_ages",
]
