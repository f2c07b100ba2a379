"""Take a spreadsheet of fish in, or show what that would do."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from samples.exchange.entry import CannotReadTable, read_table
from samples.exchange.rules import MOST_BAD_ROWS_SHOWN, MOST_BYTES
from samples.exchange.services import CannotImport, Report, Settings, import_fish
from samples.models import Lake, Membership, Method, User


class Command(BaseCommand):
    help = (
        "Read a CSV file of fish, with or without vial numbers and ages. Without --commit it "
        "shows what it would do; with it, all rows come in or none. It is safe to repeat: "
        "rows are known by the file's name and their place in it, and a renamed file by its "
        "first rows."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="a CSV file with one row a fish")
        parser.add_argument("--lake", required=True, help="the lake's name; a new one is made")
        parser.add_argument(
            "--new-lake",
            action="store_true",
            help="make the lake, though its name is nearly that of one there is",
        )
        parser.add_argument(
            "--same-as",
            default="",
            metavar="NAME",
            help="the name under which this file came in before, if it was renamed since",
        )
        parser.add_argument(
            "--other-fish",
            action="store_true",
            help="take the rows as new, though they begin like those of an earlier file",
        )
        parser.add_argument("--season", required=True, type=int, help="the year of the season")
        parser.add_argument("--species", default="", help="where the file has no such column")
        parser.add_argument("--unit", choices=["in", "mm", "cm"], default="", help="of lengths")
        parser.add_argument("--method", choices=Method.values, default=Method.OTHER.value)
        parser.add_argument(
            "--structure", default="not named", help="what the ages were read from, e.g. scale"
        )
        parser.add_argument("--by", default="", help="sign-in name of who brings them in")
        parser.add_argument(
            "--confirm-unusual",
            action="store_true",
            help="take lengths and ages outside the usual range as right",
        )
        parser.add_argument("--commit", action="store_true", help="write, if no row is bad")

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["file"]
        try:
            table = read_table(read_file(path))
        except CannotReadTable as problem:
            raise CommandError(str(problem)) from problem
        try:
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
                    new_lake=options["new_lake"],
                    other_fish=options["other_fish"],
                ),
                by=who(options["by"], options["lake"]),
                now=timezone.now(),
                commit=options["commit"],
            )
        except CannotImport as problem:
            raise CommandError(str(problem)) from problem
        self.stdout.write("\n".join(words_of(report, options["lake"], commit=options["commit"])))
        if report.bad:
            raise CommandError(f"{len(report.bad)} things to put right; nothing was written.")


def read_file(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(max(MOST_BYTES + 1, path.stat().st_size))
    except OSError as problem:
        raise CommandError(f"{path} cannot be read: {problem.strerror}.") from problem


def who(username: str, lake: str) -> User:
    """Find who brings the fish in: the one named, else a biologist of the lake.

    A new lake gets the first biologist there is, or else a person who cannot sign in.
    """
    if username:
        person = User.objects.filter(username=username, is_active=True).first()
        if person is None:
            raise CommandError(f"Nobody signs in as {username}.")
        return person
    biologists = Membership.objects.filter(role=Membership.Role.BIOLOGIST, person__is_active=True)
    if Lake.objects.filter(name__iexact=lake).exists():
        biologists = biologists.filter(lake__name__iexact=lake)
    biologist = biologists.select_related("person").order_by("pk").first()
    if biologist is not None:
        return biologist.person
    person, new = User.objects.get_or_create(
        username="spreadsheet", defaults={"display_name": "Spreadsheet"}
    )
    if new:
        person.set_unusable_password()
        person.save()
    return person


def words_of(report: Report, lake: str, *, commit: bool) -> list[str]:
    """Say what was done, or would be, line by line."""
    done = commit and not report.bad
    lines = [f"{report.rows} rows read for {lake}{' (a new lake)' if report.new_lake else ''}."]
    lines += [f"  {count} {species}" for species, count in sorted(report.species.items())]
    if report.not_used:
        lines.append(f"Columns not used: {', '.join(report.not_used)}.")
    if report.defaults:
        lines.append(f"Where the file says nothing: {'; '.join(report.defaults)}.")
    for bad in report.bad[:MOST_BAD_ROWS_SHOWN]:
        lines.append(f"Row {bad.row}, {bad.column}: expected {bad.expected}; found {bad.found}")
    if len(report.bad) > MOST_BAD_ROWS_SHOWN:
        lines.append(f"... and {len(report.bad) - MOST_BAD_ROWS_SHOWN} more.")
    if not report.bad:
        verb = "Written" if done else "Would write"
        lines.append(
            f"{verb}: {report.logged} fish in {report.parties} parties, {report.ages} ages as "
            f"given; {report.already} were there already."
        )
    if not commit and not report.bad:
        lines.append("Nothing was written. Add --commit to write.")
    return lines
