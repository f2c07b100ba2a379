"""Dump and load a PostgreSQL database by the server's own version of its programs."""

import os
import re
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, cast

from django.conf import settings
from django.db import transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from samples.maintenance.archive import CHUNK, Report, Writable
from samples.maintenance.errors import CannotBackUp, CannotRestore, DamagedBackup, UnfitTools
from samples.maintenance.tables import Snapshot, count_rows, list_uploads

MEMBER = "database.dump"
# The custom format is compressed already.
COMPRESS = False
EVERY_SECONDS = 2.0
LOCK_WAIT_MS = 60_000
_VERSION = re.compile(r"\(PostgreSQL\) (\d+)")


def server_version(connection: BaseDatabaseWrapper) -> str:
    return f"PostgreSQL {_server_major(connection)}"


def tool_version(connection: BaseDatabaseWrapper) -> str:
    return f"pg_dump {_major_of(_find('pg_dump'))}"


def _server_major(connection: BaseDatabaseWrapper) -> int:
    return int(connection.pg_version) // 10_000  # type: ignore[attr-defined]


def _find(name: str) -> str:
    folder = settings.PG_TOOLS
    found = shutil.which(name, path=folder or None)
    if found is None:
        where = f"in {folder}" if folder else "on this machine"
        raise UnfitTools(
            "tool_missing",
            f"There is no {name} {where}. Set EARSTONE_PG_TOOLS to the folder that holds the "
            "programs of PostgreSQL, such as /usr/lib/postgresql/18/bin.",
        )
    return found


def _major_of(tool: str) -> int:
    message = subprocess.run([tool, "--version"], capture_output=True, text=True, check=False)  # noqa: S603
    found = _VERSION.search(message.stdout)
    if found is None:
        raise UnfitTools(
            "tool_unknown",
            f"{tool} does not say its version: {message.stderr.strip() or message.stdout}",
        )
    return int(found[1])


def check_tools(connection: BaseDatabaseWrapper, dumped_by: str = "") -> None:
    """See that pg_dump and pg_restore are as new as the server, and as what dumped.

    :raises UnfitTools: saying what to set
    """
    needed = max([_server_major(connection), *map(int, re.findall(r"\d+", dumped_by))])
    for name in ("pg_dump", "pg_restore"):
        tool = _find(name)
        major = _major_of(tool)
        if major < needed:
            raise UnfitTools(
                "tool_too_old",
                f"{name} of PostgreSQL {major} is too old: PostgreSQL {needed} is needed here. "
                "Set EARSTONE_PG_TOOLS to the folder of that version's programs, such as "
                f"/usr/lib/postgresql/{needed}/bin.",
            )


def dump(
    connection: BaseDatabaseWrapper, out: Writable, *, scratch: Path, report: Report
) -> Snapshot:
    """Write the database to ``out`` as of one moment; return what it held then.

    Rows are counted in the snapshot that is dumped: what arrives meanwhile is in neither.

    :raises CannotBackUp: if pg_dump fails
    """
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        cursor.execute("SELECT pg_export_snapshot()")
        (name,) = cursor.fetchone()
        report("Counting rows ...")
        held = Snapshot(count_rows(connection), list_uploads(connection))
        arguments = [
            "--format=custom",
            f"--snapshot={name}",
            f"--lock-wait-timeout={LOCK_WAIT_MS}",
        ]
        with _running(connection, "pg_dump", arguments, stdout=subprocess.PIPE) as (
            process,
            message,
        ):
            _pass_on(process.stdout, out, report)
            if process.wait() != 0:
                raise CannotBackUp("dump_failed", f"pg_dump failed. It said: {message()}")
    return held


def _pass_on(source: IO[bytes], out: Writable, report: Report) -> None:
    done, told_at = 0, time.monotonic()
    while data := source.read(CHUNK):
        out.write(data)
        done += len(data)
        if time.monotonic() - told_at >= EVERY_SECONDS:
            told_at = time.monotonic()
            report(f"Writing the database: {done / 1e6:,.0f} MB so far")
    report(f"Wrote the database: {done / 1e6:,.1f} MB")


def check_dump(member: IO[bytes], counts: dict[str, int]) -> None:
    """List what a dump holds, by pg_restore itself.

    :raises DamagedBackup: if it can't be read or lacks the data of a table
    """
    with tempfile.TemporaryFile() as listed, tempfile.TemporaryFile() as errors:
        process = subprocess.Popen(  # noqa: S603
            [_find("pg_restore"), "--list"], stdin=subprocess.PIPE, stdout=listed, stderr=errors
        )
        with process:
            _feed(cast(IO[bytes], process.stdin), member)
        listed.seek(0)
        text = listed.read().decode(errors="replace")
    data = set(re.findall(r"^\d+; \d+ \d+ TABLE DATA \S+ (\S+) ", text, re.MULTILINE))
    missing = sorted(set(counts) - data)
    if process.returncode != 0 or missing:
        named = f" It lacks {', '.join(missing[:5])}." if missing else ""
        raise DamagedBackup(
            "database_unreadable",
            f"The database in it can't be read back by pg_restore.{named}",
        )


def load(connection: BaseDatabaseWrapper, member: IO[bytes], report: Report) -> None:
    """Fill an empty database from a dump, whole or not at all.

    :raises CannotRestore: if pg_restore fails
    """
    report("Writing the database ...")
    name = str(connection.settings_dict["NAME"])
    arguments = [
        "--exit-on-error",
        "--single-transaction",
        # Whoever restores owns the tables, whatever the role was called where they come from.
        "--no-owner",
        "--no-privileges",
        f"--dbname={name}",
    ]
    with _running(connection, "pg_restore", arguments, stdin=subprocess.PIPE) as (process, message):
        _feed(process.stdin, member)
        if process.wait() != 0:
            raise CannotRestore(
                "load_failed", f"pg_restore failed and wrote nothing. It said: {message()}"
            )


def _feed(target: IO[bytes], member: IO[bytes]) -> None:
    try:
        with target:
            while data := member.read(CHUNK):
                target.write(data)
    except BrokenPipeError:
        # It stopped before the end; its exit code and its own words say why.
        while member.read(CHUNK):
            pass


@contextmanager
def _running(
    connection: BaseDatabaseWrapper,
    name: str,
    arguments: list[str],
    *,
    stdin: int | None = None,
    stdout: int | None = None,
) -> Iterator[tuple[Any, Any]]:
    """Run a program against the database of a connection; the password is not on its line."""
    given, environment = connection.client.settings_to_cmd_args_env(connection.settings_dict, [])
    # "psql", how to reach the server, and last the database.
    reach = [one for one in given[1:-1] if one]
    last = [str(given[-1])] if name == "pg_dump" else []
    with tempfile.TemporaryFile() as errors:

        def message() -> str:
            errors.seek(0)
            return errors.read().decode(errors="replace").strip() or "nothing"

        process = subprocess.Popen(  # noqa: S603
            [_find(name), "--no-password", *reach, *arguments, *last],
            env={**os.environ, **(environment or {})},
            stdin=stdin,
            stdout=stdout,
            stderr=errors,
        )
        try:
            with process:
                yield process, message
        except BaseException:
            process.kill()
            raise
