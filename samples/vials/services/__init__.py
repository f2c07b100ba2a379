"""What happens to vials: printed, handed out, taken in, set aside."""

from samples.vials.services.errors import (
    CannotIssue,
    CannotMakeRun,
    CannotMark,
    CannotReceive,
    CannotReturnVials,
    CannotSetPrinter,
    CannotSetWidth,
    ScanRefused,
    VialsRefused,
)
from samples.vials.services.issuing import Issued, ReturnedVials, issue, return_vials
from samples.vials.services.locked import MOST_AT_ONCE
from samples.vials.services.marks import bring_back, mark_lost, void_vials
from samples.vials.services.receiving import Received, change_content, receive, undo_receive
from samples.vials.services.runs import MOST_LABELS, make_run, set_number_width, set_printer

__all__ = [
    "MOST_AT_ONCE",
    "MOST_LABELS",
    "CannotIssue",
    "CannotMakeRun",
    "CannotMark",
    "CannotReceive",
    "CannotReturnVials",
    "CannotSetPrinter",
    "CannotSetWidth",
    "Issued",
    "Received",
    "ReturnedVials",
    "ScanRefused",
    "VialsRefused",
    "bring_back",
    "change_content",
    "issue",
    "make_run",
    "mark_lost",
    "receive",
    "return_vials",
    "set_number_width",
    "set_printer",
    "undo_receive",
    "void_vials",
]
