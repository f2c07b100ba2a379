"""Looking over where vials lie: trays and boxes beside what the vials' own records say."""

from collections.abc import Callable, Iterator

from django.db.models import Count, Exists, F, OuterRef, Q
from django.db.models.functions import Lower

from samples.custody.rules import slots_of
from samples.maintenance.finding import Finding, find_vials
from samples.models import ArchiveBox, TrayPlace, Vial

_State = Vial.State
_SCAN_IN_BOX = "Scan them into the box that they lie in."
_SCAN_IN_TRAY = "Scan them into the tray that they lie in."
_NO_MEDIUM = Q(tray__glycerin_parts=0, tray__ethanol_parts=0)
_OPEN = TrayPlace.objects.filter(vial=OuterRef("pk"), tray__dried_on__isnull=True)


def _beside_their_box() -> Iterator[Finding]:
    boxed = Vial.objects.filter(box__isnull=False)
    yield from find_vials(
        "vial_beside_its_box",
        boxed.exclude(archive_box=F("box__name"))
        | boxed.filter(state=_State.ARCHIVED, taken_out_at__isnull=False),
        "are in another box than their record says, or marked as both archived and taken out",
        _SCAN_IN_BOX,
    )
    yield from find_vials(
        "vial_in_box_of_other_lake",
        boxed.exclude(lake=F("box__lake")),
        "are in a box of another lake",
        "Scan them into a box of their own lake.",
    )


def _outside_their_box() -> Iterator[Finding]:
    outside: list[int] = []
    for box in ArchiveBox.objects.filter(vials__isnull=False).distinct().order_by("pk"):
        of_map = list(slots_of(box.rows, box.columns))
        vials = box.vials.exclude(archive_slot__in=of_map).order_by("pk")
        outside += vials.values_list("pk", flat=True)
    yield from find_vials(
        "vial_outside_its_box",
        Vial.objects.filter(pk__in=outside),
        "are in a slot that is not on the map of their box",
        _SCAN_IN_BOX,
    )


def _two_in_one_slot() -> Iterator[Finding]:
    kept = Vial.objects.exclude(archive_box="").exclude(archive_slot="")
    named = kept.annotate(key=Lower("archive_box"), slot_key=Lower("archive_slot"))
    shared = named.values("lake", "key", "slot_key").annotate(vials=Count("pk")).filter(vials__gt=1)
    doubles = Q(pk__in=[])
    for lake, key, slot in shared.values_list("lake", "key", "slot_key"):
        doubles |= Q(lake=lake, archive_box__iexact=key, archive_slot__iexact=slot)
    yield from find_vials(
        "vials_share_slot",
        Vial.objects.filter(doubles),
        "share a slot of a box with another vial",
        "Look in the box, then scan each into the slot that it lies in.",
    )


def _beside_their_tray() -> Iterator[Finding]:
    not_in_yet = [_State.PRINTED, _State.ISSUED, _State.USED, _State.RECEIVED]
    yield from find_vials(
        "vial_beside_its_tray",
        Vial.objects.filter(Exists(_OPEN), state__in=not_in_yet),
        "lie in a tray and are not marked as clearing, ready or read",
        "Receive those that are not received, then scan them into that tray.",
    )
    yield from find_vials(
        "vial_archived_in_medium",
        Vial.objects.filter(Exists(_OPEN.exclude(_NO_MEDIUM)), state=_State.ARCHIVED),
        "are archived, and lie in a tray of medium",
        "Take them out of their box under Archive, or rinse and dry the tray.",
    )
    places = Count("tray_places", filter=Q(tray_places__tray__dried_on__isnull=True))
    yield from find_vials(
        "vial_in_two_trays",
        Vial.objects.annotate(places=places).filter(places__gt=1),
        "lie in more than one tray",
        _SCAN_IN_TRAY,
    )
    yield from find_vials(
        "vial_in_tray_of_other_lake",
        Vial.objects.filter(Exists(_OPEN.exclude(tray__lake=OuterRef("lake")))),
        "lie in a tray of another lake",
        "Scan them into a tray of their own lake.",
    )


def _clearing_in_no_tray() -> Iterator[Finding]:
    clearing = Vial.objects.filter(state=_State.CLEARING).exclude(Exists(_OPEN))
    dried = Exists(TrayPlace.objects.filter(vial=OuterRef("pk")))
    yield from find_vials(
        "vial_in_dried_tray",
        clearing.filter(dried),
        "are marked as clearing, and their tray was rinsed and dried",
        _SCAN_IN_TRAY,
    )
    # Cleared before trays were noted.
    yield from find_vials(
        "vial_in_no_tray",
        clearing.exclude(dried),
        "are clearing in no tray",
        _SCAN_IN_TRAY,
        is_problem=False,
    )


CUSTODY_CHECKS: tuple[Callable[[], Iterator[Finding]], ...] = (
    _beside_their_box,
    _outside_their_box,
    _two_in_one_slot,
    _beside_their_tray,
    _clearing_in_no_tray,
)
