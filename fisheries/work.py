"""Where long work is done, and where its results are kept until they are asked for."""

import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from django.core.exceptions import ImproperlyConfigured

EMBEDDED, APART, NONE = "embedded", "apart", "none"
RESULTS_TABLE = "samples_stored_result"
# Pages and files of some dozen choices: in the database they are in its backups too.
REDIS = "django.core.cache.backends.redis.RedisCache"
MOST_RESULTS = 300
# Wrong tries of a day at the most that are let through an hour, with what networks they come from.
MOST_TRIES = 100_000


def is_in_memory(database: dict[str, Any]) -> bool:
    """Return whether a database is in this process alone."""
    return "sqlite" in database["ENGINE"] and database["NAME"] == ":memory:"


def worker_from(named: str, database: dict[str, Any]) -> str:
    """Return who does long work: a process beside the site's own, one apart, or the page itself.

    :raises ImproperlyConfigured: if it is none of these
    """
    if named not in {"", EMBEDDED, APART, NONE}:
        raise ImproperlyConfigured(f"EARSTONE_WORKER is {named!r}. Set embedded, apart or none.")
    if is_in_memory(database):
        return NONE
    return named or (EMBEDDED if "sqlite" in database["ENGINE"] else APART)


def tasks_for(worker: str) -> dict[str, Any]:
    """Return Django's setting of the queue."""
    name = "django_tasks.backends.immediate.ImmediateBackend"
    if worker != NONE:
        name = "django_tasks_db.DatabaseBackend"
    return {"default": {"BACKEND": name, "QUEUES": ["short", "long"]}}


def results_cache(database: dict[str, Any], *, redis: str, folder: str) -> dict[str, Any]:
    """Return Django's setting of the cache of results: one that every process of the site shares.

    A file each on SQLite, whose one writer has other things to do; a table on PostgreSQL.

    :raises ImproperlyConfigured: if Redis is to keep them and its package is not there
    """
    if redis and find_spec("redis") is None:
        raise ImproperlyConfigured("EARSTONE_REDIS is set: install the package redis.")
    if redis:
        return {"BACKEND": REDIS, "LOCATION": redis}
    if is_in_memory(database):
        return {
            "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
            "LOCATION": "results",
        }
    options = {"MAX_ENTRIES": MOST_RESULTS}
    if "sqlite" not in database["ENGINE"]:
        return {
            "BACKEND": "django.core.cache.backends.db.DatabaseCache",
            "LOCATION": RESULTS_TABLE,
            "OPTIONS": options,
        }
    beside = Path(database["NAME"]).resolve().with_suffix(".results")
    return {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": folder or str(beside),
        "OPTIONS": options,
    }


def tries_cache(redis: str) -> dict[str, Any]:
    """Return Django's setting of the cache that counts wrong tries, with room for all of a day.

    Redis counts for all processes of the site together; without it each counts for itself.
    """
    if redis:
        return {"BACKEND": REDIS, "LOCATION": redis, "KEY_PREFIX": "tries"}
    return {
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        "LOCATION": "tries",
        "OPTIONS": {"MAX_ENTRIES": MOST_TRIES},
    }


def from_environment(database: dict[str, Any]) -> tuple[str, dict[str, Any]]:
    """Return who does long work and the cache of its results, as the environment says."""
    worker = worker_from(os.environ.get("EARSTONE_WORKER", ""), database)
    redis = os.environ.get("EARSTONE_REDIS", "")
    return worker, results_cache(
        database, redis=redis, folder=os.environ.get("EARSTONE_RESULTS", "")
    )


def start_embedded_worker() -> "subprocess.Popen[bytes]":
    """Start a worker beside the process that serves the site; it ends when that one is gone."""
    manage = str(Path(__file__).resolve().parent.parent / "manage.py")
    command = [sys.executable, manage, "worker", "--embedded"]
    return subprocess.Popen(command)  # noqa: S603 - our own program
