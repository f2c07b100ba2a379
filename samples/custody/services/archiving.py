"""Vials put into the boxes of the archive, taken out and brought back.

The box's row is locked first, then the vial's: two people who fill one box take turns.
"""

from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction

from samples.custody import rules
from samples.custody.queries import box_named, in_box, open_place, slots_taken, whereabouts
from samples.custody.services.errors import CannotArchive
from samples.models import OUT_OF_USE, ArchiveBox, Lake, Reading, User, Vial, out_of_dried_trays
from samples.models.signing import save_signed
from samples.rules.vial_moves import ARCHIVE, TAKE_OUT
from samples.rules.vial_number import grouped
from samples.vials.services.locked import change
from samples.vials.services.scanning import check_is_last, locked_scan, put_back

_COLUMNS = [
    *("state", "box", "archive_box", "archive_slot"),
    *("archived_at", "archived_by", "taken_out_at", "taken_out_by"),
]


@dataclass(frozen=True, slots=True)
class InBox:
    """A vial in its slot; ``first_time`` is false for one that had been scanned before."""

    vial: Vial
    slot: str
    first_time: bool
    # Brought back to the slot that it was taken from.
    is_back: bool = False


def make_box(
    *, lake: Lake, name: str, rows: int, columns: int, place: str, actor: User, now: datetime
) -> ArchiveBox:
    """Add a box to the archive. Sent twice, as by a double click, it is the same box.

    :raises CannotArchive: if the lake has a box of this name
    """
    with transaction.atomic():
        Lake.objects.select_for_update().get(pk=lake.pk)
        if known := box_named(lake, name):
            asked = (name, rows, columns, place, actor.pk)
            made = (known.name, known.rows, known.columns, known.place, known.made_by_id)
            if made == asked and now - known.made_at < rules.SENT_TWICE_WITHIN:
                return known
            raise CannotArchive(
                "box_exists",
                f"There is a box {name} already. Write another name on this one.",
                "name",
            )
        box = ArchiveBox(
            lake=lake,
            name=name,
            rows=rows,
            columns=columns,
            place=place,
            made_by=actor,
            made_at=now,
        )
        save_signed(box, actor=actor, now=now)
        return box


def set_place(*, box: ArchiveBox, place: str, actor: User, now: datetime) -> None:
    """Note where a box is kept now."""
    box.place = place
    save_signed(box, actor=actor, now=now, fields=["place"])


@transaction.atomic
def put_in_box(
    *,
    box: ArchiveBox,
    number: str,
    slot: str = "",
    proposed: str = "",
    unread: bool = False,
    move: bool = False,
    actor: User,
    now: datetime,
) -> InBox:
    """Put one vial into a box by its number or its last digits, as scanned or typed.

    It goes to ``slot``; the next free one is taken where none is named, or where the slot that
    was ``proposed`` went to another vial meanwhile. A vial that was taken out of this box goes
    back to its own, and one that an old record names in it to that of the record. ``unread``
    archives one that nobody has read, ``move`` one of another box. One that is in the box already
    stays, and a record of it that contradicts itself is mended.

    :raises CannotArchive: saying what to do instead
    """
    box = ArchiveBox.objects.select_for_update(of=("self",)).select_related("lake").get(pk=box.pk)
    expected = Vial.objects.filter(lake_id=box.lake_id, state__in=ARCHIVE.starts)
    vial = locked_scan(box.lake, number, expected, CannotArchive)
    own = _own_slot(box, vial)
    if vial.state == Vial.State.ARCHIVED and vial.box_id == box.pk and _is_sound(box, vial, own):
        return InBox(vial, vial.archive_slot, first_time=False)
    _check_vial(box, vial, unread=unread, move=move)
    wanted = slot.strip()
    stays = bool(own) and wanted in {"", proposed, vial.archive_slot}
    is_back = stays and vial.state != Vial.State.ARCHIVED
    free = own if stays else _free_slot(box, vial, wanted, proposed)
    vial.state, vial.box = Vial.State.ARCHIVED, box
    vial.archive_box, vial.archive_slot = box.name, free
    vial.archived_at, vial.archived_by = now, actor
    vial.taken_out_at = vial.taken_out_by = None
    change([vial], _COLUMNS, actor=actor, now=now)
    return InBox(vial, free, first_time=True, is_back=is_back)


