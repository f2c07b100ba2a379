"""What happens at the lab: otoliths read, ages worked out and decided."""

from samples.lab.services.ages import DECISIONS, work_out_age, work_out_ages
from samples.lab.services.checks import mark_vials_checked
from samples.lab.services.consensus_rule import set_consensus_rule
from samples.lab.services.deciding import decide, decide_age, last_decision, undo_decision
from samples.lab.services.drawing import draw_vials_read_before, set_second_percent
from samples.lab.services.errors import (
    CannotCheck,
    CannotDecide,
    CannotOpenSession,
    CannotPrepare,
    CannotRead,
    CannotWithdrawReading,
    ReadingNeedsConfirmation,
    RuleNeedsConfirmation,
    SessionClosed,
    WithdrawalNeedsConfirmation,
)
from samples.lab.services.lengths import note_length_seen
from samples.lab.services.marks import PlainFacts, mark_otolith, save_marks
from samples.lab.services.preparing import (
    add_preparation,
    add_step,
    change_preparation,
    remove_step,
    restore,
    spoil,
)
from samples.lab.services.radii import set_radii
from samples.lab.services.readings import Saved, save_reading
from samples.lab.services.sections import ask_for_section, drop_requests, open_requests
from samples.lab.services.sessions import (
    OtolithFacts,
    SessionChoice,
    close_session,
    earlier_are_hidden,
    open_session,
    save_otolith,
)
from samples.lab.services.withdrawing import withdraw_reading

__all__ = [
    "DECISIONS",
    "CannotCheck",
    "CannotDecide",
    "CannotOpenSession",
    "CannotPrepare",
    "CannotRead",
    "CannotWithdrawReading",
    "OtolithFacts",
    "PlainFacts",
    "ReadingNeedsConfirmation",
    "RuleNeedsConfirmation",
    "Saved",
    "SessionChoice",
    "SessionClosed",
    "WithdrawalNeedsConfirmation",
    "add_preparation",
    "add_step",
    "ask_for_section",
    "change_preparation",
    "close_session",
    "decide",
    "decide_age",
    "draw_vials_read_before",
    "drop_requests",
    "earlier_are_hidden",
    "last_decision",
    "mark_otolith",
    "mark_vials_checked",
    "note_length_seen",
    "open_requests",
    "open_session",
    "remove_step",
    "restore",
    "save_marks",
    "save_otolith",
    "save_reading",
    "set_consensus_rule",
    "set_radii",
    "set_second_percent",
    "spoil",
    "undo_decision",
    "withdraw_reading",
    "work_out_age",
    "work_out_ages",
]
