"""Files of a storage: what lies there, and which of it no row names."""

import hashlib
from collections.abc import Iterator
from datetime import datetime, timedelta

from django.core.files.storage import Storage
from django.db.models.fields.files import FieldFile

# A file is written a moment before its row is committed.
_BEING_WRITTEN = timedelta(hours=1)


def files_below(storage: Storage, folder: str) -> Iterator[str]:
    """Yield the names of all files below a folder; of none that is not there."""
    try:
        folders, files = storage.listdir(folder)
    except FileNotFoundError:
        return
    yield from (f"{folder}/{name}" for name in files)
    for name in folders:
        yield from files_below(storage, f"{folder}/{name}")


def written_before(storage: Storage, folder: str, now: datetime) -> set[str]:
    """Return the files below a folder that nobody is writing any more."""
    return {name for name in files_below(storage, folder) if _is_old(storage, name, now)}


def _is_old(storage: Storage, name: str, now: datetime) -> bool:
    try:
        return now - storage.get_modified_time(name) > _BEING_WRITTEN
    except FileNotFoundError:  # another file took its place meanwhile
        return False


def sha256_of(file: FieldFile) -> str | None:
    """Return the SHA-256 of a file; None where it is missing."""
    try:
        with file.open("rb") as opened:
            return hashlib.file_digest(opened, "sha256").hexdigest()
    except OSError:
        return None
