"""Tiles drawn by a worker beside the pages: a picture shows small until they are there."""

from datetime import datetime
from typing import Any

from samples.computations.requests import nobody_works, request_computation
from samples.computations.results import digest
from samples.computations.running import Progress
from samples.models import Computation, Picture
from samples.pictures import services

KIND = "tiles"
# A busy core draws so many pixels a second.
PIXELS_A_SECOND = 10_000_000


def request_tiles(picture: Picture, *, now: datetime) -> Computation | None:
    """Return the computation that draws a picture's tiles; nothing where they are there."""
    if services.has_tiles(picture):
        return None
    computation = request_computation(
        kind=KIND,
        key=digest(KIND, picture.pk),
        # Tiles that were lost are no answer, though they were drawn within the day.
        revision=f"without {picture.tiles.name or 'any'}",
        arguments={"picture": picture.pk},
        expected_s=picture.width_px * picture.height_px / PIXELS_A_SECOND,
        now=now,
    )
    # Where there is no worker they have been drawn by now.
    picture.refresh_from_db(fields=["tiles"])
    return None if services.has_tiles(picture) else computation


def compute_tiles(arguments: dict[str, Any], progress: Progress) -> tuple[str, bool]:
    """Draw and keep the tiles of a picture; return where they are."""
    del progress
    picture = Picture.objects.filter(pk=arguments["picture"]).first()
    # It may have been deleted since.
    if picture is None:
        return "", False
    if not services.has_tiles(picture):
        services.draw_tiles(picture)
    return str(picture.tiles.name), True


def state_of_tiles(picture: Picture, *, now: datetime) -> tuple[str, str]:
    """Return whether tiles are "ready", "waiting" or "failed", and a sentence about it."""
    computation = request_tiles(picture, now=now)
    if computation is None:
        return "ready", ""
    if not computation.is_open:
        return "failed", "The detailed picture could not be prepared. Reload in 5 minutes."
    if nobody_works(computation, now):
        return "waiting", "Waiting for the worker, which is not running. Tell the administrator."
    return "waiting", "Preparing the detailed picture ..."
