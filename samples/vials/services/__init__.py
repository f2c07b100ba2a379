"""What happens to vials: printed, handed out, taken in, set aside."""

from samples.vials.services.hands import Issued, TakenBack, issue, take_back
from samples.vials.services.locked import MOST_AT_ONCE
from samples.vials.services.marks import bring_back, mark_lost, void_vials
from samples.vials.services.receiving import Received, change_content, receive
from samples.vials.services.refused import (
    CannotIssue,
    CannotMakeRun,
    CannotMark,
    CannotReceive,
    CannotSetPrinter,
    CannotSetWidth,
    CannotTakeBack,
    VialsRefused,
)
from samples.vials.services.runs import MOST_LABELS, make_run, set_number_width, set_printer

__all__ = [
    "MOST_AT_ONCE",
    "MOST_LABELS",
    "CannotIssue",
    "CannotMakeRun",
    "CannotMark",
    "CannotReceive",
    "CannotSetPrinter",
    "CannotSetWidth",
    "CannotTakeBack",
    "Issued",
    "Received",
    "TakenBack",
    "VialsRefused",
    "bring_back",
    "change_content",
    "issue",
    "make_run",
    "mark_lost",
    "receive",
    "set_number_width",
    "set_printer",
    "take_back",
    "void_vials",
]
