"""Look over the data and say in plain words what is wrong with them."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.utils import timezone

from samples.maintenance.check import check_data, count_what_is_kept, stale_progress
from samples.maintenance.photos import delete_stray_photos
from samples.maintenance.pictures import delete_stray_picture_files
from samples.maintenance.reports import delete_stray_report_files
from samples.maintenance.tables import list_applied_migrations, list_known_migrations
from samples.models import atomic_with_revision, refresh_progress

PROBLEMS = 1


class Command(BaseCommand):
    help = (
        "Check the data: dangling references, gaps in vial numbers, derived columns that differ "
        "from their source, and vials with two fish. Changes nothing unless asked. Exits "
        "with 1 if there is a problem."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--refresh-progress",
            action="store_true",
            help="first recalculate the status of each fish from its vial and age",
        )

        parser.add_argument(
            "--delete-stray-photos",
            action="store_true",
            help="first delete files of photos that belong to no fish",
        )
        parser.add_argument(
            "--delete-stray-pictures",
            action="store_true",
            help="first delete files among the pictures of otoliths that belong to no picture",
        )
        parser.add_argument(
            "--delete-stray-reports",
            action="store_true",
            help="first delete files among the reports that belong to no draft",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        waiting = list_known_migrations() - set(list_applied_migrations(connection))
        if waiting:
            raise CommandError(
                f"The tables are from an older version ({len(waiting)} migrations to run). "
                "Run manage.py migrate first."
            )
        if options["refresh_progress"]:
            self.refresh()
        if options["delete_stray_photos"]:
            deleted = delete_stray_photos(timezone.now())
            self.stdout.write(f"Deleted {deleted:,} files that belonged to no fish.")
        if options["delete_stray_pictures"]:
            deleted = delete_stray_picture_files(timezone.now())
            self.stdout.write(f"Deleted {deleted:,} files that belonged to no picture.")
        if options["delete_stray_reports"]:
            deleted = delete_stray_report_files(timezone.now())
            self.stdout.write(f"Deleted {deleted:,} files that belonged to no draft.")
        kept = ", ".join(f"{name} {count:,}" for name, count in count_what_is_kept().items())
        self.stdout.write(f"Checked: {kept}.")
        problems = 0
        for finding in check_data(now=timezone.now()):
            problems += finding.is_problem
            self.stdout.write(f"{'Problem' if finding.is_problem else 'Note'}: {finding.sentence}")
        if problems:
            raise CommandError(
                f"{problems} problem{'' if problems == 1 else 's'} found.", returncode=PROBLEMS
            )
        self.stdout.write("No problem found.")

    @atomic_with_revision()
    def refresh(self) -> None:
        stale = stale_progress()
        refresh_progress(stale)
        self.stdout.write(f"Recalculated the status of {len(stale):,} fish.")
