"""Pictures and their files: each has its original and copies, and no file is without a picture.

Tiles are drawn again where they are lost, so that only stray ones are of interest.
"""

from collections.abc import Iterator
from datetime import datetime

from django.core.files.storage import Storage
from django.db.models import F, Q, QuerySet

from samples.maintenance.files import sha256_of, written_before
from samples.models import PICTURES_FOLDER, TILES_FOLDER, Picture

# Each file of a picture that is kept, with the column of its digest.
_KEPT = (
    ("original", "original_sha256"),
    ("file", "sha256"),
    ("thumbnail", "thumbnail_sha256"),
)


def pictures_without_files() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the ids of pictures that lack a file, and of those with another one."""
    missing: list[str] = []
    changed: list[str] = []
    for picture in Picture.objects.order_by("pk").iterator():
        digests = [(sha256_of(getattr(picture, name)), getattr(picture, to)) for name, to in _KEPT]
        if any(found is None for found, _ in digests):
            missing.append(str(picture.pk))
        elif any(found != noted for found, noted in digests):
            changed.append(str(picture.pk))
    return tuple(missing), tuple(changed)


def pictures_of_other_lakes() -> QuerySet[Picture]:
    """Return the pictures whose vial, objective or scale is that of others."""
    wrong = (
        (Q(vial__isnull=False) & ~Q(vial__lake=F("lake")))
        | (Q(objective__isnull=False) & ~Q(objective__lake=F("lake")))
        | (Q(scale__isnull=False) & ~Q(scale__objective=F("objective")))
    )
    return Picture.objects.filter(wrong)


def stray_picture_files(now: datetime) -> list[str]:
    """Return the files that no picture names."""
    return [name for _, name in _strays(now)]


def delete_stray_picture_files(now: datetime) -> int:
    """Delete the files that no picture names, and return how many."""
    strays = list(_strays(now))
    for storage, name in strays:
        storage.delete(name)
    return len(strays)


def _strays(now: datetime) -> Iterator[tuple[Storage, str]]:
    kept, tiles = Picture().original.storage, Picture().tiles.storage
    # Listed first: what is written meanwhile is then no stray.
    files = sorted(written_before(kept, PICTURES_FOLDER, now))
    drawn = sorted(written_before(tiles, TILES_FOLDER, now))
    named: set[str] = set()
    for row in Picture.objects.values_list("original", "file", "thumbnail", "tiles"):
        named.update(row)
    yield from ((kept, name) for name in files if name not in named)
    yield from ((tiles, name) for name in drawn if name not in named)
