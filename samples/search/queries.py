"""What the search box finds at a lake, of each kind only what the person may see.

Vials and fish are found by whole numbers, which have an index; the arms, species and people of
one lake are few, as are the terms.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.http import urlencode

from samples.accounts.permissions import Permission, permissions_of, roles_at
from samples.accounts.selectors import fish_at, vials_at
from samples.custody.queries import in_box
from samples.models import ArchiveBox, Arm, Fish, Lake, LakeSpecies, Membership, User, Vial
from samples.navigation import pages_for
from samples.rules.terms import TERMS
from samples.rules.vial_number import grouped
from samples.today.presenters.saved_views import views_of
from samples.vials.queries import MOST_FOUND, find

# A word begins after a hyphen, a comma or a bracket too: natural mortality (M).
_NOT_OF_A_WORD = re.compile(r"[-(),]+")


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing found: what it is called, what more is known, and where it is shown."""

    label: str
    detail: str
    address: str


@dataclass(frozen=True, slots=True)
class HitGroup:
    """The hits of one kind, and whether there may be more than are listed."""

    label: str
    hits: list[Hit]
    is_cut_off: bool = False


@dataclass(frozen=True, slots=True)
class Searcher:
    """A person who searches at a lake, and what they may do there."""

    person: User
    lake: Lake
    granted: frozenset[Permission]

    @classmethod
    def of(cls, person: User, lake: Lake) -> "Searcher":
        return cls(person, lake, frozenset(permissions_of(roles_at(person, lake))))

    def address(self, name: str, *args: object, **query: str) -> str:
        kept = f"?{urlencode(query)}" if query else ""
        return reverse(name, args=[self.lake.slug, *args]) + kept


def find_vials(searcher: Searcher, digits: str) -> list[Vial]:
    """Return the vials with this number or these last digits, the newest first."""
    return find(vials_at(searcher.person, searcher.lake), searcher.lake, digits) if digits else []


def address_of_vial(searcher: Searcher, vial: Vial) -> str:
    """Return where a person sees a vial: its page, or its row of the reading grid."""
    if Permission.MOVE_VIALS in searcher.granted:
        return searcher.address("search:vial", vial.number)
    grid = searcher.address("lab:grid", show="all", vial=vial.number)
    return f"{grid}#row-{vial.number}"


def search(searcher: Searcher, text: str, vials: list[Vial]) -> list[HitGroup]:
    """Return what is found by kind; a kind of which nothing is found is left out."""
    groups = [
        HitGroup("Vials", _vial_hits(searcher, vials), len(vials) == MOST_FOUND),
        HitGroup("Archive boxes", boxes := _box_hits(searcher, text), len(boxes) == MOST_FOUND),
        HitGroup(
            "Fish",
            [
                *_tagged_hits(searcher, text),
                *_fish_hits(searcher, vials),
                *_lists_of_fish(searcher, text),
            ],
        ),
        HitGroup("Saved views", _view_hits(searcher, text)),
        HitGroup("People", people := _people_hits(searcher, text), len(people) == MOST_FOUND),
        HitGroup("Pages", _page_hits(searcher, text)),
        HitGroup("Terms", _term_hits(searcher, text)),
    ]
    return [group for group in groups if group.hits]


def _vial_hits(searcher: Searcher, vials: list[Vial]) -> list[Hit]:
    return [
        Hit(
            grouped(vial.number),
            _about_vial(searcher, vial),
            address_of_vial(searcher, vial),
        )
        for vial in vials
    ]


def _about_vial(searcher: Searcher, vial: Vial) -> str:
    """Return where a vial stands, and to those who move vials whence its fish came."""
    stands = f"{_stands(vial)}, season {vial.season}"
    fish = getattr(vial, "fish", None)
    if fish is None or Permission.MOVE_VIALS not in searcher.granted:
        return stands
    return f"{stands}, {_where_and_when(fish)}"


def _stands(vial: Vial) -> str:
    """Return how far a vial has come, and the slot that is its own."""
    state: str = vial.get_state_display()
    if vial.state == Vial.State.ARCHIVED or not in_box(vial):
        return f"{state}{in_box(vial)}"
    return f"{state}, out of {in_box(vial).removeprefix(' in ')}"


def _box_hits(searcher: Searcher, text: str) -> list[Hit]:
    """Return the boxes of the archive whose names begin so."""
    if Permission.MOVE_VIALS not in searcher.granted or not text.strip():
        return []
    boxes = ArchiveBox.objects.filter(lake=searcher.lake, name__istartswith=text.strip())
    return [
        Hit(f"Box {box.name}", box.place, searcher.address("custody:box", box.pk))
        for box in boxes.order_by("name")[:MOST_FOUND]
    ]


