"""What the frame of every page shows: the lake, the way around, and who is signed in."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from fisheries import __version__
from samples.accounts.roles import May, grants_of, roles_at
from samples.accounts.scope import lakes_of
from samples.models import Lake, User


@dataclass(frozen=True, slots=True)
class Way:
    """One link of the way around."""

    words: str
    address: str
    here: bool


# What stands in the head of a lake's pages, in order; the first right that fits opens it.
WAYS: list[tuple[str, str, May]] = [
    ("Coverage", "targets:coverage", May.SEE_COVERAGE),
    ("Read", "lab:grid", May.READ_OTOLITHS),
    ("Ages to settle", "lab:settle", May.DECIDE_AGES),
    ("Findings", "findings:findings", May.SEE_COVERAGE),
    ("Labels", "vials:labels", May.PRINT_LABELS),
    ("Issue", "vials:issue", May.MOVE_VIALS),
    ("Receive", "vials:receive", May.MOVE_VIALS),
    ("Resolve", "ramp:held", May.SETTLE_HELD),
    ("Lake", "waters:lake", May.EDIT_WATERS),
    ("People", "accounts:people", May.EDIT_PEOPLE),
]


def lake_of_page(request: HttpRequest) -> Lake | None:
    """Find the lake of this page, or the only one that the person has."""
    if not isinstance(request.user, User):
        return None
    lakes = lakes_of(request.user)
    match = getattr(request, "resolver_match", None)
    slug = match.kwargs.get("slug") if match else None
    named = next((lake for lake in lakes if lake.slug == slug), None)
    return named or (lakes[0] if lakes else None)


def ways_at(person: User, lake: Lake, path: str) -> list[Way]:
    granted = grants_of(roles_at(person, lake))
    ways = [Way("Today", reverse("today", args=[lake.slug]), False)]
    for words, name, what in WAYS:
        if what in granted:
            ways.append(Way(words, reverse(name, args=[lake.slug]), False))
    # Every page of a lake lies below "Today", which is where one is only on its own page.
    below = [way.address for way in ways[1:] if path.startswith(way.address)]
    best = max(below, key=len, default=path)
    return [Way(way.words, way.address, way.address == best) for way in ways]


def frame(request: HttpRequest) -> dict[str, Any]:
    """Give the base template its lake, its ways and its person."""
    lake = lake_of_page(request)
    user = getattr(request, "user", None)
    person = user if isinstance(user, User) else None
    staff = bool(
        person and lake and grants_of(roles_at(person, lake)) - {May.LOG_FISH, May.LOG_FOR_OTHERS}
    )
    return {
        "frame_lake": lake,
        "frame_lakes": lakes_of(person) if person else [],
        "frame_ways": ways_at(person, lake, request.path) if person and lake and staff else [],
        "frame_person": person,
        "frame_version": __version__ if staff else "",
    }