def _own_slot(box: ArchiveBox, vial: Vial) -> str:
    """Return the slot that a vial has in this box by its record; nothing where it has none."""
    if not _belongs_in(box, vial):
        return ""
    slot = rules.read_slot(vial.archive_slot, box.rows, box.columns) or ""
    return "" if slot in slots_taken(box, but=vial) else slot


def _belongs_in(box: ArchiveBox, vial: Vial) -> bool:
    """Return whether a vial has its place in this box, by an old record that only names it too."""
    if vial.box_id is None:
        return vial.archive_box.lower() == box.name.lower()
    return vial.box_id == box.pk


def _is_sound(box: ArchiveBox, vial: Vial, own: str) -> bool:
    is_out = vial.taken_out_at is not None
    return vial.archive_slot == own and vial.archive_box == box.name and not is_out


def _check_vial(box: ArchiveBox, vial: Vial, *, unread: bool, move: bool) -> None:
    words = grouped(vial.number)
    if vial.state == Vial.State.ARCHIVED and not move and _lies_elsewhere(box, vial):
        raise CannotArchive(
            "other_box",
            f"{words} is already {whereabouts(vial)}. Put it back there, or move it here.",
            number=vial.number,
            remedy="move",
        )
    if vial.state != Vial.State.ARCHIVED and (
        refusal := ARCHIVE.refusal(vial.state, vial=words, where=whereabouts(vial))
    ):
        raise CannotArchive(f"is_{vial.state}", refusal, number=vial.number)
    _check_dry(vial)
    if vial.box_id and vial.box_id != box.pk and not move:
        raise CannotArchive(
            "belongs_elsewhere",
            f"{words} belongs{in_box(vial)}. Bring it back there, or move it here.",
            number=vial.number,
            remedy="move",
        )
    is_unread = vial.box_id is None and vial.state != Vial.State.ARCHIVED
    if is_unread and not unread and not Reading.objects.filter(vial=vial).exists():
        raise CannotArchive(
            "not_read",
            f"{words} has no reading yet. Set it aside to be read, or archive it unread.",
            number=vial.number,
            remedy="unread",
        )


def _lies_elsewhere(box: ArchiveBox, vial: Vial) -> bool:
    """Return whether a vial's record names another box: one that names none may go to any."""
    has_place = bool(vial.box_id or vial.archive_box)
    return has_place and not _belongs_in(box, vial)


def _check_dry(vial: Vial) -> None:
    place = open_place(vial)
    if place is not None and place.tray.has_medium:
        raise CannotArchive(
            "in_medium",
            f"{grouped(vial.number)} is still in its medium in tray {place.tray.name}. Rinse and "
            "dry the tray first.",
            number=vial.number,
        )


def _free_slot(box: ArchiveBox, vial: Vial, wanted: str, proposed: str) -> str:
    """Return the slot that a vial goes to.

    :raises CannotArchive: if the box is full, or has no such slot, or it is taken
    """
    taken = slots_taken(box, but=vial)
    start = rules.read_slot(wanted, box.rows, box.columns) if wanted else ""
    free = rules.next_free(box.rows, box.columns, taken, start or "")
    if free is None:
        raise CannotArchive(
            "box_full",
            f"Box {box.name} is full: {box.rows * box.columns} vials. Add a new box for "
            f"{grouped(vial.number)}.",
            number=vial.number,
        )
    if start is None:
        raise CannotArchive(
            "no_such_slot",
            f"Box {box.name} has no slot {wanted}. Type row and number, such as {free}.",
            "slot",
            number=vial.number,
            remedy="slot",
            slot=free,
        )
    if start in taken and wanted != proposed:
        raise CannotArchive(
            "slot_taken",
            f"Slot {start} is taken by {grouped(taken[start])}. The next free slot is {free}.",
            "slot",
            number=vial.number,
            remedy="slot",
            slot=free,
        )
    return free


