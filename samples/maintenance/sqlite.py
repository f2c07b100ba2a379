"""Dump and load an SQLite database by its online backup: safe while the site runs."""

import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import IO

from django.db.backends.base.base import BaseDatabaseWrapper

from samples.maintenance.archive import CHUNK, Report, Writable
from samples.maintenance.errors import CannotBackUp, DamagedBackup
from samples.maintenance.tables import Snapshot, queries_of_uploads

MEMBER = "database.sqlite3"
# A dump is a plain database file, with much air in it.
COMPRESS = True


def server_version(connection: BaseDatabaseWrapper) -> str:
    return f"SQLite {sqlite3.sqlite_version}"


tool_version = server_version


def dump(
    connection: BaseDatabaseWrapper, out: Writable, *, scratch: Path, report: Report
) -> Snapshot:
    """Write the database to ``out`` as of one moment; return what it held then.

    :raises CannotBackUp: if the copy does not hold together
    """
    with _scratch_file(scratch) as path:
        report("Copying the database ...")
        connection.ensure_connection()
        with closing(sqlite3.connect(path)) as copy:
            # In one step: in pieces it would begin anew whenever somebody writes.
            connection.connection.backup(copy)
            # A file by itself, without a log beside it.
            copy.execute("PRAGMA journal_mode=DELETE")
            if not _is_sound(copy):
                raise CannotBackUp(
                    "database_damaged",
                    "The database is damaged: SQLite's own check found errors.",
                )
            counts = _count_rows(copy)
            uploads = _list_uploads(copy, counts)
        _write_file(path, out, report)
    return Snapshot(counts, uploads)


def _write_file(path: Path, out: Writable, report: Report) -> None:
    size = path.stat().st_size
    done, told = 0, 0
    with path.open("rb") as file:
        while data := file.read(CHUNK):
            out.write(data)
            done += len(data)
            percent = 100 * done // size
            if percent - told >= 10:
                told = percent
                report(f"Writing the database: {percent}%")


def check_dump(member: IO[bytes], counts: dict[str, int]) -> None:
    """Open a dump and count it.

    :raises DamagedBackup: if it is no sound database or holds other rows than noted
    """
    with _extracted(member) as path, closing(sqlite3.connect(path)) as copy:
        try:
            if not _is_sound(copy) or _count_rows(copy) != counts:
                raise DamagedBackup(
                    "other_rows", "The database in it is not what its manifest says."
                )
        except sqlite3.DatabaseError as problem:
            raise DamagedBackup(
                "database_unreadable", "The database in it can't be opened."
            ) from problem


def load(connection: BaseDatabaseWrapper, member: IO[bytes], report: Report) -> None:
    """Fill an empty database from a dump."""
    with _extracted(member) as path, closing(sqlite3.connect(path)) as copy:
        report("Writing the database ...")
        connection.ensure_connection()
        copy.backup(connection.connection)
    # A connection keeps what it knew of the tables; the next one begins afresh.
    if not connection.is_in_memory_db():  # type: ignore[attr-defined]
        connection.close()


def check_tools(connection: BaseDatabaseWrapper, dumped_by: str = "") -> None:
    """Check nothing: SQLite needs no programs of its own."""


def _is_sound(database: sqlite3.Connection) -> bool:
    return bool(database.execute("PRAGMA integrity_check").fetchall() == [("ok",)])


def _count_rows(database: sqlite3.Connection) -> dict[str, int]:
    names = database.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite^_%' "
        "ESCAPE '^' ORDER BY name"
    ).fetchall()
    return {
        name: int(database.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0])  # noqa: S608
        for (name,) in names
    }


def _list_uploads(database: sqlite3.Connection, tables: dict[str, int]) -> list[str]:
    rows = [row for sql in queries_of_uploads(tables) for row in database.execute(sql)]
    return sorted({name for (name,) in rows if name})


@contextmanager
def _scratch_file(folder: Path | None) -> Iterator[Path]:
    handle, name = tempfile.mkstemp(prefix=".earstone-", suffix=".part", dir=folder)
    os.close(handle)
    try:
        yield Path(name)
    finally:
        Path(name).unlink(missing_ok=True)


@contextmanager
def _extracted(member: IO[bytes]) -> Iterator[Path]:
    with _scratch_file(None) as path:
        with path.open("wb") as file:
            while data := member.read(CHUNK):
                file.write(data)
        yield path
