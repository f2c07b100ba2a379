"""The saved views that a person is shown, each with what it leads to and what is gone of it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from urllib.parse import parse_qsl

from django.db.models import Q

from samples.accounts.permissions import Permission
from samples.models import Arm, Lake, LakeSpecies, Reach, SavedView, Season, User
from samples.targets.queries.choice import REACH_NOT_NOTED
from samples.today.rules import viewed_page

Known = Mapping[str, Collection[str]]


@dataclass(frozen=True, slots=True)
class ShownView:
    """One saved view as it is listed."""

    view: SavedView
    page: str
    # What its address names and the lake no longer has; empty where all is there.
    problem: str
    # Whether this person may rename and remove it.
    is_own: bool

    @property
    def is_dead(self) -> bool:
        """Return whether there is no such page any more."""
        return not self.page


def views_of(person: User, lake: Lake, granted: Collection[Permission]) -> list[ShownView]:
    """List a person's own views and the lake's, of pages that they may open, by name.

    A view of a page that is gone is shown to those who can remove it.
    """
    found = list(SavedView.objects.filter(Q(person=person) | Q(person=None), lake=lake))
    known = known_at(lake) if found else {}
    shown = []
    for view in sorted(found, key=lambda one: one.name.casefold()):
        page = viewed_page(view.path, lake.slug)
        may_change = not view.is_shared or Permission.SHARE_VIEWS in granted
        if page is None and may_change:
            problem = "This page is gone. Remove the view."
            shown.append(ShownView(view, "", problem, may_change))
        elif page is not None and page.permission in granted:
            problem = what_is_gone(view.query, known, lake)
            shown.append(ShownView(view, page.label, problem, may_change))
    return shown


def known_at(lake: Lake) -> Known:
    """Return what addresses of a lake name: its seasons, species, arms and reaches."""
    reaches = Reach.objects.filter(arm__lake=lake).values_list("name", flat=True)
    arms = list(Arm.objects.filter(lake=lake).values_list("pk", "name"))
    return {
        "season": set(Season.objects.filter(lake=lake).values_list("name", flat=True)),
        "species": set(
            LakeSpecies.objects.filter(lake=lake).values_list("species__code", flat=True)
        ),
        "reach": {*reaches, REACH_NOT_NOTED},
        # The list of fish goes by number, findings by name.
        "arm": {str(pk) for pk, _ in arms} | {name for _, name in arms},
    }


def what_is_gone(query: str, known: Known, lake: Lake) -> str:
    """Return in a sentence what an address names and the lake has no more."""
    gone = [
        "its arm" if name == "arm" and value.isdecimal() else f"{name} {value}"
        for name, value in parse_qsl(query)
        if name in known and value not in known[name]
    ]
    if not gone:
        return ""
    return f"No longer at {lake}: {', '.join(gone)}. Open it and choose again, or remove it."
