"""What the page of one vial shows: the fish, the readings, the place, and what can be done next."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.urls import reverse
from django.utils.http import urlencode

from samples.accounts.permissions import Permission
from samples.lab.computed import possible_swaps_at_hand
from samples.lab.queries import AgeCard, card_of
from samples.models import (
    WITHOUT_AN_OTOLITH,
    Age,
    Donor,
    Fish,
    Picture,
    Reading,
    TrayPlace,
    User,
    Vial,
)
from samples.pictures.queries import pictures_of
from samples.rules.vial_number import grouped
from samples.search.presenters.timeline import Event, timeline_of
from samples.vials.presenters.life import place_of, states_to_come

if TYPE_CHECKING:
    from samples.lab.presenters.possible_swaps import PossibleSwap, ShiftedRun

State = Vial.State
NEIGHBORS = 2
_AT_THE_OFFICE = frozenset(
    {State.RECEIVED, State.CLEARING, State.READY, State.READ, State.ARCHIVED}
)


@dataclass(frozen=True, slots=True)
class VialAction:
    """One thing that can be done with a vial, and whether it is the one that comes next."""

    label: str
    address: str
    is_next: bool = False


@dataclass(frozen=True, slots=True)
class VialPage:
    """One vial with everything that a person may know of it."""

    vial: Vial
    fish: Fish | None
    place: str
    # Whoever decides ages; for others there are no readings here.
    card: AgeCard | None
    donor: Donor | None
    fish_of_trip: int
    beside: list[Vial]
    events: list[Event]
    to_come: list[str]
    actions: list[VialAction]
    # Under the microscope, for whoever reads otoliths.
    pictures: list[Picture]
    is_aside: bool
    # Hidden from whoever may be about to read the otolith: they read it without the length.
    length_shown: bool
    # An otolith that does not go with its fish; never told to who may read it blind.
    swap: PossibleSwap | ShiftedRun | None = None

    @property
    def age(self) -> Age | None:
        return self.card.age if self.card else None


def may_read_blind(vial: Vial, person: User, granted: frozenset[Permission]) -> bool:
    """Return whether somebody reads otoliths and has not read this one."""
    if Permission.READ_OTOLITHS not in granted or vial.content in WITHOUT_AN_OTOLITH:
        return False
    return not Reading.objects.filter(vial=vial, reader=person).exists()


def vial_page(vial: Vial, granted: frozenset[Permission], *, length_shown: bool = True) -> VialPage:
    """Gather what is known of a vial, as far as these rights let a person know it."""
    fish = (
        Fish.objects.filter(vial=vial)
        .select_related("species", "arm", "reach", "logged_by", "party", "donor__person", "photo")
        .first()
    )
    decides = Permission.DECIDE_AGES in granted
    card = card_of(fish) if fish is not None and decides else None
    swaps = possible_swaps_at_hand(vial.lake) if card is not None and length_shown else None
    trip = Fish.objects.filter(party=fish.party_id, withdrawn=False) if fish else None
    return VialPage(
        vial=vial,
        fish=fish,
        place=place_of(vial),
        card=card,
        donor=fish.donor if fish and Permission.SEE_DONORS in granted else None,
        fish_of_trip=trip.count() if trip is not None else 0,
        beside=vials_beside(vial),
        events=timeline_of(vial, granted, length_shown=length_shown),
        to_come=states_to_come(vial),
        actions=list(_actions(vial, fish, card, granted)),
        pictures=list(pictures_of(vial)) if Permission.READ_OTOLITHS in granted else [],
        is_aside=vial.state in {State.LOST, State.VOID},
        length_shown=length_shown,
        swap=swaps.of(vial.number) if swaps else None,
    )


def vials_beside(vial: Vial) -> list[Vial]:
    """Return the vials around this one in its box, itself among them, in order of slot."""
    if not vial.archive_box or not vial.archive_slot:
        return []
    box = Vial.objects.filter(lake=vial.lake_id, archive_box=vial.archive_box)
    ordered = sorted(box.exclude(archive_slot=""), key=lambda one: _slot_order(one.archive_slot))
    place = next((at for at, one in enumerate(ordered) if one.pk == vial.pk), None)
    if place is None:
        return []
    return ordered[max(0, place - NEIGHBORS) : place + NEIGHBORS + 1]


def _slot_order(slot: str) -> list[tuple[int, str]]:
    """Return a key by which slot 9 stands before slot 10, and A10 before B1."""
    return [
        (int(part), "") if part.isdecimal() else (0, part.casefold())
        for part in re.split(r"(\d+)", slot)
        if part
    ]


def _actions(
    vial: Vial, fish: Fish | None, card: AgeCard | None, granted: frozenset[Permission]
) -> list[VialAction]:
    steps = [*_moves(vial, granted), *_lab_work(vial, fish, card, granted)]
    if Permission.PREPARE_OTOLITHS in granted and _can_be_prepared(vial):
        prepare = reverse("lab:prepare", args=[vial.lake.slug, vial.number])
        steps.append(VialAction("Prepare otolith", prepare))
    if Permission.PRINT_LABELS in granted and vial.state != State.VOID:
        steps.append(VialAction("Reprint label", _reprint_address(vial)))
    return steps


def _can_be_prepared(vial: Vial) -> bool:
    return vial.state in _AT_THE_OFFICE and vial.content not in WITHOUT_AN_OTOLITH


def _reprint_address(vial: Vial) -> str:
    """Return the page that prints labels again, with this number filled in."""
    page = reverse("vials:reprint", args=[vial.lake.slug])
    return f"{page}?{urlencode({'numbers': grouped(vial.number)})}"


def _moves(vial: Vial, granted: frozenset[Permission]) -> list[VialAction]:
    """Return where a vial may go from where it stands."""
    if Permission.MOVE_VIALS not in granted:
        return []
    slug, number = vial.lake.slug, vial.number
    issue = f"{reverse('vials:issue', args=[slug])}?{urlencode({'first': number})}"
    receive = f"{reverse('vials:receive', args=[slug])}?{urlencode({'number': number})}"
    if vial.state == State.PRINTED:
        return [VialAction("Issue vial", issue, is_next=True)]
    if vial.state == State.ISSUED:
        return [
            VialAction("Receive vial", receive),
            VialAction("Issue to someone else", issue),
        ]
    if vial.state == State.USED:
        return [VialAction("Receive vial", receive, is_next=True)]
    return _ways_at_the_office(vial)


def _ways_at_the_office(vial: Vial) -> list[VialAction]:
    slug = vial.lake.slug
    if vial.state == State.RECEIVED:
        return [VialAction("Put into a tray to clear", reverse("custody:trays", args=[slug]))]
    if vial.state == State.CLEARING:
        place = TrayPlace.objects.filter(vial=vial, tray__dried_on__isnull=True).last()
        tray = reverse("custody:tray", args=[slug, place.tray_id]) if place else ""
        return [VialAction("Open its tray", tray)] if tray else []
    out = reverse("custody:out", args=[slug])
    if vial.state == State.ARCHIVED:
        return [VialAction("Take out of its box", out)]
    if vial.state not in {State.READY, State.READ}:
        return []
    if vial.box_id:
        return [VialAction("Bring back to its slot", f"{out}?back=1")]
    archive = reverse("custody:archive", args=[slug])
    return [VialAction("Archive vial", archive)]


def _lab_work(
    vial: Vial, fish: Fish | None, card: AgeCard | None, granted: frozenset[Permission]
) -> list[VialAction]:
    """Return what the lab can do: read the otolith, or settle what its readers differ on."""
    if fish is None or vial.state not in _AT_THE_OFFICE or vial.content in WITHOUT_AN_OTOLITH:
        return []
    settle = reverse("lab:vial", args=[vial.lake.slug, vial.number])
    if card is not None and card.age is not None:
        contested = card.age.standing == Age.Standing.TO_SETTLE
        label = "Decide the age" if contested else "Add a reading"
        return [VialAction(label, settle, is_next=contested)]
    if card is not None:
        return [VialAction("Add a reading", settle, is_next=vial.state == State.READY)]
    return []
