"""Measure how far the site is from the least its database needs."""

import importlib
import json
import os
import subprocess
import sys
import tempfile
from argparse import ArgumentParser
from pathlib import Path
from types import ModuleType
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from samples.management.timing import BenchmarkResult

# Set for the run that measures: by then the database has been chosen.
CHOSEN = "EARSTONE_BENCHMARK"
FOLDER = Path(settings.BASE_DIR) / "tests" / "benchmarks"


class Command(BaseCommand):
    help = (
        "Run benchmarks and print one JSON object a line: ours and the floor, measured in turn. "
        "They fill a temporary database beside the one named and remove it after."
    )
    # The database is chosen by starting again; nothing of another one may be looked at first.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("names", nargs="*", metavar="NAME", help="default: all")
        parser.add_argument(
            "--database",
            metavar="URL",
            help="a server to make the temporary database on; without it, a PostgreSQL that is "
            "started for this run",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        chosen = modules(options["names"])
        if os.environ.get(CHOSEN) != "1":
            address = options["database"] or own_postgresql()
            code = start_again([module.NAME for module in chosen], address)
            if code:
                raise CommandError("The benchmarks did not finish.", returncode=code)
            return
        for module in chosen:
            for result in measured(module):
                self.stdout.write(json.dumps(result.as_dict()))
                self.stdout.flush()


def modules(names: list[str]) -> list[ModuleType]:
    """Load the benchmarks of these names, or all of them.

    :raises CommandError: if there is none of such a name
    """
    found = {}
    for path in sorted(FOLDER.glob("[!_]*.py")):
        module = importlib.import_module(f"tests.benchmarks.{path.stem}")
        found[module.NAME] = module
    unknown = [name for name in names if name not in found]
    if unknown or not found:
        known = ", ".join(found) or "none"
        raise CommandError(f"No benchmark called {', '.join(unknown)}. There are: {known}.")
    return [found[name] for name in names or found]


def own_postgresql() -> str:
    """Start a PostgreSQL for this run; it stops and goes when this process ends.

    :raises CommandError: if it is not installed or does not start
    """
    try:
        return str(importlib.import_module("tests.__main__").start_postgresql())
    except (AssertionError, ImportError, OSError, RuntimeError) as problem:
        raise CommandError(
            "No PostgreSQL found here. Name one: benchmark --database postgresql://..."
        ) from problem


def start_again(names: list[str], address: str) -> int:
    """Run this command anew with another database: settings read it once, when they load."""
    manage = str(Path(settings.BASE_DIR) / "manage.py")
    done = subprocess.run(  # noqa: S603 - our own program, with names that were checked
        [sys.executable, manage, "benchmark", *names],
        env={**os.environ, "DATABASE_URL": address, CHOSEN: "1"},
        check=False,
    )
    return done.returncode


def measured(module: ModuleType) -> list[BenchmarkResult]:
    """Run one benchmark in an empty database that is removed after it."""
    before = connection.settings_dict["NAME"]
    folder = tempfile.TemporaryDirectory(prefix="earstone-benchmark-")
    if getattr(module, "ON_DISK", False) and connection.vendor == "sqlite":
        connection.settings_dict["TEST"]["NAME"] = str(Path(folder.name) / "earstone.sqlite3")
    connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)
    try:
        results: list[BenchmarkResult] = module.run()
        return results
    finally:
        connection.creation.destroy_test_db(before, verbosity=0)
        folder.cleanup()
