"""What happens to vials: printed, handed out, taken in, set aside."""

from samples.vials.services.errors import (
    CannotIssue,
    CannotKeepStock,
    CannotMakeRun,
    CannotMark,
    CannotReceive,
    CannotReprint,
    CannotReturnVials,
    CannotSetPrinter,
    CannotSetWidth,
    ScanRefused,
    VialsRefused,
)
from samples.vials.services.issuing import Issued, LeftHands, issue, return_vials, unused_in_hands
from samples.vials.services.locked import MOST_AT_ONCE
from samples.vials.services.marks import bring_back, mark_lost, void_vials
from samples.vials.services.printing import (
    check_printed,
    draw_labels,
    first_print_of,
    is_kept,
    kept_file,
    reprint,
)
from samples.vials.services.receiving import Received, change_content, receive, undo_receive
from samples.vials.services.runs import MOST_LABELS, check_numbers_left, make_run, set_number_width
from samples.vials.services.sheets import SheetStart
from samples.vials.services.stocks import check_stock, keep_stock, retire_stock, set_printer

__all__ = [
    "MOST_AT_ONCE",
    "MOST_LABELS",
    "CannotIssue",
    "CannotKeepStock",
    "CannotMakeRun",
    "CannotMark",
    "CannotReceive",
    "CannotReprint",
    "CannotReturnVials",
    "CannotSetPrinter",
    "CannotSetWidth",
    "Issued",
    "LeftHands",
    "Received",
    "ScanRefused",
    "SheetStart",
    "VialsRefused",
    "bring_back",
    "change_content",
    "check_numbers_left",
    "check_printed",
    "check_stock",
    "draw_labels",
    "first_print_of",
    "is_kept",
    "issue",
    "keep_stock",
    "kept_file",
    "make_run",
    "mark_lost",
    "receive",
    "reprint",
    "retire_stock",
    "return_vials",
    "set_number_width",
    "set_printer",
    "undo_receive",
    "unused_in_hands",
    "void_vials",
]
