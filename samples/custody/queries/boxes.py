"""Boxes of the archive: which slots are taken, by what, and what waits to be put in."""

from dataclasses import dataclass
from string import ascii_uppercase

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from samples.custody.parts import IndexLine, Slot
from samples.custody.queries.trays import MOST_MISSING, Tally
from samples.custody.rules import next_free, slots_of
from samples.models import ArchiveBox, Lake, Reading, TrayPlace, User, Vial
from samples.vials.queries import MOST_LISTED, Listed


@dataclass(frozen=True, slots=True)
class BoxRow:
    """A box and how full it is."""

    box: ArchiveBox
    count: int
    out: int

    @property
    def free(self) -> int:
        return max(0, self.box.rows * self.box.columns - self.count)


def in_the_box(box: ArchiveBox) -> QuerySet[Vial]:
    """Return the vials that have a slot of a box, those of old records by its name."""
    by_name = Q(box__isnull=True, lake=box.lake_id, archive_box__iexact=box.name)
    return Vial.objects.filter(Q(box=box) | by_name & ~Q(archive_slot=""))


def slots_taken(box: ArchiveBox, *, but: Vial | None = None) -> dict[str, str]:
    """Return the slots of a box that are not free, each with the number of its vial."""
    vials = in_the_box(box)
    if but is not None:
        vials = vials.exclude(pk=but.pk)
    return dict(vials.values_list("archive_slot", "number"))


def box_rows(lake: Lake) -> list[BoxRow]:
    """List the boxes of a lake, the newest first."""
    out = Q(vials__taken_out_at__isnull=False)
    boxes = ArchiveBox.objects.filter(lake=lake).annotate(
        count=Count("vials"), out=Count("vials", filter=out)
    )
    return [BoxRow(box, box.count, box.out) for box in boxes.order_by("-made_at", "-pk")]


def slots_of_box(box: ArchiveBox, last: Vial | None = None) -> list[tuple[str, list[Slot]]]:
    """Return a box row by row, each slot with what is in it."""
    found = {
        slot: (number, taken_out_at, state)
        for slot, number, taken_out_at, state in in_the_box(box).values_list(
            "archive_slot", "number", "taken_out_at", "state"
        )
    }

    def slot(name: str) -> Slot:
        if name not in found:
            return Slot(name)
        number, taken_out_at, state = found[name]
        if last is not None and number == last.number:
            return Slot(name, number, "last")
        if state != Vial.State.ARCHIVED:
            return Slot(name, number, "out" if taken_out_at else "missing")
        return Slot(name, number, "filled")

    return [
        (row, [slot(f"{row}{column}") for column in range(1, box.columns + 1)])
        for row in ascii_uppercase[: box.rows]
    ]


def proposed_slot(box: ArchiveBox, after: str = "") -> str:
    """Return the next free slot of a box, from a slot on; nothing if it is full."""
    return next_free(box.rows, box.columns, slots_taken(box), after) or ""


def last_archived(box: ArchiveBox, person: User) -> Vial | None:
    """Return the last vial that a person scanned into a box."""
    mine = box.vials.filter(archived_by=person, state=Vial.State.ARCHIVED)
    return mine.order_by("-archived_at", "-pk").first()


def tally_of_box(box: ArchiveBox, last: Vial | None) -> Tally:
    """Count what is archived of the tray that the last vial scanned was cleared in."""
    place = (
        TrayPlace.objects.filter(vial=last)
        .select_related("tray")
        .order_by("-scanned_at", "-pk")
        .first()
        if last
        else None
    )
    if place is None:
        on_map = list(slots_of(box.rows, box.columns))
        here = in_the_box(box).filter(state=Vial.State.ARCHIVED, archive_slot__in=on_map)
        return Tally(here.count(), "in this box")
    of_tray = Vial.objects.filter(tray_places__tray=place.tray)
    missing = of_tray.exclude(state=Vial.State.ARCHIVED).order_by("tray_places__place")
    numbers = list(missing.values_list("number", flat=True))
    total = of_tray.count()
    return Tally(
        total - len(numbers),
        f"of {total} in tray {place.tray.name}",
        total,
        numbers[:MOST_MISSING],
        max(0, len(numbers) - MOST_MISSING),
    )


def waiting_to_archive(vials: QuerySet[Vial]) -> QuerySet[Vial]:
    """Return the vials that are read and in no box, and not in medium either."""
    in_medium = TrayPlace.objects.filter(vial=OuterRef("pk"), tray__dried_on__isnull=True).exclude(
        tray__glycerin_parts=0, tray__ethanol_parts=0
    )
    read = vials.filter(state=Vial.State.READ, box__isnull=True)
    return read.filter(~Exists(in_medium), Exists(Reading.objects.filter(vial=OuterRef("pk"))))


def taken_out(vials: QuerySet[Vial]) -> Listed:
    """List the vials that are out of their boxes, the longest out first."""
    out = vials.filter(taken_out_at__isnull=False)
    rows = out.select_related("taken_out_by").order_by("taken_out_at", "pk")
    return Listed(list(rows[:MOST_LISTED]), out.count())


def archive_index(vials: QuerySet[Vial]) -> list[IndexLine]:
    """Return where every archived vial is kept, in order of their numbers."""
    kept = vials.filter(Q(box__isnull=False) | Q(state=Vial.State.ARCHIVED))
    rows = kept.order_by("number").values_list(
        "number", "archive_box", "archive_slot", "box__place", "taken_out_at"
    )
    return [
        IndexLine(number, box, slot, place or "", taken_out_at is not None)
        for number, box, slot, place, taken_out_at in rows
    ]
