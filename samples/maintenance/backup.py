"""Make a backup: one dated file, written beside its place, read back, then moved there.

An older backup is never written over, and goes only once a newer one was read back whole.
"""

import fcntl
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.core.files.storage import Storage
from django.db.backends.base.base import BaseDatabaseWrapper

import fisheries
from fisheries.files import FilesUnreachable
from samples.maintenance.archive import (
    MEDIA,
    Archive,
    Manifest,
    Report,
    check_members,
    copy,
    opened,
    read_manifest,
)
from samples.maintenance.engines import BY_VENDOR, engine_of
from samples.maintenance.errors import CannotBackUp, DamagedBackup, UnfitTools
from samples.maintenance.tables import list_applied_migrations, list_tables, list_uploads
from samples.maintenance.uploads import storage_of_uploads

# Sorted by name they are sorted by time. No colons: not every disk takes them.
_STAMP = "%Y-%m-%dT%H-%M-%SZ"
_NAME = re.compile(r"^earstone-(\d{4}-\d\d-\d\dT\d\d-\d\d-\d\dZ)\.zip$")
_UNFINISHED = (".earstone-*.part", "earstone-*.zip.part")
_LOCK = ".earstone-backup.lock"
# Uploads are replaced now and then, never all the time.
_TRIES = 3
# Passwords' digests and where people fish are in it: nobody but its owner reads it.
_OWNER_ONLY = 0o077


def make_backup(
    connection: BaseDatabaseWrapper, folder: Path, *, now: datetime, keep: int, report: Report
) -> Path:
    """Back up the database and uploads to a new file in the folder, and return its path.

    Of older backups in the folder the ``keep`` latest stay, this one counted; 0 keeps all.

    :raises CannotBackUp: if it can't be made whole; older ones are then untouched
    """
    with _owner_only(), _locked(folder):
        _clear_unfinished(folder)
        path = folder / f"earstone-{now.astimezone(UTC).strftime(_STAMP)}.zip"
        if path.exists():
            raise CannotBackUp("exists", f"{path} already exists and is never overwritten.")
        unfinished = path.with_name(f"{path.name}.part")
        try:
            _write_whole(connection, unfinished, now=now, report=report)
            check_backup(unfinished, report)
            unfinished.rename(path)
            _sync_folder(folder)
        except (DamagedBackup, UnfitTools) as problem:
            raise CannotBackUp(problem.code, str(problem)) from problem
        except FilesUnreachable as problem:
            raise CannotBackUp("files_unreachable", str(problem)) from problem
        except OSError as problem:
            raise CannotBackUp("disk", str(problem)) from problem
        finally:
            unfinished.unlink(missing_ok=True)
        if keep:
            _drop_older(folder, keep, report)
    return path


def list_backups(folder: Path) -> list[Path]:
    """Return the finished backups of a folder, the oldest first."""
    if not folder.is_dir():
        return []
    return sorted(path for path in folder.iterdir() if _NAME.match(path.name))


def made_at(path: Path) -> datetime:
    """Return when a backup was made, by its name."""
    found = _NAME.match(path.name)
    if found is None:
        raise ValueError(f"{path.name} is no name of a backup")
    return datetime.strptime(found[1], _STAMP).replace(tzinfo=UTC)


def age_of_newest(folder: Path, now: datetime) -> timedelta | None:
    """Return how old the newest backup of a folder is, or None without any."""
    found = list_backups(folder)
    return now - made_at(found[-1]) if found else None


def check_backup(path: Path, report: Report) -> Manifest:
    """Read a backup back: every checksum, and the dump by the program that restores it.

    :raises DamagedBackup: saying what is wrong with it
    """
    with opened(path) as backup:
        manifest = read_manifest(backup)
        check_members(backup, manifest, report)
        engine = BY_VENDOR.get(manifest.engine)
        if engine is None or engine.MEMBER not in manifest.members:
            raise DamagedBackup("no_database", "It has no database in it.")
        with backup.open(engine.MEMBER) as member:
            engine.check_dump(member, manifest.counts)
    return manifest


