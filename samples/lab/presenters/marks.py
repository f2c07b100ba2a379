"""What the page of marks shows: a vial's pictures, and marks of the reader and of others."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet

from samples.models import Fish, Lake, MarkedRadius, Picture, Reading, User, Vial


@dataclass(frozen=True, slots=True)
class MarksPage:
    """One picture of a vial with the reader's marks of today.

    ``layers`` holds what others marked, once the reader has saved a reading of the vial;
    ``others_hidden`` says that there is something they will see then.
    """

    vial: Vial
    fish: Fish
    picture: Picture
    pictures: list[Picture]
    reading: Reading | None
    own: list[dict[str, Any]]
    layers: list[dict[str, Any]]
    others_hidden: bool


def marks_page(picture: Picture, fish: Fish, reader: User, *, today: date) -> MarksPage:
    vial = fish.vial
    if vial is None:
        raise ValueError("marks belong to a vial")
    readings = Reading.objects.filter(vial=vial, reader=reader)
    reading = readings.filter(sitting_on=today).order_by("-read_at", "-pk").first()
    own = reading.marked_radii.filter(picture=picture) if reading is not None else ()
    others = _marks_of_others(picture, reader)
    may_see = readings.exists()
    return MarksPage(
        vial=vial,
        fish=fish,
        picture=picture,
        pictures=list(pictures_to_mark(vial)),
        reading=reading,
        own=[_as_drawn(one) for one in own],
        layers=_layers(others) if may_see else [],
        others_hidden=not may_see and others.exists(),
    )


def pictures_to_mark(vial: Vial) -> QuerySet[Picture]:
    """Return the pictures of a vial's otoliths, in the order in which they came."""
    return Picture.objects.filter(vial=vial).select_related("scale").order_by("uploaded_at", "pk")


def picture_to_mark(lake: Lake, vial: Vial, asked: str) -> Picture | None:
    """Return the picture of a vial that an address asks for, or its first."""
    found = pictures_to_mark(vial).filter(lake=lake)
    chosen = found.filter(pk=int(asked)).first() if asked.isdecimal() and len(asked) < 10 else None
    return chosen or found.first()


def _marks_of_others(picture: Picture, reader: User) -> QuerySet[MarkedRadius]:
    found = MarkedRadius.objects.filter(picture=picture).exclude(reading__reader=reader)
    return found.select_related("reading__reader").order_by(
        "reading__sitting_on", "reading_id", "position"
    )


def _layers(radii: Iterable[MarkedRadius]) -> list[dict[str, Any]]:
    """Return the radii of each reading together, with who read it and when."""
    found: dict[int, dict[str, Any]] = {}
    for one in radii:
        reading = one.reading
        layer = found.setdefault(
            reading.pk,
            {
                "reader": str(reading.reader),
                "read_on": reading.sitting_on.isoformat(),
                "annuli": reading.annuli,
                "radii": [],
            },
        )
        layer["radii"].append(_as_drawn(one))
    return list(found.values())


def _as_drawn(one: MarkedRadius) -> dict[str, Any]:
    return {
        "core": [one.core_x_px, one.core_y_px],
        "edge": [one.edge_x_px, one.edge_y_px],
        "annuli_px": one.annuli_px,
        "with_suggestion": one.with_suggestion,
    }
