"""Back up the database and uploads to one dated file, now or every night."""

import time
from argparse import ArgumentParser, ArgumentTypeError
from datetime import datetime, timedelta
from datetime import time as time_of_day
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection
from django.utils import timezone

from samples.maintenance.backup import age_of_newest, list_backups, made_at, make_backup
from samples.maintenance.errors import CannotBackUp
from samples.maintenance.nightly import RETRY_AFTER, next_run


class Command(BaseCommand):
    help = (
        "Back up the database and uploads to one dated file, with checksums, and read it back. "
        "Safe while the site runs. Never writes over an older backup."
    )
    # A backup is wanted most when something is not as it should be.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--to", type=Path, metavar="FOLDER", help="default: EARSTONE_BACKUPS or backups/"
        )
        parser.add_argument(
            "--keep",
            type=a_count,
            default=settings.BACKUP_KEEP,
            metavar="N",
            help="keep the N latest, remove the rest; default: EARSTONE_BACKUP_KEEP",
        )
        parser.add_argument(
            "--nightly",
            type=a_time,
            metavar="HH:MM",
            help="keep running and back up every day at this time, UTC",
        )
        parser.add_argument(
            "--newest-within",
            type=a_count,
            metavar="HOURS",
            help="make no backup; exit 1 if the newest is older than this",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        folder = options["to"] or settings.BACKUP_FOLDER
        if options["newest_within"]:
            self.check_newest(folder, options["newest_within"], timezone.now())
        elif options["nightly"]:
            self.back_up_nightly(folder, options["nightly"], options["keep"])
        else:
            self.back_up(folder, options["keep"])

    def back_up(self, folder: Path, keep: int) -> None:
        try:
            path = make_backup(
                connection, folder, now=timezone.now(), keep=keep, report=self.report
            )
        except CannotBackUp as problem:
            raise CommandError(f"No backup was made. {problem}") from problem
        except DatabaseError as problem:
            raise CommandError(
                f"No backup was made. The database can't be reached: {problem}"
            ) from problem
        self.report(f"Backed up to {path} ({path.stat().st_size / 1e6:,.1f} MB).")
        self.report("Copy it to another machine and keep it private.")

    def back_up_nightly(self, folder: Path, at: time_of_day, keep: int) -> None:
        """Back up once a day; a night that fails is tried again, and never ends this."""
        told = None
        while True:
            now = timezone.now()
            found = list_backups(folder)
            due = next_run(at, now=now, newest_made_at=made_at(found[-1]) if found else None)
            if due > now:
                if due != told:
                    self.report(f"Next backup at {due:%Y-%m-%d %H:%M} UTC.")
                told = due
                # In short naps: a machine that was suspended does not count the hours asleep.
                self.wait(min(due - now, RETRY_AFTER))
                continue
            try:
                self.back_up(folder, keep)
            except CommandError as problem:
                self.report(str(problem))
                self.wait(RETRY_AFTER)
            finally:
                connection.close()

    def wait(self, span: timedelta) -> None:
        time.sleep(span.total_seconds())

    def check_newest(self, folder: Path, hours: int, now: datetime) -> None:
        age = age_of_newest(folder, now)
        if age is None:
            raise CommandError(f"There is no backup in {folder}.")
        if age > timedelta(hours=hours):
            raise CommandError(f"The newest backup is {age / timedelta(hours=1):.0f} hours old.")
        self.report(f"The newest backup is {age / timedelta(hours=1):.0f} hours old.")

    def report(self, message: str) -> None:
        self.stdout.write(message)
        self.stdout.flush()


def a_count(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) < 1:
        raise ArgumentTypeError(f"{text} is not a whole number of 1 or more, such as 14")
    return int(text)


def a_time(text: str) -> time_of_day:
    try:
        return datetime.strptime(text, "%H:%M").time()  # noqa: DTZ007 - a time of the day, UTC
    except ValueError as problem:
        raise ArgumentTypeError(f"{text} is not a time, such as 08:30") from problem
