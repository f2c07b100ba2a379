"""Move everything from this site's database into another one, such as a pilot's to PostgreSQL."""

from argparse import ArgumentParser
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DEFAULT_DB_ALIAS, Error, connections

from fisheries.database import database_from
from fisheries.environment import secret
from samples.management.move import CannotMove, move_all, open_database

TARGET = "target"


class Command(BaseCommand):
    help = (
        "Copy this site's database (DATABASE_URL) into another, empty one. Stop the site first. "
        "All rows are copied or none, then every row and sequence is compared. This "
        "site's database is not changed."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "address",
            metavar="DATABASE_URL",
            help="for example postgresql://earstone@localhost/earstone; a password that is not "
            "in it is taken from EARSTONE_TARGET_PASSWORD or EARSTONE_TARGET_PASSWORD_FILE",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            settings = database_from(options["address"], secret("EARSTONE_TARGET_PASSWORD"))
        except ValueError as problem:
            raise CommandError(str(problem)) from problem
        here = connections.databases[DEFAULT_DB_ALIAS]
        if all(here.get(name) == settings.get(name) for name in ("ENGINE", "NAME", "HOST", "PORT")):
            raise CommandError("This is the site's own database. Name another one.")
        open_database(TARGET, settings)
        try:
            call_command("migrate", database=TARGET, verbosity=0, interactive=False)
            moved = move_all(DEFAULT_DB_ALIAS, TARGET, self.stdout.write)
        except CannotMove as problem:
            raise CommandError(f"{problem} Nothing was moved.") from problem
        except Error as problem:
            raise CommandError(f"Nothing was moved: {problem}") from problem
        finally:
            connections[TARGET].close()
            del connections[TARGET]
        self.stdout.write(f"{moved:,} rows moved and compared. Next numbers are right.")
        self.stdout.write("Now set DATABASE_URL to the new database, and start the site.")
