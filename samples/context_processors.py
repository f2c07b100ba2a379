"""What the frame of every page shows: the lake, the way around, and who is signed in."""

from typing import Any

from django.http import HttpRequest

from fisheries import __version__
from samples.accounts.permissions import RAMP_ONLY, permissions_of, roles_at
from samples.accounts.selectors import lakes_of
from samples.models import Lake, User
from samples.navigation import navigation_at


def lake_of_page(request: HttpRequest) -> Lake | None:
    """Find the lake of this page; of a page of no lake, the first where the person is staff."""
    if not isinstance(request.user, User):
        return None
    lakes = lakes_of(request.user)
    match = getattr(request, "resolver_match", None)
    slug = match.kwargs.get("slug") if match else None
    named = next((lake for lake in lakes if lake.slug == slug), None)
    staff = (lake for lake in lakes if _is_staff(request.user, lake))
    return named or next(staff, lakes[0] if lakes else None)


def _is_staff(person: User, lake: Lake) -> bool:
    return bool(permissions_of(roles_at(person, lake)) - RAMP_ONLY)


def frame(request: HttpRequest) -> dict[str, Any]:
    """Return what the base template shows: its lake, its navigation and its person."""
    lake = lake_of_page(request)
    user = getattr(request, "user", None)
    person = user if isinstance(user, User) else None
    staff = bool(person and lake and _is_staff(person, lake))
    match = getattr(request, "resolver_match", None)
    return {
        "frame_lake": lake,
        "frame_lakes": lakes_of(person) if person else [],
        "frame_navigation": navigation_at(
            person,
            lake,
            request.path,
            view_name=match.view_name if match else "",
            query=request.GET.urlencode(),
        )
        if person and lake and staff
        else None,
        "frame_person": person,
        "frame_version": __version__ if staff else "",
    }
