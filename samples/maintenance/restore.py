"""Bring a backup back into an empty database."""

from pathlib import Path
from zipfile import ZipFile

from django.db.backends.base.base import BaseDatabaseWrapper

from fisheries.files import FilesUnreachable
from samples.maintenance.archive import MEDIA, Manifest, Report, opened, read_manifest
from samples.maintenance.backup import check_backup
from samples.maintenance.engines import NAMES, engine_of
from samples.maintenance.errors import CannotRestore, UnfitTools
from samples.maintenance.tables import count_rows, list_known_migrations, list_tables
from samples.maintenance.uploads import (
    is_empty,
    name_of_place,
    storage_of_uploads,
    write_upload,
)

_FISH = "samples_fish"


def restore_backup(connection: BaseDatabaseWrapper, path: Path, *, report: Report) -> Manifest:
    """Fill an empty database, and the folder of uploads, from a backup; hold it to its counts.

    :raises CannotRestore: saying what stands in the way; nothing was changed then
    """
    if not path.is_file():
        raise CannotRestore("no_file", f"There is no file {path}.")
    try:
        with opened(path) as backup:
            manifest = read_manifest(backup)
        _refuse_unless_it_fits(connection, manifest)
        _refuse_full(connection)
        engine_of(connection).check_tools(connection, manifest.tool)
        check_backup(path, report)
        with opened(path) as backup:
            _load(connection, backup, report)
            _check_counts(connection, manifest)
            _write_media(backup, manifest, report)
    except UnfitTools as problem:
        raise CannotRestore(problem.code, str(problem)) from problem
    except FilesUnreachable as problem:
        raise CannotRestore("files_unreachable", str(problem)) from problem
    except OSError as problem:
        raise CannotRestore("disk", str(problem)) from problem
    return manifest


def _refuse_unless_it_fits(connection: BaseDatabaseWrapper, manifest: Manifest) -> None:
    if manifest.engine != connection.vendor:
        of, here = NAMES.get(manifest.engine, manifest.engine), NAMES[connection.vendor]
        raise CannotRestore(
            "other_database",
            f"This is a backup of {of}, and DATABASE_URL names {here}. Set it to an empty "
            f"database of {of}.",
        )
    unknown = sorted(set(manifest.migrations) - list_known_migrations())
    if unknown:
        raise CannotRestore(
            "newer_version",
            f"This backup was made by Earstone {manifest.version}, which has tables that this "
            f"version does not know ({unknown[-1]}). Restore it with that version or a newer one.",
        )
    uploads = [name for name in manifest.members if name.startswith(MEDIA)]
    if not uploads:
        return
    storage = storage_of_uploads()
    if storage is None:
        raise CannotRestore(
            "no_media_folder", "This backup holds uploads, and this site has no folder for them."
        )
    if not is_empty(storage):
        raise CannotRestore(
            "media_not_empty",
            f"The {name_of_place()}, is not empty. Move what is in it away first.",
        )


def _refuse_full(connection: BaseDatabaseWrapper) -> None:
    tables = list_tables(connection)
    if not tables:
        return
    counts = count_rows(connection)
    fish = f" and {counts[_FISH]:,} fish" if _FISH in counts else ""
    raise CannotRestore(
        "not_empty",
        f"This database is not empty: it holds {len(tables)} tables{fish}. A backup is restored "
        "into an empty one, so that nothing is written over. Make a new database, set "
        "DATABASE_URL to it and restore again; docs/operations.md shows each step.",
    )


def _load(connection: BaseDatabaseWrapper, backup: ZipFile, report: Report) -> None:
    engine = engine_of(connection)
    with backup.open(engine.MEMBER) as member:
        engine.load(connection, member, report)


def _check_counts(connection: BaseDatabaseWrapper, manifest: Manifest) -> None:
    counts = count_rows(connection)
    differ = [
        f"{table}: {counts.get(table, 0):,} of {rows:,} rows"
        for table, rows in manifest.counts.items()
        if counts.get(table) != rows
    ]
    if differ:
        raise CannotRestore(
            "rows_differ",
            "Not everything came back. Do not use this database. " + "; ".join(differ),
        )


def _write_media(backup: ZipFile, manifest: Manifest, report: Report) -> None:
    storage = storage_of_uploads()
    names = [name for name in manifest.members if name.startswith(MEDIA)]
    if storage is None or not names:
        return
    report(f"Writing {len(names):,} uploads ...")
    for name in names:
        with backup.open(name) as member:
            write_upload(storage, name.removeprefix(MEDIA), member)
