"""Marks on a picture, kept with the reading whose count they are."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import pairwise

from django.db.models import QuerySet

from samples.lab.services.errors import CannotRead
from samples.lab.services.radii import set_radii
from samples.lab.services.readings import Saved, save_reading
from samples.lab.services.sessions import OtolithFacts, save_otolith
from samples.models import (
    MarkedRadius,
    Picture,
    Reading,
    SessionOtolith,
    User,
    Vial,
    atomic_with_revision,
)
from samples.models.marks import MOST_RADII
from samples.rules.marks import DrawnRadius, radius_um

FIELD = "marks"


@dataclass(frozen=True, slots=True)
class PlainFacts:
    """What a reader says of an otolith beside its marks."""

    method: str
    margin: int | None
    readability: int | None
    length_was_hidden: bool
    side: str | None = None
    light: str | None = None
    note: str | None = None


@atomic_with_revision()
def save_marks(
    *,
    picture: Picture,
    reader: User,
    drawn: Sequence[DrawnRadius],
    facts: PlainFacts,
    sitting_on: date,
    now: datetime,
    confirmed: Collection[str] = (),
) -> Saved:
    """Keep a reading with its marks: the marks of the first radius are its count.

    Where the picture has a scale, they are its radii in micrometers too.

    :raises CannotRead: if the picture shows no vial, marks do not rise from core to edge, or the
        vial cannot be read
    :raises ReadingNeedsConfirmation: about a likely slip that is not among ``confirmed``
    """
    picture, vial = _marked(picture, drawn)
    # Another count takes the marks away, but not that suggestions were shown.
    shown = _positions_with_suggestion(
        Reading.objects.filter(vial=vial, reader=reader, method=facts.method, sitting_on=sitting_on)
    )
    saved = save_reading(
        vial=vial,
        reader=reader,
        annuli=len(drawn[0].annuli_px),
        margin=facts.margin,
        method=facts.method,
        readability=facts.readability,
        length_was_hidden=facts.length_was_hidden,
        side=facts.side,
        light=facts.light,
        note=facts.note,
        sitting_on=sitting_on,
        now=now,
        confirmed=confirmed,
    )
    _keep(saved.reading, picture, drawn, shown)
    return saved


@atomic_with_revision()
def mark_otolith(
    *,
    otolith: SessionOtolith,
    picture: Picture,
    drawn: Sequence[DrawnRadius],
    facts: OtolithFacts,
    now: datetime,
) -> Saved:
    """Keep the reading of an otolith of a session with its marks, whose number is its count.

    :raises SessionClosed: a reading of a closed session is never changed
    :raises CannotRead: as where marks are saved, or if the picture is of another vial
    :raises ReadingNeedsConfirmation: about a likely slip
    """
    picture, vial = _marked(picture, drawn)
    if vial.pk != otolith.vial_id:
        raise CannotRead("other_picture", "This picture is of another vial now. Choose another.")
    shown = _positions_with_suggestion(Reading.objects.filter(session_otolith=otolith))
    annuli = len(drawn[0].annuli_px)
    saved = save_otolith(otolith=otolith, facts=replace(facts, annuli=annuli), now=now)
    if saved is None:
        raise ValueError("a count makes a reading")
    _keep(saved.reading, picture, drawn, shown)
    return saved


def _marked(picture: Picture, drawn: Sequence[DrawnRadius]) -> tuple[Picture, Vial]:
    """Return the picture as it stands now and its vial, if these marks can be kept on it."""
    picture = Picture.objects.select_related("vial", "scale").get(pk=picture.pk)
    if picture.vial is None:
        raise CannotRead("no_vial", "This picture belongs to no vial yet. Match it first.")
    if not 1 <= len(drawn) <= MOST_RADII:
        raise CannotRead("no_radius", "Draw a radius: mark the core, then the edge.", FIELD)
    for radius in drawn:
        _refuse_if_wrong(radius, picture)
    return picture, picture.vial


def _positions_with_suggestion(readings: QuerySet[Reading]) -> set[int]:
    kept = MarkedRadius.objects.filter(reading__in=readings, with_suggestion=True)
    return set(kept.values_list("position", flat=True))


def _refuse_if_wrong(radius: DrawnRadius, picture: Picture) -> None:
    for x, y in (radius.core, radius.edge):
        if not (0 <= x <= picture.width_px and 0 <= y <= picture.height_px):
            raise CannotRead("off_picture", "Core and edge must lie on the picture.", FIELD)
    reach = (0.0, *radius.annuli_px)
    rises = all(one < other for one, other in pairwise(reach))
    # The last annulus may lie at the edge itself; a hair beyond it is rounding.
    if not rises or reach[-1] > radius.length_px * (1 + 1e-6):
        raise CannotRead(
            "marks_fall", "Marks must lie between core and edge, each farther out.", FIELD
        )


def _keep(
    reading: Reading, picture: Picture, drawn: Sequence[DrawnRadius], shown: Collection[int]
) -> None:
    """Let these marks take the place of earlier ones; rings measured otherwise go as well."""
    scale = picture.um_per_px
    before = {one.position: one for one in reading.marked_radii.all()}
    for position, radius in enumerate(drawn, start=1):
        row = before.pop(position, None) or MarkedRadius(reading=reading, position=position)
        row.picture, row.um_per_px = picture, scale
        (row.core_x_px, row.core_y_px), (row.edge_x_px, row.edge_y_px) = radius.core, radius.edge
        row.annuli_px = list(radius.annuli_px)
        row.with_suggestion = radius.with_suggestion or position in shown
        row.save()
    for row in before.values():
        row.delete()
    if scale is None:
        reading.radii.all().delete()
        reading.edge_um = None
        reading.save(update_fields=["edge_um"])
        return
    first = drawn[0]
    set_radii(
        reading,
        [radius_um(one, scale) for one in first.annuli_px],
        edge_um=radius_um(first.length_px, scale),
    )
