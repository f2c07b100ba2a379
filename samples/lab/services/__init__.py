"""What happens at the lab: otoliths read, ages worked out and decided."""

from samples.lab.services.ages import decide_age, undo_decision, work_out_age, work_out_ages
from samples.lab.services.checks import mark_vials_checked
from samples.lab.services.drawing import draw_vials_read_before, set_second_percent
from samples.lab.services.errors import (
    CannotCheck,
    CannotDecide,
    CannotOpenSession,
    CannotRead,
    CannotWithdrawReading,
    ReadingNeedsConfirmation,
    SessionClosed,
)
from samples.lab.services.lengths import note_length_seen
from samples.lab.services.radii import set_radii
from samples.lab.services.readings import Saved, save_reading, withdraw_reading
from samples.lab.services.sessions import (
    OtolithFacts,
    SessionChoice,
    close_session,
    earlier_are_hidden,
    open_session,
    save_otolith,
)

__all__ = [
    "CannotCheck",
    "CannotDecide",
    "CannotOpenSession",
    "CannotRead",
    "CannotWithdrawReading",
    "OtolithFacts",
    "ReadingNeedsConfirmation",
    "Saved",
    "SessionChoice",
    "SessionClosed",
    "close_session",
    "decide_age",
    "draw_vials_read_before",
    "earlier_are_hidden",
    "mark_vials_checked",
    "note_length_seen",
    "open_session",
    "save_otolith",
    "save_reading",
    "set_radii",
    "set_second_percent",
    "undo_decision",
    "withdraw_reading",
    "work_out_age",
    "work_out_ages",
]
