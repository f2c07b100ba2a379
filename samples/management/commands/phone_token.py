"""Print a new phone token, for scripts and tests."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from samples.accounts.links import make_phone
from samples.management.tables import require_tables
from samples.models import User


class Command(BaseCommand):
    help = "Make a token for a phone of USER and print it. It is shown this once."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("user", help="the person's sign-in name")
        parser.add_argument("--name", default="made by command", help="what to call the phone")

    def handle(self, *args: Any, **options: Any) -> None:
        require_tables()
        person = User.objects.filter(username=options["user"], is_active=True).first()
        if person is None:
            known = ", ".join(User.objects.order_by("username").values_list("username", flat=True))
            raise CommandError(f"Nobody signs in as {options['user']}. Known names: {known}")
        made = make_phone(person, now=timezone.now(), name=options["name"])
        self.stdout.write(made.token)