def _fish_hits(searcher: Searcher, vials: list[Vial]) -> list[Hit]:
    """Return the fish of the vials. No length: whoever searches may be about to read blind."""
    if not vials or Permission.DECIDE_AGES not in searcher.granted:
        return []
    fish = fish_at(searcher.person, searcher.lake).filter(vial__in=vials, withdrawn=False)
    return [
        Hit(
            f"{one.species} in {grouped(one.vial.number)}",
            _where_and_when(one),
            searcher.address("search:vial", one.vial.number),
        )
        for one in fish.select_related("vial", "species", "arm").order_by("-vial__number")
        if one.vial
    ]


def _tagged_hits(searcher: Searcher, text: str) -> list[Hit]:
    """Return the fish whose tag number begins so. No length, as of the fish of a vial."""
    if Permission.DECIDE_AGES not in searcher.granted or not any(map(str.isdigit, text)):
        return []
    fish = fish_at(searcher.person, searcher.lake).filter(
        tag_number__istartswith=text, withdrawn=False
    )
    shown = fish.select_related("vial", "species", "arm").order_by("tag_number", "pk")
    return [
        Hit(
            f"Tag {one.tag_number}",
            f"{one.species}, {_where_and_when(one)}",
            searcher.address("search:vial", one.vial.number)
            if one.vial
            else searcher.address("targets:fish", species=one.species.code, arm=str(one.arm_id)),
        )
        for one in shown[:MOST_FOUND]
    ]


def _where_and_when(fish: Fish) -> str:
    return f"{fish.arm}, caught {date_format(fish.caught_on)}" if fish.caught_on else str(fish.arm)


def _view_hits(searcher: Searcher, text: str) -> list[Hit]:
    """Return the saved views of this person and of the lake that are called so."""
    if not searcher.granted & {Permission.SEE_COVERAGE, Permission.SEE_FISH}:
        return []
    fits = _matcher(text)
    return [
        Hit(
            one.view.name,
            f"{one.page}, {'shared' if one.view.is_shared else 'only yours'}",
            one.view.address,
        )
        for one in views_of(searcher.person, searcher.lake, searcher.granted)
        if not one.is_dead and fits(one.view.name)
    ]


def _lists_of_fish(searcher: Searcher, text: str) -> list[Hit]:
    """Return the lists of fish of the species and arms that are called so."""
    if Permission.SEE_FISH not in searcher.granted:
        return []
    fits = _matcher(text)
    species = LakeSpecies.objects.filter(lake=searcher.lake).select_related("species")
    arms = Arm.objects.filter(lake=searcher.lake)
    found = [
        Hit(
            one.species.name, "All fish", searcher.address("targets:fish", species=one.species.code)
        )
        for one in species.order_by("position", "pk")
        if fits(one.species.name)
    ]
    return found + [
        Hit(arm.name, "All fish of this arm", searcher.address("targets:fish", arm=str(arm.pk)))
        for arm in arms.order_by("position", "pk")
        if fits(arm.name)
    ]


def _people_hits(searcher: Searcher, text: str) -> list[Hit]:
    if Permission.EDIT_PEOPLE not in searcher.granted:
        return []
    fits = _matcher(text)
    rows = Membership.objects.filter(lake=searcher.lake).select_related("person")
    people: dict[User, list[str]] = {}
    for row in rows.order_by("person__display_name", "person_id", "pk"):
        if fits(str(row.person)):
            people.setdefault(row.person, []).append(row.get_role_display())
    return [
        Hit(str(person), ", ".join(roles), searcher.address("accounts:person", person.pk))
        for person, roles in list(people.items())[:MOST_FOUND]
    ]


def _page_hits(searcher: Searcher, text: str) -> list[Hit]:
    fits = _matcher(text)
    return [
        Hit(page.label, group, page.address_at(searcher.lake))
        for group, pages in pages_for(searcher.person, searcher.lake).items()
        for page in pages
        if fits(f"{group} {page.label}")
    ]


def _term_hits(searcher: Searcher, text: str) -> list[Hit]:
    if not any(character.isalpha() for character in text):
        return []
    fits = _matcher(text)
    page = searcher.address("search:terms")
    return [
        Hit(term.name, term.meaning, f"{page}#{term.key}")
        for term in TERMS.values()
        if fits(term.name)
    ]


def _matcher(text: str) -> Callable[[str], bool]:
    """Return whether a name has a word that begins with each word of the text."""
    typed = _NOT_OF_A_WORD.sub(" ", text.casefold()).split()

    def fits(name: str) -> bool:
        words = _NOT_OF_A_WORD.sub(" ", name.casefold()).split()
        return bool(typed) and all(any(word.startswith(one) for word in words) for one in typed)

    return fits
