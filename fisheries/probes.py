"""Answers for machines that watch: does the process live, and is the site fit to work."""

import logging
import os
import shutil
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import DEFAULT_DB_ALIAS, Error, connection, transaction
from django.db.migrations.loader import MigrationLoader
from django.http import HttpRequest, HttpResponse, JsonResponse

from fisheries import __version__
from fisheries.files import BUCKET, FilesUnreachable
from fisheries.work import NONE
from samples.computations.results import worker_seen_at

log = logging.getLogger(__name__)

# Asked more often than this, the last answer is given again: a probe must not be a load.
KEPT_FOR_S = 3.0
# A probe waits no longer than this for SQLite's one writer.
SQLITE_WAIT_MS = 2000
MEGABYTE = 1024 * 1024

Check = Callable[[], str]


class CheckFailed(Exception):
    """A check that failed; the message says what is wrong."""


def healthy(request: HttpRequest) -> HttpResponse:
    """Answer that the process is up; nothing is asked of the database."""
    return HttpResponse("ok", content_type="text/plain")


def check_database() -> str:
    """Read from the database.

    :raises CheckFailed: if it cannot be reached
    """
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except Error as problem:
        raise CheckFailed("The database cannot be reached.") from problem
    return "reachable"


def check_writable() -> str:
    """Write a row and take it back.

    :raises CheckFailed: if the database takes no writes
    """
    on_sqlite = connection.vendor == "sqlite"
    try:
        if on_sqlite:
            _wait_for_sqlite(SQLITE_WAIT_MS)
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(
                "INSERT INTO django_session (session_key, session_data, expire_date) "
                "VALUES (%s, '', '2000-01-01 00:00:00')",
                [f"probe-{os.getpid()}-{time.monotonic_ns()}"[:40]],
            )
            transaction.set_rollback(True)
        if on_sqlite:
            _wait_for_sqlite(settings.DATABASES[DEFAULT_DB_ALIAS]["OPTIONS"]["timeout"] * 1000)
    except Error as problem:
        raise CheckFailed("The database takes no writes.") from problem
    return "writable"


def _wait_for_sqlite(milliseconds: int) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA busy_timeout = {int(milliseconds)}")


def check_migrations() -> str:
    """Compare the tables with what this code expects.

    :raises CheckFailed: if migrations are missing, or some were run that this code does not know
    """
    try:
        loader = MigrationLoader(connection)
    except Error as problem:
        raise CheckFailed("The migrations cannot be read.") from problem
    applied, known = set(loader.applied_migrations), set(loader.disk_migrations)
    missing = sorted(f"{app}.{name}" for app, name in known - applied)
    if missing:
        raise CheckFailed(f"Run manage.py migrate: {', '.join(missing[:5])} not run yet.")
    ours = {app for app, _ in known}
    ahead = sorted(f"{app}.{name}" for app, name in applied - known if app in ours)
    if ahead:
        raise CheckFailed(f"The tables are of a later version: {', '.join(ahead[:5])}.")
    return "as this version expects"


def check_disk() -> str:
    """Look at the room left where this process may write.

    :raises CheckFailed: if too little is left
    """
    name = str(settings.DATABASES[DEFAULT_DB_ALIAS]["NAME"])
    folder = Path(name).parent if connection.vendor == "sqlite" and "/" in name else Path("/")
    free = shutil.disk_usage(folder).free // MEGABYTE
    if free < settings.LEAST_FREE_MB:
        raise CheckFailed(f"{free} MB free on disk; {settings.LEAST_FREE_MB} MB are wanted.")
    return f"{free} MB free"


def check_backup() -> str:
    """Look at the age of the newest backup.

    :raises CheckFailed: if there is none, or it is too old
    """
    folder: Path = settings.BACKUP_FOLDER
    if not folder.exists():
        return "not watched: there is no folder of backups here"
    try:
        newest = max(
            (file.stat().st_mtime for file in folder.iterdir() if file.is_file()), default=0
        )
    except OSError as problem:
        raise CheckFailed("The folder of backups cannot be read.") from problem
    if not newest:
        raise CheckFailed("There is no backup yet.")
    hours = (time.time() - newest) / 3600
    if hours > settings.BACKUP_MAX_AGE_HOURS:
        raise CheckFailed(f"The last backup is {hours:.0f} hours old.")
    return f"{hours:.0f} hours old"


def check_files() -> str:
    """Ask the bucket of uploads, where there is one.

    :raises CheckFailed: if it does not answer
    """
    if settings.STORAGES["default"]["BACKEND"] != BUCKET:
        return "in a folder of this machine"
    try:
        default_storage.exists("ready")
    except FilesUnreachable as problem:
        raise CheckFailed(str(problem)) from problem
    return "reachable"


def check_worker() -> str:
    """Look whether anybody does what takes longer than a page may.

    :raises CheckFailed: if no worker was heard of within the last minute
    """
    if settings.WORKER == NONE:
        return "not needed: pages work everything out themselves"
    try:
        seen_at = worker_seen_at()
    except (Error, OSError) as problem:
        raise CheckFailed("The results of the worker cannot be read.") from problem
    if seen_at is None:
        raise CheckFailed("No worker is running: findings wait. Start manage.py worker.")
    return "running"


# What the site cannot work without, and what somebody should see to.
NEEDED: dict[str, Check] = {
    "database": check_database,
    "writable": check_writable,
    "migrations": check_migrations,
}
WATCHED: dict[str, Check] = {
    "disk": check_disk,
    "backup": check_backup,
    "files": check_files,
    "worker": check_worker,
}

_kept: tuple[float, dict[str, Any]] | None = None


def check_all() -> dict[str, Any]:
    """Run every check; what follows a database that is away is not tried."""
    results: dict[str, str] = {}
    failed: list[str] = []
    warnings: list[str] = []
    for name, check in NEEDED.items():
        if failed and name != "database":
            results[name] = "not tried"
            continue
        results[name] = _run(name, check, failed)
    for name, check in WATCHED.items():
        results[name] = _run(name, check, warnings)
    return {
        "ready": not failed,
        "version": __version__,
        "failed": failed,
        "warnings": warnings,
        "checks": results,
    }


def _run(name: str, check: Check, failed: list[str]) -> str:
    try:
        return check()
    except CheckFailed as problem:
        failed.append(name)
        return str(problem)


def ready(request: HttpRequest) -> HttpResponse:
    """Answer whether the site is fit to work, check by check; 503 when it is not."""
    global _kept
    now = time.monotonic()
    if _kept is None or now - _kept[0] > KEPT_FOR_S:
        _kept = (now, check_all())
    words = _kept[1]
    if not words["ready"]:
        log.error("Not ready: %s", " ".join(words["checks"][name] for name in words["failed"]))
    response = JsonResponse(words, status=200 if words["ready"] else 503)
    response["Cache-Control"] = "no-store"
    return response


PROBES: dict[str, Callable[[HttpRequest], HttpResponse]] = {
    "/healthy/": healthy,
    "/ready/": ready,
}
