"""Archived vials of old records: their box is noted in words, and has no map or no such slot."""

from collections import Counter
from dataclasses import dataclass

from django.db.models import Count, Min, Q, QuerySet
from django.db.models.functions import Lower

from samples.custody.queries.boxes import slots_taken
from samples.custody.rules import slot_on_map
from samples.models import ArchiveBox, Lake, Vial


@dataclass(frozen=True, slots=True)
class UnmappedBox:
    """A box that is known by name alone, or the vials of which not even that is known."""

    name: str
    count: int


@dataclass(frozen=True, slots=True)
class Laid:
    """A vial of an old record, and the slot that it has on a map; none where that is unclear."""

    vial: Vial
    slot: str = ""


def without_a_map(vials: QuerySet[Vial]) -> QuerySet[Vial]:
    """Leave the vials that are archived, or were, and have a place in words alone."""
    return vials.filter(Q(state=Vial.State.ARCHIVED) | ~Q(archive_box=""), box__isnull=True)


def unmapped_boxes(vials: QuerySet[Vial]) -> list[UnmappedBox]:
    """List the boxes of old records by name."""
    rows = (
        without_a_map(vials)
        .annotate(key=Lower("archive_box"))
        .values("key")
        .annotate(name=Min("archive_box"), count=Count("pk"))
        .order_by("key")
        .values_list("name", "count")
    )
    return [UnmappedBox(name, count) for name, count in rows]


def count_unmapped(vials: QuerySet[Vial], name: str) -> int:
    """Count the vials that old records name in this box, and that no map holds."""
    return _unmapped_in(vials, name).count()


def _unmapped_in(vials: QuerySet[Vial], name: str) -> QuerySet[Vial]:
    return without_a_map(vials).filter(archive_box__iexact=name)


def vials_of_unmapped(vials: QuerySet[Vial], name: str) -> list[Vial]:
    """List the vials of one box of old records, by their slots."""
    found = _unmapped_in(vials, name).order_by("pk")
    return sorted(found, key=lambda vial: (not vial.archive_slot, _in_order(vial.archive_slot)))


def _in_order(slot: str) -> tuple[str, int, str]:
    """Return a key by which C9 comes before C10, and 9 before 10."""
    letters, digits = slot.rstrip("0123456789"), slot[len(slot.rstrip("0123456789")) :]
    return letters, int(digits or 0), slot


def box_named(lake: Lake, name: str) -> ArchiveBox | None:
    """Return the box of a lake that has a map and this name."""
    return ArchiveBox.objects.filter(lake=lake, name__iexact=name).first()


def laid_out(vials: list[Vial], box: ArchiveBox, *, down: bool) -> list[Laid]:
    """Return where each vial lies on the map of a box, that is not kept yet or is.

    Two that would lie in one slot, and one whose slot another has, are left without.
    """
    meant = {
        vial.pk: slot
        for vial in vials
        if vial.state == Vial.State.ARCHIVED
        and (slot := slot_on_map(vial.archive_slot, box.rows, box.columns, down=down))
    }
    times = Counter(meant.values())
    taken = _slots_of_others(box, vials)
    clear = {pk: slot for pk, slot in meant.items() if times[slot] == 1 and slot not in taken}
    return [Laid(vial, clear.get(vial.pk, "")) for vial in vials]


def _slots_of_others(box: ArchiveBox, vials: list[Vial]) -> set[str]:
    if box._state.adding:
        return set()
    numbers = {vial.number for vial in vials}
    return {slot for slot, number in slots_taken(box).items() if number not in numbers}
