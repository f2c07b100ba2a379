"""The uploads of a site as backups see them: in a folder, or in a bucket."""

from typing import IO

from django.conf import settings
from django.core.files.base import File
from django.core.files.storage import Storage, default_storage

from fisheries.files import BUCKET


def storage_of_uploads() -> Storage | None:
    """Return where uploads are kept, or None where the site keeps none."""
    return default_storage if settings.MEDIA_ROOT or _in_bucket() else None


def name_of_place() -> str:
    """Return the place of uploads as an administrator knows it."""
    uploads = settings.STORAGES["default"]
    if _in_bucket():
        return f"bucket of uploads, {uploads['OPTIONS']['bucket_name']}"
    return f"folder of uploads, {settings.MEDIA_ROOT}"


def is_empty(storage: Storage) -> bool:
    """Return whether nothing at all is kept there."""
    try:
        folders, files = storage.listdir("")
    except FileNotFoundError:
        return True
    return not folders and not files


def write_upload(storage: Storage, name: str, content: IO[bytes]) -> None:
    """Keep an upload under its own name.

    :raises FileExistsError: if another file has it
    """
    kept = storage.save(name, File(content))
    if kept != name:
        storage.delete(kept)
        raise FileExistsError(f"{name} is already in the {name_of_place()}.")


def _in_bucket() -> bool:
    return bool(settings.STORAGES["default"]["BACKEND"] == BUCKET)