class _UploadReplaced(Exception):
    """An upload that the dump names was replaced before it was copied."""


def _write_whole(
    connection: BaseDatabaseWrapper, path: Path, *, now: datetime, report: Report
) -> None:
    """Write until database and uploads are of one moment."""
    for _ in range(_TRIES):
        try:
            return _write(connection, path, now=now, report=report)
        except _UploadReplaced:
            report("A photo was replaced meanwhile. Starting again ...")
            path.unlink()
    raise CannotBackUp("uploads_changing", "Photos were replaced again and again. Try later.")


def _write(connection: BaseDatabaseWrapper, path: Path, *, now: datetime, report: Report) -> None:
    engine = engine_of(connection)
    if not list_tables(connection):
        raise CannotBackUp(
            "no_tables",
            "This database has no tables, so there is nothing to back up. Check DATABASE_URL.",
        )
    engine.check_tools(connection)
    # Never over another file, not even an unfinished one.
    with path.open("xb") as file:
        with Archive(file) as archive:
            with archive.member(engine.MEMBER, compress=engine.COMPRESS) as out:
                held = engine.dump(connection, out, scratch=path.parent, report=report)
            _write_media(connection, archive, held.uploads, report)
            archive.add_manifest(_manifest_of(connection, archive, held.counts, now))
        file.flush()
        os.fsync(file.fileno())


def _manifest_of(
    connection: BaseDatabaseWrapper, archive: Archive, counts: dict[str, int], now: datetime
) -> Manifest:
    engine = engine_of(connection)
    return Manifest(
        made_at=now.astimezone(UTC).isoformat(timespec="seconds"),
        version=fisheries.__version__,
        engine=connection.vendor,
        server=engine.server_version(connection),
        tool=engine.tool_version(connection),
        migrations=list_applied_migrations(connection),
        counts=counts,
        members=archive.members,
    )


def _write_media(
    connection: BaseDatabaseWrapper, archive: Archive, uploads: list[str], report: Report
) -> None:
    """Add the uploads that the dump names, and no others: what came later is in neither."""
    storage = storage_of_uploads()
    missing = []
    for number, upload in enumerate(uploads, start=1):
        if number % 100 == 1:
            report(f"Writing uploads: {number:,} of {len(uploads):,}")
        if storage is None or not _write_upload(archive, storage, upload):
            missing.append(upload)
    if missing and not set(missing) <= set(list_uploads(connection)):
        raise _UploadReplaced
    if missing:
        report(f"Uploads missing before this backup: {len(missing):,}. Run manage.py check_data.")


def _write_upload(archive: Archive, storage: Storage, upload: str) -> bool:
    """Add one upload; return whether it is there."""
    try:
        file = storage.open(upload)
    except FileNotFoundError:
        return False
    # Photographs are compressed already.
    with file, archive.member(MEDIA + upload, compress=False) as out:
        copy(file, out)
    return True


# ---------- The folder ----------


@contextmanager
def _owner_only() -> Iterator[None]:
    before = os.umask(_OWNER_ONLY)
    try:
        yield
    finally:
        os.umask(before)


@contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """Let one backup at a time work in a folder; the system lets go when a process dies."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle = os.open(folder / _LOCK, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError as problem:
        raise CannotBackUp("disk", f"Can't write to {folder}: {problem.strerror}.") from problem
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield
    except BlockingIOError as problem:
        raise CannotBackUp("running", f"Another backup to {folder} is running.") from problem
    finally:
        os.close(handle)


def _clear_unfinished(folder: Path) -> None:
    """Remove what a backup left that was killed: under the lock nobody writes to it."""
    for pattern in _UNFINISHED:
        for path in folder.glob(pattern):
            path.unlink(missing_ok=True)


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _drop_older(folder: Path, keep: int, report: Report) -> None:
    for path in list_backups(folder)[:-keep]:
        path.unlink()
        report(f"Removed {path.name}: {keep} are kept.")
