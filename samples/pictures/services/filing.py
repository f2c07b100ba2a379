"""Which vial a picture belongs to, and what else is noted of it."""

from datetime import datetime

from django.core.files.storage import Storage
from django.db import transaction
from django.db.models import ProtectedError

from samples.models import Objective, Picture, User, Vial
from samples.pictures.queries import current_scale
from samples.pictures.services.errors import CannotChangePicture


@transaction.atomic
def file_picture(
    *,
    picture: Picture,
    vial: Vial | None,
    side: str,
    note: str,
    objective: Objective | None,
    actor: User,
    now: datetime,
) -> Picture:
    """Say which vial a picture belongs to and what is noted of it; without a vial it is aside.

    Another objective brings its scale along; the same one leaves the scale as it was.

    :raises CannotChangePicture: if the vial cannot be that of the picture
    """
    row = Picture.objects.select_for_update(of=("self",)).get(pk=picture.pk)
    _move(row, vial, actor, now)
    row.side, row.note = side, note
    changed = row.objective_id != (objective.pk if objective else None)
    if changed:
        row.objective = objective
        row.scale = current_scale(objective, row) if objective is not None else None
    row.save()
    return row


def _move(row: Picture, vial: Vial | None, actor: User, now: datetime) -> None:
    if row.kind == Picture.Kind.MICROMETER and vial is not None:
        raise CannotChangePicture(
            "micrometer", "vial", "This is a picture of a stage micrometer. It belongs to no vial."
        )
    if vial is not None and vial.lake_id != row.lake_id:
        raise CannotChangePicture("other_lake", "vial", "No vial of this lake has that number.")
    if vial is not None and row.vial_id == vial.pk:
        return
    if row.marked_radii.exists():
        raise CannotChangePicture(
            "marked", "vial", "Annuli are marked on this picture. Delete that reading first."
        )
    row.vial, row.suggested_vial = vial, None
    row.confirmed_by, row.confirmed_at = (actor, now) if vial is not None else (None, None)


def delete_picture(*, picture: Picture) -> None:
    """Delete a picture that is kept aside, with its files.

    :raises CannotChangePicture: if it belongs to a vial, or something rests on it
    """
    with transaction.atomic():
        row = Picture.objects.select_for_update(of=("self",)).get(pk=picture.pk)
        if row.vial_id is not None:
            raise CannotChangePicture(
                "has_a_vial", None, "This picture belongs to a vial. Set it aside first."
            )
        files = [(one.storage, one.name) for one in (row.original, row.file, row.thumbnail)]
        if row.tiles:
            files.append((row.tiles.storage, row.tiles.name))
        try:
            row.delete()
        except ProtectedError as problem:
            raise CannotChangePicture(
                "in_use", None, "A scale or a reading rests on this picture, so it stays."
            ) from problem
        for storage, name in files:
            _delete_after_commit(storage, name)


def _delete_after_commit(storage: Storage, name: str) -> None:
    # Robust: the row is gone by then, and one file that stays keeps no other.
    transaction.on_commit(lambda: storage.delete(name), robust=True)
