"""What the commands that bring in a spreadsheet have in common."""

from argparse import ArgumentParser
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from django.core.management.base import CommandError

from samples.exchange.entry import CannotReadTable
from samples.exchange.rules import MOST_BAD_ROWS_SHOWN, MOST_BYTES
from samples.exchange.services import CannotImport
from samples.models import Lake, Membership, User

NOTHING_WRITTEN = "Nothing was written. Add --commit to write."


def add_arguments(parser: ArgumentParser, *, row: str, lake: str, unusual: str) -> None:
    """Add the arguments of every such command; the words say what a row is, and so on."""
    parser.add_argument("file", type=Path, help=f"a CSV file with one row a {row}")
    parser.add_argument("--lake", required=True, help=lake)
    parser.add_argument("--confirm-unusual", action="store_true", help=unusual)
    parser.add_argument("--commit", action="store_true", help="write, if no row is bad")


@contextmanager
def refusals_as_errors() -> Iterator[None]:
    """End the command with the sentence of what could not be read or brought in."""
    try:
        yield
    except (CannotReadTable, CannotImport) as problem:
        raise CommandError(str(problem)) from problem


def read_file(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(max(MOST_BYTES + 1, path.stat().st_size))
    except OSError as problem:
        raise CommandError(f"{path} cannot be read: {problem.strerror}.") from problem


def first_of(problems: Sequence[str]) -> list[str]:
    """Return as many lines as a person reads, and how many more there are."""
    more = len(problems) - MOST_BAD_ROWS_SHOWN
    return [*problems[:MOST_BAD_ROWS_SHOWN], *([f"... and {more} more."] if more > 0 else [])]


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
