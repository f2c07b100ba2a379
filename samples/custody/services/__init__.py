"""What happens to vials in batches: cleared, archived, taken out, handed on."""

from samples.custody.services.archiving import (
    InBox,
    bring_back_to_slot,
    make_box,
    put_in_box,
    set_place,
    take_out,
    undo_archive,
)
from samples.custody.services.clearing import (
    InTray,
    Readied,
    dry_tray,
    mark_ready,
    put_in_tray,
    start_tray,
    undo_scan,
)
from samples.custody.services.errors import (
    CannotArchive,
    CannotChangeHands,
    CannotClear,
)
from samples.custody.services.hands import check_leaving, lose, pass_on
from samples.custody.services.mapping import OnMap, map_box, planned_box
from samples.custody.services.media import forget_medium, set_medium

__all__ = [
    "CannotArchive",
    "CannotChangeHands",
    "CannotClear",
    "InBox",
    "InTray",
    "OnMap",
    "Readied",
    "bring_back_to_slot",
    "check_leaving",
    "dry_tray",
    "forget_medium",
    "lose",
    "make_box",
    "map_box",
    "mark_ready",
    "pass_on",
    "planned_box",
    "put_in_box",
    "put_in_tray",
    "set_medium",
    "set_place",
    "start_tray",
    "take_out",
    "undo_archive",
    "undo_scan",
]
