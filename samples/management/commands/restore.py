"""Bring a backup back into an empty database."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection

from samples.computations.results import clear_results
from samples.maintenance.errors import CannotRestore
from samples.maintenance.restore import restore_backup


class Command(BaseCommand):
    help = (
        "Restore a backup into an empty database, check that all of it came back, and bring its "
        "tables up to date. A database that holds anything is refused and left alone."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE", help="as `backup` made it")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            manifest = restore_backup(connection, options["file"], report=self.report)
        except CannotRestore as problem:
            raise CommandError(f"Not restored: {problem}") from problem
        except DatabaseError as problem:
            raise CommandError(
                f"Not restored: the database can't be reached or written: {problem}"
            ) from problem
        rows = sum(manifest.counts.values())
        self.report(
            f"Restored {rows:,} rows in {len(manifest.counts)} tables, as of {manifest.made_at}; "
            "every table has the rows that were backed up."
        )
        self.report("Bringing the tables up to date (migrate) ...")
        call_command("migrate", interactive=False, verbosity=1, stdout=self.stdout)
        # They were of the database that stood here before.
        clear_results()
        self.report("Done. Look over the data with: manage.py check_data")

    def report(self, message: str) -> None:
        self.stdout.write(message)
        self.stdout.flush()