@transaction.atomic
def undo_archive(*, box: ArchiveBox, number: str, actor: User, now: datetime) -> InBox:
    """Undo the last scan of this person into a box: the vial is where it was before.

    ``number`` is the vial that was shown as the last one.

    :raises CannotArchive: if there is none in the box, or it is another
    """
    box = ArchiveBox.objects.select_for_update().get(pk=box.pk)
    mine = box.vials.select_for_update().filter(archived_by=actor, state=Vial.State.ARCHIVED)
    vial = mine.order_by("-archived_at", "-pk").first()
    if vial is None:
        raise CannotArchive("nothing_to_undo", f"You have scanned no vial into box {box.name}.")
    check_is_last(number, vial, CannotArchive)
    slot = vial.archive_slot
    put_back(vial, _COLUMNS)
    if vial.box_id and vial.archive_slot in slots_taken(vial.box, but=vial):  # type: ignore[arg-type]
        raise _slot_given_away(vial)
    try:
        with transaction.atomic():
            change([vial], _COLUMNS, actor=actor, now=now)
    except IntegrityError as problem:  # somebody is filling the box that it came from
        raise _slot_given_away(vial) from problem
    return InBox(vial, slot, first_time=False)


def _slot_given_away(vial: Vial) -> CannotArchive:
    return CannotArchive(
        "moved_on",
        f"The slot from which {grouped(vial.number)} came was given to another vial. Move it by "
        "scanning it into its box.",
        number=vial.number,
    )


@transaction.atomic
def take_out(*, lake: Lake, number: str, actor: User, now: datetime) -> Vial:
    """Take one vial out of its box; its slot is kept for it.

    :raises CannotArchive: if it is in no box
    """
    expected = Vial.objects.filter(lake=lake, state__in=TAKE_OUT.starts)
    vial = locked_scan(lake, number, expected, CannotArchive)
    words = grouped(vial.number)
    if vial.taken_out_at is not None and vial.state not in {Vial.State.ARCHIVED, *OUT_OF_USE}:
        raise CannotArchive(
            "out_already",
            f"{words} is already out: it was taken out by {vial.taken_out_by}.",
            number=vial.number,
        )
    if refusal := TAKE_OUT.refusal(vial.state, vial=words, where=whereabouts(vial)):
        raise CannotArchive(f"is_{vial.state}", refusal, number=vial.number)
    vial.state = _state_out_of_its_box(vial)
    if vial.box_id:
        vial.taken_out_at, vial.taken_out_by = now, actor
    change([vial], ["state", "taken_out_at", "taken_out_by"], actor=actor, now=now)
    return vial


def _state_out_of_its_box(vial: Vial) -> Vial.State:
    """Return read, or for one that nobody read how far it had come before it was archived."""
    if Reading.objects.filter(vial=vial).exists():
        return Vial.State.READ
    aside = [Vial.State.ARCHIVED, Vial.State.LOST, Vial.State.VOID]
    earlier = vial.history.exclude(state__in=aside).order_by("-history_date", "-history_id").first()
    state = out_of_dried_trays(vial, Vial.State(earlier.state)) if earlier else Vial.State.RECEIVED
    return state if state == Vial.State.READY else Vial.State.RECEIVED


@transaction.atomic
def bring_back_to_slot(*, lake: Lake, number: str, actor: User, now: datetime) -> InBox:
    """Put a vial that was taken out back into the slot that was kept for it.

    :raises CannotArchive: if it was not taken out of a box
    """
    expected = Vial.objects.filter(lake=lake, taken_out_at__isnull=False)
    vial = locked_scan(lake, number, expected, CannotArchive)
    words = grouped(vial.number)
    if vial.state == Vial.State.ARCHIVED and vial.box_id:
        return InBox(vial, vial.archive_slot, first_time=False)
    if vial.box_id is None or vial.taken_out_at is None:
        raise CannotArchive(
            "not_out",
            f"{words} was not taken out of a box: it is {whereabouts(vial)}. Open a box to archive "
            "it.",
            number=vial.number,
        )
    if refusal := ARCHIVE.refusal(vial.state, vial=words, where=whereabouts(vial)):
        raise CannotArchive(f"is_{vial.state}", refusal, number=vial.number)
    _check_dry(vial)
    vial.state, vial.archived_at, vial.archived_by = Vial.State.ARCHIVED, now, actor
    vial.taken_out_at = vial.taken_out_by = None
    change([vial], _COLUMNS, actor=actor, now=now)
    return InBox(vial, vial.archive_slot, first_time=True, is_back=True)
