"""Take a spreadsheet of readings with measured rings in, or show what that would do."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from samples.exchange.entry import RINGS, read_table
from samples.exchange.services import RingsReport, RingsSettings, import_rings
from samples.management import spreadsheets
from samples.management.spreadsheets import (
    NOTHING_WRITTEN,
    first_of,
    read_file,
    refusals_as_errors,
    who,
)
from samples.management.tables import require_tables


class Command(BaseCommand):
    help = (
        "Read a CSV file of otolith readings with measured rings, one row a reading: vial, "
        "annuli, margin (may be left out), method, read on, edge radius, radius 1, radius 2 and "
        "so on, from the core, in micrometers or in mm where the heading says so. Without "
        "--commit it shows what it would do; with it, all rows come in or none. It is safe to "
        "repeat. A count that was typed already in that sitting gets its rings."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        spreadsheets.add_arguments(
            parser,
            row="reading",
            lake="the lake's name",
            unusual="accept unusual ages and missing margins",
        )
        parser.add_argument("--by", required=True, help="sign-in name of the reader")

    def handle(self, *args: Any, **options: Any) -> None:
        require_tables()
        with refusals_as_errors():
            report = import_rings(
                read_table(read_file(options["file"]), RINGS),
                RingsSettings(lake=options["lake"], confirm_unusual=options["confirm_unusual"]),
                actor=who(options["by"], options["lake"]),
                now=timezone.now(),
                commit=options["commit"],
            )
        self.stdout.write(
            "\n".join(report_lines(report, options["lake"], commit=options["commit"]))
        )
        if report.bad:
            things = "1 problem" if len(report.bad) == 1 else f"{len(report.bad)} problems"
            raise CommandError(f"{things} to fix; nothing was written.")


def report_lines(report: RingsReport, lake: str, *, commit: bool) -> list[str]:
    """Return what was done, or would be, line by line."""
    lines = [f"{report.rows} readings for {lake}, radii in {report.unit}."]
    if report.not_used:
        lines.append(f"Columns not used: {', '.join(report.not_used)}.")
    lines += first_of(
        [f"Row {bad.row}, {bad.column}: {bad.expected} Found: {bad.found}" for bad in report.bad]
    )
    if report.bad:
        return lines
    lines.append(
        f"{'Written' if commit else 'Would write'}: {report.readings} new readings with their "
        f"rings, rings of {report.rings_only} readings typed before; {report.already} were there "
        "already."
    )
    if not commit:
        lines.append(NOTHING_WRITTEN)
    return lines
