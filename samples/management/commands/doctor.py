"""Say in words what is set up wrongly, and what to do about it."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from fisheries.doctor import Diagnosis, State, examine

WRONG = 1


class Command(BaseCommand):
    help = (
        "Examine how this site is set up: database, address on labels, clock, storage, backups, "
        "worker and mail. Changes nothing. Exits with 1 if something is wrong."
    )
    # It is for sites that do not come up, too: it runs the checks itself.
    requires_system_checks = ()
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--mail", action="store_true", help="also sign in at the mail server")

    def handle(self, *args: Any, **options: Any) -> None:
        found = examine(mail_too=options["mail"])
        for one in found:
            self.say(one)
        wrong = sum(one.state is State.WRONG for one in found)
        if wrong:
            raise CommandError(
                f"{wrong} thing{'' if wrong == 1 else 's'} wrong. See above.", returncode=WRONG
            )
        self.stdout.write("Nothing is wrong.")

    def say(self, one: Diagnosis) -> None:
        self.stdout.write(f"{one.state}: {one.about}. {one.found}")
        if one.remedy:
            self.stdout.write(f"    {one.remedy}")
