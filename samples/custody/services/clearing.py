"""Trays of vials put to clear, made ready to read, rinsed and dried.

The rows of the trays are locked first, in order of their keys, then the vial's: two people who
scan into one tray take turns.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import transaction
from django.db.models import Exists, OuterRef, QuerySet

from samples.custody import rules
from samples.custody.queries import last_scan, open_places, whereabouts
from samples.custody.rules import Medium
from samples.custody.services.errors import CannotClear
from samples.models import (
    WITHOUT_AN_OTOLITH,
    ClearingTray,
    Fish,
    Lake,
    Reading,
    Species,
    TrayPlace,
    User,
    Vial,
)
from samples.models.signing import save_signed
from samples.rules.lake_time import local_day
from samples.rules.vial_moves import CLEAR, MAKE_READY
from samples.rules.vial_number import grouped
from samples.vials.services.locked import change, locked_vial
from samples.vials.services.scanning import check_is_last, put_back, scanned_number

LONGEST_AGO = timedelta(days=366)
_COLUMNS = ["state", "clearing_from", "ready_on"]
_IN_A_TRAY = {Vial.State.CLEARING, Vial.State.READY, Vial.State.READ}


@dataclass(frozen=True, slots=True)
class InTray:
    """A vial in its place; ``first_time`` is false for one that had been scanned before."""

    vial: Vial
    place: int
    first_time: bool
    moved_from: ClearingTray | None = None
    fish: Fish | None = None


@dataclass(frozen=True, slots=True)
class Readied:
    """How many vials became ready, and how many of the tray have to clear on."""

    count: int
    still_clearing: int


def start_tray(
    *,
    lake: Lake,
    name: str,
    medium: Medium,
    preparation: str,
    species: Species | None = None,
    size: int = rules.TRAY_SIZE,
    started_on: date,
    actor: User,
    now: datetime,
    today: date,
) -> ClearingTray:
    """Begin a tray of this name, with its medium. Sent twice, it is the same tray.

    :raises CannotClear: if a tray of the name is still in use, or the day is not to be believed
    """
    if not today - LONGEST_AGO <= started_on <= today:
        when = "in the future" if started_on > today else "more than a year ago"
        raise CannotClear(
            "not_the_day", f"This day is {when}. Enter the day the tray started.", "started_on"
        )
    with transaction.atomic():
        # Locked, so that two trays of a name are not begun at once.
        Lake.objects.select_for_update().get(pk=lake.pk)
        if known := ClearingTray.objects.filter(
            lake=lake, name__iexact=name, dried_on=None
        ).first():
            asked = (name, species, preparation, size, started_on, actor.pk)
            if _as_asked(known) == asked and now - known.started_at < rules.SENT_TWICE_WITHIN:
                return known
            raise CannotClear(
                "tray_in_use",
                f"Tray {name} is still in use. Open it to add vials, or rinse and dry it first.",
                "name",
            )
        tray = ClearingTray(
            lake=lake,
            name=name,
            species=species,
            preparation=preparation,
            glycerin_parts=medium.glycerin_parts,
            ethanol_parts=medium.ethanol_parts,
            size=size,
            started_on=started_on,
            ready_on=medium.ready_on(started_on),
            rinse_by=medium.rinse_by(started_on),
            started_by=actor,
            started_at=now,
        )
        save_signed(tray, actor=actor, now=now)
        return tray


def _as_asked(tray: ClearingTray) -> tuple[object, ...]:
    """Return what was asked for when a tray was begun, to know it when it is sent twice."""
    names = ("name", "species", "preparation", "size", "started_on", "started_by_id")
    return tuple(getattr(tray, name) for name in names)


@transaction.atomic
def put_in_tray(
    *,
    tray: ClearingTray,
    number: str,
    move: bool = False,
    actor: User,
    now: datetime,
    today: date,
) -> InTray:
    """Put one vial into a tray by its number or its last digits, as scanned or typed.

    Scanned again it stays where it is, and a record of it that contradicts the tray is mended.
    ``move`` takes it out of the tray where it is clearing.

    :raises CannotClear: saying what to do instead
    """
    expected = Vial.objects.filter(lake_id=tray.lake_id, state__in=CLEAR.starts)
    found = scanned_number(tray.lake, number, expected, CannotClear)
    lies_in = TrayPlace.objects.filter(vial__number=found, tray__dried_on__isnull=True)
    trays = _locked_trays({tray.pk, *lies_in.values_list("tray_id", flat=True)})
    tray = _in_use(trays[tray.pk])
    vial = locked_vial(tray.lake, found, CannotClear)
    places = open_places(vial)
    here = next((place for place in places if place.tray_id == tray.pk), None)
    if here is not None and len(places) == 1 and vial.state in _IN_A_TRAY:
        return InTray(vial, here.place, first_time=False)
    fish = Fish.objects.filter(vial=vial).select_related("species").first()
    _check_contents(tray, vial, fish)
    # One that is clearing and in no tray, as old records have them, is laid into this one.
    refusal = CLEAR.refusal(vial.state, vial=grouped(vial.number), where=whereabouts(vial))
    if refusal and vial.state != Vial.State.CLEARING:
        raise CannotClear(f"is_{vial.state}", refusal, number=vial.number)
    if here is not None:
        return _stay(tray, vial, here, places, fish, actor=actor, now=now, today=today)
    place = next(iter(places), None)
    if place is not None:
        _check_move(tray, vial, place, is_locked=place.tray_id in trays, move=move)
    taken = _new_place(tray, vial)
    # One that is moved while it clears, clears on as it was.
    if place is None or vial.state != Vial.State.CLEARING:
        before = _facts_of(vial)
        _clear(tray, vial, today)
        # Without a medium it may stand as it stood: then its history has no row to undo.
        if _facts_of(vial) != before:
            change([vial], _COLUMNS, actor=actor, now=now)
    for left in places:
        left.delete()
    moved_from = place.tray if place is not None else None
    TrayPlace.objects.create(
        tray=tray,
        place=taken,
        vial=vial,
        scanned_by=actor,
        scanned_at=now,
        moved_from=moved_from,
    )
    return InTray(vial, taken, first_time=True, moved_from=moved_from, fish=fish)


def _stay(
    tray: ClearingTray,
    vial: Vial,
    here: TrayPlace,
    places: list[TrayPlace],
    fish: Fish | None,
    *,
    actor: User,
    now: datetime,
    today: date,
) -> InTray:
    """Let a vial be in its place of this tray alone, and clear if it was not marked so."""
    for left in places:
        if left != here:
            left.delete()
    if vial.state not in _IN_A_TRAY:
        _clear(tray, vial, today)
        change([vial], _COLUMNS, actor=actor, now=now)
    return InTray(vial, here.place, first_time=True, fish=fish)


def _clear(tray: ClearingTray, vial: Vial, today: date) -> None:
    """Let a vial clear from now on; in a tray noted later than it was filled, from its start."""
    if not tray.has_medium:
        is_read = Reading.objects.filter(vial=vial).exists()
        vial.state = Vial.State.READ if is_read else Vial.State.READY
        vial.clearing_from, vial.ready_on = None, today
        return
    noted_on = local_day(tray.started_at, tray.lake.time_zone)
    # One that comes later into the tray clears as long as the others.
    started_on = tray.started_on if today <= noted_on else max(tray.started_on, today)
    vial.state, vial.clearing_from = Vial.State.CLEARING, started_on
    vial.ready_on = started_on + (tray.ready_on - tray.started_on)


def _facts_of(vial: Vial) -> list[object]:
    return [getattr(vial, name) for name in _COLUMNS]


def _locked_trays(pks: set[int]) -> dict[int, ClearingTray]:
    """Lock trays in order of their keys, so that nobody waits for one crosswise."""
    trays = ClearingTray.objects.select_for_update(of=("self",)).select_related("lake", "species")
    return {tray.pk: tray for tray in trays.filter(pk__in=pks).order_by("pk")}


def _locked(tray: ClearingTray) -> ClearingTray:
    return _in_use(_locked_trays({tray.pk})[tray.pk])


def _in_use(tray: ClearingTray) -> ClearingTray:
    if tray.dried_on is not None:
        raise CannotClear(
            "tray_dried", f"Tray {tray.name} is already rinsed and dried. Start a new tray."
        )
    return tray


def _check_contents(tray: ClearingTray, vial: Vial, fish: Fish | None) -> None:
    words = grouped(vial.number)
    if vial.content in WITHOUT_AN_OTOLITH:
        is_empty = vial.content == Vial.Content.NONE
        noted = "with no otolith" if is_empty else f"as {vial.get_content_display().lower()}"
        raise CannotClear(
            "no_otolith",
            f"{words} came in {noted}. Set it aside, or receive it again to correct that.",
            number=vial.number,
        )
    if tray.species_id and fish is not None and fish.species_id != tray.species_id:
        raise CannotClear(
            "other_species",
            f"{words} is a {fish.species.name.lower()}. Tray {tray.name} is for "
            f"{tray.species.name.lower()}. Put the vial in another tray.",  # type: ignore[union-attr]
            number=vial.number,
        )


def _check_move(
    tray: ClearingTray, vial: Vial, place: TrayPlace, *, is_locked: bool, move: bool
) -> None:
    """Refuse to take a vial out of another tray unless that is asked for."""
    words = grouped(vial.number)
    if vial.state == Vial.State.CLEARING and not tray.has_medium:
        raise CannotClear(
            "still_clearing",
            f"{words} is clearing in tray {place.tray.name}. Rinse and dry that tray first.",
            number=vial.number,
        )
    # It was laid into that tray only now, after the trays of this move were locked.
    if not move or not is_locked:
        lies = "clearing in" if vial.state == Vial.State.CLEARING else "in"
        raise CannotClear(
            "other_tray",
            f"{words} is already {lies} tray {place.tray.name}, place {place.place}. "
            "Put it back there, or move it here.",
            number=vial.number,
            remedy="move",
        )


def _new_place(tray: ClearingTray, vial: Vial) -> int:
    """Return the place after the last, or the first free one where the last is taken."""
    places = set(tray.filled.values_list("place", flat=True))
    if len(places) >= tray.size:
        raise CannotClear(
            "tray_full",
            f"Tray {tray.name} is full: {tray.size} vials. Start another tray for "
            f"{grouped(vial.number)}.",
            number=vial.number,
        )
    after = max(places, default=0) + 1
    return after if after <= tray.size else next(p for p in range(1, after) if p not in places)


@transaction.atomic
def undo_scan(*, tray: ClearingTray, number: str, actor: User, now: datetime) -> InTray:
    """Undo the last scan of this person into a tray: the vial is where it was before.

    ``number`` is the vial that was shown as the last one.

    :raises CannotClear: if there is none, it is another, or the vial was moved on since
    """
    before = last_scan(tray, actor)
    origin = before.moved_from_id if before else None
    trays = _locked_trays({tray.pk, *([origin] if origin else [])})
    tray = _in_use(trays[tray.pk])
    last = last_scan(tray, actor)
    if last is None:
        raise CannotClear("nothing_to_undo", f"You have scanned no vial into tray {tray.name}.")
    check_is_last(number, last.vial, CannotClear)
    vial = Vial.objects.select_for_update().get(pk=last.vial_id)
    expected = {Vial.State.CLEARING} if tray.has_medium else {Vial.State.READY, Vial.State.READ}
    if vial.state not in expected:
        raise CannotClear(
            "moved_on",
            f"{grouped(vial.number)} is {whereabouts(vial)} now. Its scan can't be undone here.",
            number=vial.number,
        )
    last.delete()
    back = trays.get(last.moved_from_id) if last.moved_from_id else None
    back = back if back is not None and back.dried_on is None else None
    if back is not None:
        free = _new_place(back, vial)
        TrayPlace.objects.create(tray=back, place=free, vial=vial, scanned_by=actor, scanned_at=now)
    # One that was moved while it cleared changed only if the tray that it came from is dry by now.
    left_its_tray = last.moved_from_id is not None and back is None
    if left_its_tray or vial.history.filter(history_date=last.scanned_at).exists():
        put_back(vial, _COLUMNS)
        change([vial], _COLUMNS, actor=actor, now=now)
    return InTray(vial, last.place, first_time=False, moved_from=back)


@transaction.atomic
def mark_ready(
    *, tray: ClearingTray, early: bool = False, actor: User, now: datetime, today: date
) -> Readied:
    """Make the vials of a tray whose day has come ready to read; ``early``: all of them.

    :raises CannotClear: if none is clearing, or the day of none has come
    """
    tray = _locked(tray)
    clearing = _clearing(tray)
    due = [one for one in clearing if early or one.ready_on is None or one.ready_on <= today]
    if not clearing:
        raise CannotClear("none_clearing", f"No vial is clearing in tray {tray.name}.")
    if not due:
        raise CannotClear(
            "not_yet", f"Tray {tray.name} has not cleared long enough.", remedy="early"
        )
    _make_ready(due, actor=actor, now=now, today=today)
    return Readied(len(due), len(clearing) - len(due))


@transaction.atomic
def dry_tray(
    *, tray: ClearingTray, early: bool = False, actor: User, now: datetime, today: date
) -> Readied:
    """Note that a tray was rinsed and dried; its vials are ready and its name is free again.

    :raises CannotClear: if some vials have not cleared long enough, unless ``early``
    """
    tray = _locked(tray)
    clearing = _clearing(tray)
    early_ones = [one for one in clearing if one.ready_on is not None and one.ready_on > today]
    if early_ones and not early:
        raise CannotClear(
            "not_yet", f"{len(early_ones)} vials have not cleared long enough.", remedy="early"
        )
    _make_ready(clearing, actor=actor, now=now, today=today)
    tray.dried_on = today
    save_signed(tray, actor=actor, now=now, fields=["dried_on"])
    return Readied(len(clearing), 0)


def _clearing(tray: ClearingTray) -> list[Vial]:
    """Lock the vials of a tray that are still clearing, in order of their keys."""
    vials: QuerySet[Vial] = Vial.objects.select_for_update(of=("self",))
    return list(
        vials.filter(tray_places__tray=tray, state__in=MAKE_READY.starts)
        .annotate(is_read=Exists(Reading.objects.filter(vial=OuterRef("pk"))))
        .order_by("pk")
    )


def _make_ready(vials: list[Vial], *, actor: User, now: datetime, today: date) -> None:
    for vial in vials:
        is_read = vial.is_read  # type: ignore[attr-defined]
        vial.state = Vial.State.READ if is_read else Vial.State.READY
        # Before its day on a word: it is ready from now on.
        vial.ready_on = min(vial.ready_on or today, today)
    change(vials, ["state", "ready_on"], actor=actor, now=now)
