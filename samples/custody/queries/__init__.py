"""Where vials are in the laboratory and its archive."""

from samples.custody.queries.boxes import (
    BoxRow,
    archive_index,
    box_rows,
    last_archived,
    proposed_slot,
    slots_of_box,
    slots_taken,
    taken_out,
    tally_of_box,
    waiting_to_archive,
)
from samples.custody.queries.hands import Holder, holders, unused_vials
from samples.custody.queries.media import MediumRow, media_of
from samples.custody.queries.places import in_box, open_place, open_places, whereabouts
from samples.custody.queries.trays import (
    Cell,
    Tally,
    TrayRow,
    cells_of,
    last_scan,
    tally_of,
    tray_counted,
    tray_rows,
    waiting_to_clear,
)
from samples.custody.queries.unmapped import (
    Laid,
    UnmappedBox,
    box_named,
    laid_out,
    unmapped_boxes,
    vials_of_unmapped,
)

__all__ = [
    "BoxRow",
    "Cell",
    "Holder",
    "Laid",
    "MediumRow",
    "Tally",
    "TrayRow",
    "UnmappedBox",
    "archive_index",
    "box_named",
    "box_rows",
    "cells_of",
    "holders",
    "in_box",
    "laid_out",
    "last_archived",
    "last_scan",
    "media_of",
    "open_place",
    "open_places",
    "proposed_slot",
    "slots_of_box",
    "slots_taken",
    "taken_out",
    "tally_of",
    "tally_of_box",
    "tray_counted",
    "tray_rows",
    "unmapped_boxes",
    "unused_vials",
    "vials_of_unmapped",
    "waiting_to_archive",
    "waiting_to_clear",
    "whereabouts",
]
