"""Boxes of old records laid out on a map: each vial gets the slot that its record means."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from samples.custody.queries import box_named, laid_out, vials_of_unmapped
from samples.custody.services.errors import CannotArchive
from samples.models import ArchiveBox, Lake, User, Vial
from samples.models.signing import save_signed
from samples.vials.services.locked import change


@dataclass(frozen=True, slots=True)
class OnMap:
    """The box that has a map now, and how many of its vials are on it and how many are not."""

    box: ArchiveBox
    count: int
    left: int


def planned_box(lake: Lake, name: str, *, rows: int, columns: int, place: str) -> ArchiveBox:
    """Return the box of this name, or one that could be made of it."""
    return box_named(lake, name) or ArchiveBox(
        lake=lake, name=name, rows=rows, columns=columns, place=place
    )


@transaction.atomic
def map_box(
    *,
    lake: Lake,
    name: str,
    rows: int,
    columns: int,
    place: str = "",
    down: bool = False,
    actor: User,
    now: datetime,
) -> OnMap:
    """Lay the archived vials of a box that is noted in words alone into the slots of a map.

    A box of the name that has a map already keeps its rows and slots. Vials whose slot is
    unclear stay as they were noted.

    :raises CannotArchive: if no vial of the box would have a slot
    """
    Lake.objects.select_for_update().get(pk=lake.pk)
    box = planned_box(lake, name, rows=rows, columns=columns, place=place)
    if box.pk:
        box = ArchiveBox.objects.select_for_update(of=("self",)).get(pk=box.pk)
    vials = vials_of_unmapped(Vial.objects.select_for_update(of=("self",)).filter(lake=lake), name)
    laid = [one for one in laid_out(vials, box, down=down) if one.slot]
    if not laid:
        raise CannotArchive(
            "none_fits",
            f"No vial of box {name} has a slot on a map of {box.rows} x {box.columns}. Scan each "
            "into the slot that it lies in.",
            "rows",
        )
    if not box.pk:
        box.made_by, box.made_at = actor, now
        save_signed(box, actor=actor, now=now)
    for one in laid:
        one.vial.box, one.vial.archive_box, one.vial.archive_slot = box, box.name, one.slot
    moved = [one.vial for one in laid]
    change(moved, ["box", "archive_box", "archive_slot"], actor=actor, now=now)
    return OnMap(box, len(moved), len(vials) - len(moved))
