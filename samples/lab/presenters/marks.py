"""What the page of marks shows: a vial's pictures, and marks of the reader and of others."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet

from samples.models import Fish, Lake, MarkedRadius, Picture, Reading, SessionOtolith, User, Vial


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


def session_marks_page(
    otolith: SessionOtolith, picture: Picture, fish: Fish, *, hides_earlier: bool
) -> MarksPage:
    """Return the same for one otolith of a session: only what was said in it is the reader's own.

    Where earlier readings are hidden, not even that there are other marks is told.
    """
    reading = Reading.objects.filter(session_otolith=otolith).first()
    own = reading.marked_radii.filter(picture=picture) if reading is not None else ()
    others = _marks_of_others(picture, otolith.session.reader)
    return MarksPage(
        vial=otolith.vial,
        fish=fish,
        picture=picture,
        pictures=list(pictures_to_mark(otolith.vial)),
        reading=reading,
        own=[_as_drawn(one) for one in own],
        layers=_layers(others) if reading is not None and not hides_earlier else [],
        others_hidden=reading is None and not hides_earlier and others.exists(),
    )


@dataclass(frozen=True, slots=True)
class MarkedPicture:
    """The picture that a reading was made on, with what its reader marked there."""

    picture: Picture
    radii: list[dict[str, Any]]


def marked_pictures(readings: Iterable[Reading]) -> dict[int, MarkedPicture]:
    """Return the picture of each reading that was made by marks, by reading."""
    marked = MarkedRadius.objects.filter(reading__in=list(readings))
    found: dict[int, MarkedPicture] = {}
    for one in marked.select_related("picture__scale").order_by("reading_id", "position"):
        shown = found.setdefault(one.reading_id, MarkedPicture(one.picture, []))
        # A second radius may have been drawn on another picture.
        if one.picture_id == shown.picture.pk:
            shown.radii.append(_as_drawn(one))
    return found


def pictures_to_mark(vial: Vial) -> QuerySet[Picture]:
    """Return the pictures of a vial's otoliths, in the order in which they came."""
    return (
        Picture.objects.filter(vial=vial)
        .select_related("scale", "vial")
        .order_by("uploaded_at", "pk")
    )


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
