"""Scales: how many micrometers a pixel spans with an objective."""

from datetime import datetime

from django.db import transaction

from samples.models import Lake, Objective, Picture, PictureScale, User
from samples.pictures.rules import scale_between
from samples.pictures.services.errors import CannotChangePicture

Point = tuple[float, float]


def new_objective(*, lake: Lake, name: str, author: User, now: datetime) -> Objective:
    """Return an objective that is saved with its first picture, and not without.

    :raises CannotChangePicture: if one has that name
    """
    if Objective.objects.filter(lake=lake, name__iexact=name).exists():
        raise CannotChangePicture(
            "name_taken", "name", f"There is already an objective named {name}. Choose it above."
        )
    return Objective(lake=lake, name=name, added_by=author, added_at=now)


@transaction.atomic
def set_scale(
    *,
    micrometer: Picture,
    first: Point,
    last: Point,
    distance_um: float,
    author: User,
    now: datetime,
) -> tuple[PictureScale, int]:
    """Set the scale of an objective from a picture of a stage micrometer.

    Pictures of this objective that have no scale and are of the same size get it; those that have
    one keep it. Return the scale and how many pictures got it.

    :raises UnlikelyScale: if the points and the distance make none
    :raises CannotChangePicture: if the picture is of no stage micrometer
    """
    if micrometer.kind != Picture.Kind.MICROMETER or micrometer.objective is None:
        raise CannotChangePicture(
            "no_micrometer", None, "This is no picture of a stage micrometer."
        )
    size = (micrometer.width_px, micrometer.height_px)
    um_per_px = scale_between(first, last, distance_um, size=size)
    scale = PictureScale.objects.create(
        objective=micrometer.objective,
        micrometer=micrometer,
        x1_px=first[0],
        y1_px=first[1],
        x2_px=last[0],
        y2_px=last[1],
        distance_um=distance_um,
        um_per_px=um_per_px,
        set_by=author,
        set_at=now,
    )
    waiting = Picture.objects.select_for_update(of=("self",)).filter(
        objective=micrometer.objective,
        kind=Picture.Kind.OTOLITH,
        scale=None,
        width_px=micrometer.width_px,
        height_px=micrometer.height_px,
    )
    count = 0
    for picture in waiting.order_by("pk"):
        picture.scale = scale
        picture.save()
        count += 1
    return scale, count
