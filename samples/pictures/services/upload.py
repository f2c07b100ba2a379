"""Taking a picture in: the file as it is, and copies that are shown."""

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.core.files.base import ContentFile, File
from django.db import IntegrityError, transaction
from django.db.models.fields.files import FieldFile

from samples.models import Lake, Objective, Picture, User
from samples.pictures.queries import current_scale, vials_named
from samples.pictures.rules import side_in_name
from samples.pictures.services.errors import CannotKeepPicture
from samples.pictures.services.imaging import MOST_BYTES, make_picture
from samples.rules.plain_text import keepable

LONGEST_NAME = 200


@dataclass(frozen=True, slots=True)
class KeptPicture:
    """A picture that is kept, and whether it was kept before."""

    picture: Picture
    is_new: bool


def keep_picture(
    path: Path,
    *,
    name: str,
    lake: Lake,
    author: User,
    now: datetime,
    objective: Objective | None = None,
    is_micrometer: bool = False,
) -> KeptPicture:
    """Keep a picture of a lake; one that was sent before is not kept twice.

    It belongs to no vial yet: its name suggests one, and somebody confirms it. An objective that
    is new is saved along with it.

    :raises CannotKeepPicture: if it is none, a part of one, or too large
    """
    sent_bytes = path.stat().st_size
    if sent_bytes > MOST_BYTES:
        raise CannotKeepPicture("too_large", "The file is larger than 50 MB. Save it smaller.")
    with path.open("rb") as file:
        sha256 = hashlib.file_digest(file, "sha256").hexdigest()
    before = Picture.objects.filter(lake=lake, original_sha256=sha256).first()
    if before is not None:
        return KeptPicture(before, is_new=False)
    made = make_picture(path)
    name = keepable(Path(name.replace("\\", "/")).name)[:LONGEST_NAME]
    named = [] if is_micrometer else vials_named(lake, name)
    picture = Picture(
        lake=lake,
        kind=Picture.Kind.MICROMETER if is_micrometer else Picture.Kind.OTOLITH,
        suggested_vial=named[0] if len(named) == 1 else None,
        side="" if is_micrometer else side_in_name(name),
        objective=objective,
        original_name=name,
        original_sha256=sha256,
        original_bytes=sent_bytes,
        sha256=hashlib.sha256(made.copy).hexdigest(),
        width_px=made.width_px,
        height_px=made.height_px,
        thumbnail_sha256=hashlib.sha256(made.thumbnail).hexdigest(),
        thumbnail_width_px=made.thumbnail_width_px,
        thumbnail_height_px=made.thumbnail_height_px,
        uploaded_by=author,
        uploaded_at=now,
    )
    is_new_objective = objective is not None and objective._state.adding
    if objective is not None and not is_new_objective and not is_micrometer:
        picture.scale = current_scale(objective, picture)
    try:
        with _files_of(picture) as written, transaction.atomic():
            with path.open("rb") as file:
                picture.original.save("original", File(file), save=False)
                written.append(picture.original)
            picture.file.save("copy.jpg", ContentFile(made.copy), save=False)
            written.append(picture.file)
            picture.thumbnail.save("thumbnail.jpg", ContentFile(made.thumbnail), save=False)
            written.append(picture.thumbnail)
            if objective is not None and is_new_objective:
                objective.save()
            picture.save()
    except IntegrityError:
        # The same file sent twice at once: the other sending was quicker.
        kept = Picture.objects.filter(lake=lake, original_sha256=sha256).first()
        if kept is None:
            raise
        return KeptPicture(kept, is_new=False)
    return KeptPicture(picture, is_new=True)


@contextmanager
def _files_of(picture: Picture) -> Iterator[list[FieldFile]]:
    """Give a list of the files written; where the row is not committed, they go too."""
    written: list[FieldFile] = []
    try:
        yield written
    except BaseException:
        for file in written:
            file.storage.delete(str(file.name))
        raise
