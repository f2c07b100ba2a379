"""Take a spreadsheet of fish in, or show what that would do."""

from argparse import ArgumentParser
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from samples.exchange.entry import read_table
from samples.exchange.services import BadColumn, BadRow, Report, Settings, import_fish
from samples.management import spreadsheets
from samples.management.spreadsheets import (
    NOTHING_WRITTEN,
    first_of,
    read_file,
    refusals_as_errors,
    who,
)
from samples.management.tables import require_tables
from samples.models import Method

# From so many rows on the command says how far it is.
MANY_ROWS = 1_000


class Command(BaseCommand):
    help = (
        "Read a CSV file of fish, with or without vial numbers and ages. Without --commit it "
        "shows what it would do; with it, all rows come in or none. It is safe to repeat: "
        "rows are known by the file's name and their place in it, and a renamed file by its "
        "fish."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        spreadsheets.add_arguments(
            parser,
            row="fish",
            lake="the lake's name; a new one is made",
            unusual="accept lengths and ages outside the usual range",
        )
        parser.add_argument(
            "--new-lake",
            action="store_true",
            help="make a new lake even if its name is close to an existing one",
        )
        parser.add_argument(
            "--same-as",
            default="",
            metavar="NAME",
            help="earlier name of this file, if it was renamed",
        )
        parser.add_argument("--season", required=True, type=int, help="the year of the season")
        parser.add_argument("--species", default="", help="if the file has no such column")
        parser.add_argument("--unit", choices=["in", "mm", "cm"], default="", help="of lengths")
        parser.add_argument("--method", choices=Method.values, default=Method.OTHER.value)
        parser.add_argument(
            "--structure", default="not named", help="structure that was aged, such as scale"
        )
        parser.add_argument("--by", default="", help="sign-in name of the importer")
        parser.add_argument(
            "--dates",
            choices=["mdy", "dmy"],
            default="",
            help="how to read 5/6/2026 if no day above 12 in the file shows it",
        )
        parser.add_argument(
            "--other-fish",
            action="store_true",
            help="import even if the same fish came from another file",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        require_tables()
        path: Path = options["file"]
        with refusals_as_errors():
            table = read_table(read_file(path))
            report = import_fish(
                table,
                Settings(
                    source=options["same_as"] or path.name,
                    **{
                        name: options[name]
                        for name in ("lake", "season", "species", "unit", "method")
                    },
                    structure=options["structure"],
                    confirm_unusual=options["confirm_unusual"],
                    date_order=options["dates"],
                    new_lake=options["new_lake"],
                    other_fish=options["other_fish"],
                ),
                actor=who(options["by"], options["lake"]),
                now=timezone.now(),
                commit=options["commit"],
                progress=self.say_how_far(len(table.rows)),
            )
        ways = {name: options[name] for name in ("commit", "other_fish")}
        self.stdout.write("\n".join(report_lines(report, options["lake"], **ways)))
        if report.bad:
            raise CommandError(f"To correct: {len(report.problems())}. Nothing was written.")
        if report.known_as and options["commit"] and not options["other_fish"]:
            raise CommandError(
                f"Nothing was written: these fish are here already, from {report.known_as}. Import "
                "the file under that name, or add --other-fish if they are other fish."
            )

    def say_how_far(self, rows: int) -> Callable[[int], None]:
        """Return what tells how many of many rows are done."""

        def say(done: int) -> None:
            if rows >= MANY_ROWS:
                self.stderr.write(f"{max(done, 0):,} of {rows:,} rows")

        return say


def line_of(bad: BadRow | BadColumn, rows: int) -> str:
    """Return what is wrong in a row, or once for all the rows of a column that fail alike."""
    if isinstance(bad, BadRow):
        return f"Row {bad.row}, {bad.column}: expected {bad.expected}; found {bad.found}"
    one = bad.first
    where = f"Every one of {rows:,} rows" if bad.rows == rows else f"{bad.rows:,} of {rows:,} rows"
    return f"{where}, {one.column}: expected {one.expected}; found {one.found} in row {one.row}"


def report_lines(report: Report, lake: str, *, commit: bool, other_fish: bool) -> list[str]:
    """Return what was done, or would be, line by line."""
    done, stopped = commit and not report.bad, bool(report.known_as) and not other_fish
    lines = [f"{report.rows} rows read for {lake}{' (a new lake)' if report.new_lake else ''}."]
    lines += [f"  {count} {species}" for species, count in sorted(report.species.items())]
    if report.not_used:
        lines.append(f"Columns not used: {', '.join(report.not_used)}.")
    if report.defaults:
        lines.append(f"Defaults: {'; '.join(report.defaults)}.")
    lines += [f"Changed on import: {words}." for words in report.rounded]
    lines += first_of([line_of(bad, report.rows) for bad in report.problems()])
    if report.known_as:
        lines.append(
            f"Careful: {report.known} of these {report.rows} fish are here already, from "
            f"{report.known_as}. Under another name they would count twice."
        )
    if not report.bad:
        verb = "Written" if done and not stopped else "Would write"
        lines.append(
            f"{verb}: {report.logged} fish in {report.parties} "
            f"trip{'' if report.parties == 1 else 's'}, {report.ages} ages as "
            f"given; {report.already} were there already."
        )
    if not commit and not report.bad:
        lines.append(NOTHING_WRITTEN)
    return lines
