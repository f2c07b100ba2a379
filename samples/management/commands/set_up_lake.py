"""Set up the first lake and its biologist on a fresh installation."""

import os
import sys
from argparse import ArgumentParser
from collections.abc import Callable, Container
from dataclasses import dataclass
from getpass import getpass
from typing import Any
from zoneinfo import available_timezones

from django.conf import settings
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse
from django.utils import timezone

from samples.accounts.services import add_person, add_role
from samples.management.tables import require_tables
from samples.models import Lake, Membership, User, atomic_with_revision
from samples.waters.queries import listed_species
from samples.waters.rules import USUAL_PARTS
from samples.waters.services import StartingPoint, load_catalogue, set_up_lake

PASSWORD_IN_ENVIRONMENT = "EARSTONE_PASSWORD"  # noqa: S105 - the name of a variable


class Command(BaseCommand):
    help = (
        "Make a lake with one arm and a season of this year, its biologist, and the list of "
        "species to choose from. Safe to repeat: existing settings stay."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--lake", required=True, metavar="NAME", help="the lake's name")
        parser.add_argument("--biologist", required=True, metavar="USERNAME", help="sign-in name")
        parser.add_argument("--name", default="", help='as shown on screen, such as "N. Aubrey"')
        parser.add_argument(
            "--unit", default="", metavar="in|mm", help="unit of length measurements"
        )
        parser.add_argument(
            "--time-zone", default="", metavar="ZONE", help="such as America/Chicago"
        )
        parser.add_argument(
            "--copy-from",
            default="",
            metavar="NAME",
            help="a lake whose species, targets and printer corrections are copied",
        )
        parser.add_argument(
            "--species", action="append", default=[], metavar="CODE", help="may be repeated"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        require_tables()
        there = Lake.objects.filter(name__iexact=options["lake"]).first()
        unit = wanted(UNIT, options["unit"] or (there.length_unit if there else ""))
        zone = wanted(ZONE, options["time_zone"] or (there.time_zone if there else ""))
        known = User.objects.filter(username__iexact=options["biologist"]).first()
        name = options["name"] or options["biologist"]
        start = starting_point(options["copy_from"], options["species"])
        password = "" if known else prompt_password(User(username=options["biologist"]))
        with atomic_with_revision():
            load_catalogue()
            lake, made = set_up_lake(
                name=options["lake"],
                length_unit=unit,
                time_zone=zone,
                now=timezone.now(),
                start=start,
            )
            person = known or add_person(
                lake,
                display_name=name,
                role=Membership.Role.BIOLOGIST,
                username=options["biologist"],
                password=password,
            )
            add_role(person, lake, Membership.Role.BIOLOGIST)
        self.say(lake, person, made=made, person_is_new=known is None)

    def say(self, lake: Lake, person: User, *, made: bool, person_is_new: bool) -> None:
        there = "already existed and is unchanged"
        kept = "already existed; the password is unchanged"
        address = settings.PUBLIC_ADDRESS
        species = reverse("waters:species", args=[lake.slug])
        lines = [
            f"{lake} {'is set up' if made else there}.",
            f"{person}, biologist, {'is set up' if person_is_new else kept}.",
            "",
            "Next:",
            f"1. Sign in as {person.username} at {address}{reverse('accounts:sign_in')}",
            f"2. Choose the species that are sampled: {species}",
            f"3. Name the arms: {reverse('waters:arms', args=[lake.slug])}",
            f"4. Add the people: {reverse('accounts:people', args=[lake.slug])}",
            "5. For the administrator's own pages: manage.py createsuperuser",
        ]
        for line in lines:
            self.stdout.write(line)


def starting_point(copy_from: str, species: list[str]) -> StartingPoint:
    """Return what the lake starts from: another lake, and species of the list, by code."""
    known = [code for code, _ in listed_species()]
    for code in species:
        if code not in known:
            raise CommandError(f"--species {code} is not known. Choose from: {', '.join(known)}.")
    if not copy_from:
        return StartingPoint(species=tuple(species))
    source = Lake.objects.filter(name__iexact=copy_from).first()
    if source is None:
        raise CommandError(f"--copy-from: there is no lake called {copy_from}.")
    return StartingPoint(source=source, parts=USUAL_PARTS, species=tuple(species))


@dataclass(frozen=True, slots=True)
class RequiredFact:
    """A fact of the lake that nobody may guess: fish are measured and dated by it."""

    option: str
    question: str
    example: str
    known: Callable[[], Container[str]]


UNIT = RequiredFact(
    "--unit", "Lengths are measured in inches (in) or millimeters (mm): ", "in", lambda: Lake.Unit
)
ZONE = RequiredFact(
    "--time-zone",
    "Time zone of the lake, such as America/Chicago: ",
    "America/Chicago",
    available_timezones,
)


def wanted(what: RequiredFact, value: str) -> str:
    """Take a fact from the command line, else ask for it on the terminal."""
    if not value and not sys.stdin.isatty():
        raise CommandError(f"Add {what.option}, for example {what.option} {what.example}.")
    value = value or input(what.question).strip()
    if value not in what.known():
        raise CommandError(f"{what.option} {value} is not known. Example: {what.example}.")
    return value


def prompt_password(person: User) -> str:
    """Take the password from the environment, else ask for it twice on the terminal."""
    password = os.environ.get(PASSWORD_IN_ENVIRONMENT, "")
    if not password:
        if not sys.stdin.isatty():
            raise CommandError(f"Enter a first password in {PASSWORD_IN_ENVIRONMENT}.")
        password = getpass(f"First password of {person.username}: ")
        if password != getpass("Repeat password: "):
            raise CommandError("The two passwords differ. Nothing was set up.")
    try:
        validate_password(password, person)
    except ValidationError as problem:
        raise CommandError(" ".join(problem.messages)) from problem
    return password
