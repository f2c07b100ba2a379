"""Photos and their files: each photo has its own, and no file is without one."""

from datetime import datetime

from django.core.files.storage import Storage

from samples.maintenance.files import sha256_of, written_before
from samples.models import PHOTOS_FOLDER, Photo


def photos_without_file() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the ids of fish whose photo has no file, and of those whose file is another."""
    missing: list[str] = []
    changed: list[str] = []
    for photo in Photo.objects.order_by("pk").iterator():
        found = sha256_of(photo.file)
        if found is None:
            missing.append(str(photo.fish_id))
        elif found != photo.sha256:
            changed.append(str(photo.fish_id))
    return tuple(missing), tuple(changed)


def stray_photos(now: datetime) -> list[str]:
    """Return the files that no photo names, such as a stopped server leaves."""
    # Listed first: what is written meanwhile is then no stray.
    files = written_before(_storage(), PHOTOS_FOLDER, now)
    named = set(Photo.objects.values_list("file", flat=True))
    return sorted(files - named)


def delete_stray_photos(now: datetime) -> int:
    """Delete the files that no photo names, and return how many."""
    stray = stray_photos(now)
    for name in stray:
        _storage().delete(name)
    return len(stray)


def _storage() -> Storage:
    storage: Storage = Photo._meta.get_field("file").storage
    return storage
