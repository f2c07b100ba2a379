"""Photos and their files: each photo has its own, and no file is without one."""

import hashlib
from collections.abc import Iterator
from datetime import datetime, timedelta

from django.core.files.storage import Storage

from samples.models import PHOTOS_FOLDER, Photo

# A file is written a moment before its row is committed.
_BEING_WRITTEN = timedelta(hours=1)


def photos_without_file() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the ids of fish whose photo has no file, and of those whose file is another."""
    missing: list[str] = []
    changed: list[str] = []
    for photo in Photo.objects.order_by("pk").iterator():
        try:
            with photo.file.open("rb") as file:
                is_kept = hashlib.file_digest(file, "sha256").hexdigest() == photo.sha256
        except OSError:
            missing.append(str(photo.fish_id))
            continue
        if not is_kept:
            changed.append(str(photo.fish_id))
    return tuple(missing), tuple(changed)


def stray_photos(now: datetime) -> list[str]:
    """Return the files that no photo names, such as a stopped server leaves."""
    storage = _storage()
    # Listed first: what is written meanwhile is then no stray.
    files = [name for name in _files_below(storage, PHOTOS_FOLDER) if _is_old(storage, name, now)]
    named = set(Photo.objects.values_list("file", flat=True))
    return sorted(set(files) - named)


def _is_old(storage: Storage, name: str, now: datetime) -> bool:
    try:
        return now - storage.get_modified_time(name) > _BEING_WRITTEN
    except FileNotFoundError:  # another photo took its place meanwhile
        return False


def delete_stray_photos(now: datetime) -> int:
    """Delete the files that no photo names, and return how many."""
    stray = stray_photos(now)
    for name in stray:
        _storage().delete(name)
    return len(stray)


def _storage() -> Storage:
    storage: Storage = Photo._meta.get_field("file").storage
    return storage


def _files_below(storage: Storage, folder: str) -> Iterator[str]:
    try:
        folders, files = storage.listdir(folder)
    except FileNotFoundError:
        return
    yield from (f"{folder}/{name}" for name in files)
    for name in folders:
        yield from _files_below(storage, f"{folder}/{name}")
