"""Marks on a picture, kept with the reading whose count they are."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise

from samples.lab.services.errors import CannotRead
from samples.lab.services.radii import set_radii
from samples.lab.services.readings import Saved, save_reading
from samples.models import MarkedRadius, Picture, Reading, User, atomic_with_revision
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
    picture = Picture.objects.select_related("vial", "scale").get(pk=picture.pk)
    if picture.vial is None:
        raise CannotRead("no_vial", "This picture belongs to no vial yet. Match it first.")
    if not 1 <= len(drawn) <= MOST_RADII:
        raise CannotRead("no_radius", "Draw a radius: mark the core, then the edge.", FIELD)
    for radius in drawn:
        _refuse_if_wrong(radius, picture)
    # Another count takes the marks away, but not that suggestions were shown.
    shown = _positions_with_suggestion(picture, reader, facts.method, sitting_on)
    saved = save_reading(
        vial=picture.vial,
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


def _positions_with_suggestion(
    picture: Picture, reader: User, method: str, sitting_on: date
) -> set[int]:
    kept = MarkedRadius.objects.filter(
        reading__vial=picture.vial,
        reading__reader=reader,
        reading__method=method,
        reading__sitting_on=sitting_on,
        with_suggestion=True,
    )
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
