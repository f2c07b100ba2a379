"""The links of the site's head: what stands there, in order, and who may open it."""

from dataclasses import dataclass

from django.urls import reverse

from samples.accounts.permissions import Permission, permissions_of, roles_at
from samples.models import Lake, User


@dataclass(frozen=True, slots=True)
class NavigationLink:
    """One link of the way around."""

    label: str
    address: str
    here: bool


# What stands in the head of a lake's pages, in order; the first right that fits opens it.
NAVIGATION: list[tuple[str, str, Permission]] = [
    ("Coverage", "targets:coverage", Permission.SEE_COVERAGE),
    ("Read", "lab:grid", Permission.READ_OTOLITHS),
    ("Ages to settle", "lab:settle", Permission.DECIDE_AGES),
    ("Findings", "findings:findings", Permission.SEE_COVERAGE),
    ("Labels", "vials:labels", Permission.PRINT_LABELS),
    ("Issue", "vials:issue", Permission.MOVE_VIALS),
    ("Receive", "vials:receive", Permission.MOVE_VIALS),
    ("Resolve", "ramp:held", Permission.SETTLE_HELD),
    ("Lake", "waters:lake", Permission.EDIT_WATERS),
    ("People", "accounts:people", Permission.EDIT_PEOPLE),
]


def navigation_at(person: User, lake: Lake, path: str) -> list[NavigationLink]:
    granted = permissions_of(roles_at(person, lake))
    links = [NavigationLink("Today", reverse("today", args=[lake.slug]), False)]
    for label, name, permission in NAVIGATION:
        if permission in granted:
            links.append(NavigationLink(label, reverse(name, args=[lake.slug]), False))
    # Every page of a lake lies below "Today", which is where one is only on its own page.
    below = [link.address for link in links[1:] if path.startswith(link.address)]
    best = max(below, key=len, default=path)
    return [NavigationLink(link.label, link.address, link.address == best) for link in links]
