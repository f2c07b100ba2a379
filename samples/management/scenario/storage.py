"""Trays and boxes of the demo's laboratory, for vials whose days are known."""

from collections.abc import Callable, Iterable
from datetime import date, datetime, timedelta

from samples.custody.rules import USUAL_MEDIUM, slots_of
from samples.models import ArchiveBox, ClearingTray, Lake, TrayPlace, User, Vial

BOX_SIDE = 9
_SLOTS = tuple(slots_of(BOX_SIDE, BOX_SIDE))


def slot_name(place: int) -> str:
    """Return the name of a slot by its place in the box, from 1."""
    return _SLOTS[place - 1]


def box_named(lake: Lake, name: str, *, by: User, now: datetime) -> ArchiveBox:
    """Return the box of a name, made when the first vial goes into it."""
    box, _ = ArchiveBox.objects.get_or_create(
        lake=lake,
        name=name,
        defaults={
            "rows": BOX_SIDE,
            "columns": BOX_SIDE,
            "place": "Cold room, shelf 2",
            "made_by": by,
            "made_at": now,
        },
    )
    return box


def put_in_trays(lake: Lake, *, by: User, at: Callable[[date], datetime]) -> None:
    """Lay every vial that is clearing or ready into a tray, those of a week together.

    ``at`` gives the time of a day at which that was done.
    """
    waiting = Vial.objects.filter(
        lake=lake, state__in=[Vial.State.CLEARING, Vial.State.READY], clearing_from__isnull=False
    ).order_by("clearing_from", "number")
    weeks: dict[date, list[Vial]] = {}
    for vial in waiting:
        day = vial.clearing_from
        if day is not None:
            weeks.setdefault(day - timedelta(days=day.weekday()), []).append(vial)
    for count, vials in enumerate(_trays_of(weeks.values()), start=1):
        _fill(lake, f"C-{count}", vials, by=by, at=at)


def _trays_of(weeks: Iterable[list[Vial]]) -> Iterable[list[Vial]]:
    for vials in weeks:
        for start in range(0, len(vials), 50):
            yield vials[start : start + 50]


def _fill(
    lake: Lake, name: str, vials: list[Vial], *, by: User, at: Callable[[date], datetime]
) -> None:
    first = min(vial.clearing_from for vial in vials if vial.clearing_from)
    tray = ClearingTray.objects.create(
        lake=lake,
        name=name,
        glycerin_parts=USUAL_MEDIUM.glycerin_parts,
        ethanol_parts=USUAL_MEDIUM.ethanol_parts,
        size=50,
        started_on=first,
        ready_on=USUAL_MEDIUM.ready_on(first),
        rinse_by=USUAL_MEDIUM.rinse_by(first),
        started_by=by,
        started_at=at(first),
    )
    TrayPlace.objects.bulk_create(
        TrayPlace(
            tray=tray,
            place=place,
            vial=vial,
            scanned_by=by,
            scanned_at=at(vial.clearing_from or first) + timedelta(seconds=4 * place),
        )
        for place, vial in enumerate(vials, start=1)
    )
