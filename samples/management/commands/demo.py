"""Load the invented reservoir into a database of its own, and serve it."""

import io
import os
import shutil
import socket
import subprocess
import sys
from argparse import ArgumentParser
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import segno
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse
from django.utils import timezone

from fisheries.work import start_embedded_worker
from samples.accounts.links import make_link
from samples.models import Lake, Membership, User

FOLDER = Path(settings.BASE_DIR) / "demo"
DATABASE = FOLDER / "demo.sqlite3"
MARK = "EARSTONE_DEMO"
PASSWORD = "pale rings on slate"  # noqa: S105 - of people who do not exist
SECRETS = ("EARSTONE_SECRET_KEY", "EARSTONE_OLD_SECRET_KEYS", "EARSTONE_PROXY_COUNT")


class Command(BaseCommand):
    help = (
        "Load an invented reservoir into a database of its own and serve it on this machine. "
        "Run again, it keeps the data it has. No other database is touched."
    )
    # The database is chosen by starting again; nothing of another one may be looked at first.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--fresh", action="store_true", help="start over")
        parser.add_argument("--no-serve", action="store_true", help="stop after loading")
        parser.add_argument("--port", type=int, default=8000, help="default: 8000")
        parser.add_argument(
            "--lan", action="store_true", help="let a phone on the same network open it"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        host = address_on_lan() if options["lan"] else "localhost"
        if os.environ.get(MARK) != str(DATABASE):
            sys.exit(start_again(host, options["port"]))
        if Path(str(settings.DATABASES["default"]["NAME"])) != DATABASE:
            raise CommandError("The demo keeps to its own database; this is another one.")
        if options["fresh"] and FOLDER.exists():
            shutil.rmtree(FOLDER)
        FOLDER.mkdir(exist_ok=True)
        self.load()
        address = f"http://{host}:{options['port']}"
        self.print_addresses(address, lan=options["lan"])
        if not options["no_serve"]:
            listen = "0.0.0.0" if options["lan"] else "127.0.0.1"  # noqa: S104 - asked for
            worker = start_embedded_worker()
            try:
                call_command("runserver", f"{listen}:{options['port']}", use_reloader=False)
            finally:
                worker.terminate()

    def load(self) -> None:
        # Loaded only here: the site itself starts without numpy.
        from samples.management.scenario.load import load_scenario

        call_command("migrate", verbosity=0)
        if Lake.objects.exists():
            self.stdout.write("The demo is already loaded; --fresh starts over.")
            return
        load_scenario(password=PASSWORD, today=timezone.now().date(), say=self.stdout.write)

    def print_addresses(self, address: str, *, lan: bool) -> None:
        """Print where it is, who signs in and how, and a guide's link."""
        guide = Membership.objects.filter(role=Membership.Role.GUIDE).order_by("pk").first()
        maker = Membership.objects.filter(role=Membership.Role.BIOLOGIST).order_by("pk").first()
        if guide is None or maker is None:
            raise CommandError("The demo was not fully loaded. Start over with --fresh.")
        now = timezone.now()
        good_until = max(date(now.year, 12, 31), now.date() + timedelta(days=60))
        link = make_link(guide.person, made_by=maker.person, good_until=good_until, now=now)
        personal = address + reverse("accounts:this_is_me", args=[link.token])
        self.stdout.write(f"\nEarstone's demo: {address}/\n")
        if not lan:
            self.stdout.write("Its sign-in page has a button for each role. By name and password:")
        self.stdout.write(f"Sign in with the password: {PASSWORD}")
        for person, roles in staff():
            self.stdout.write(f"  {person.username:16} {roles}")
        self.stdout.write(f"\n{guide.person}, a guide, opens this link on a phone:\n  {personal}\n")
        code = io.StringIO()
        segno.make(personal, error="l").terminal(out=code, compact=True, border=2)
        self.stdout.write(code.getvalue())
        if lan:
            self.stdout.write(
                "\nOpen to this network over plain HTTP: anybody on it can read what is typed, "
                "and browsers leave out what needs a secure page (work without signal, the "
                "scan button). Use it with invented data only."
            )
        self.stdout.write("")


def staff() -> list[tuple[User, str]]:
    """List who signs in with a password, and as what."""
    people: dict[int, tuple[User, list[str]]] = {}
    rows = Membership.objects.exclude(role=Membership.Role.GUIDE).select_related("person")
    for row in rows.order_by("pk"):
        people.setdefault(row.person_id, (row.person, []))[1].append(row.get_role_display())
    people_with_password = [one for one in people.values() if one[0].has_usable_password()]
    return [(person, ", ".join(roles).lower()) for person, roles in people_with_password]


def start_again(host: str, port: int) -> int:
    """Run this command anew with the demo's own settings: they are read once, at the start."""
    command = [sys.executable, *sys.argv]
    environment = environment_for(host, port)
    try:
        return subprocess.run(command, env=environment, check=False).returncode  # noqa: S603 - itself
    except KeyboardInterrupt:
        return 0


def environment_for(host: str, port: int, database: Path = DATABASE) -> dict[str, str]:
    """Return the settings of the demo: its own data, no TLS, no secrets of another site."""
    kept = {
        name: value
        for name, value in os.environ.items()
        # Nothing of the demo goes into the bucket of another site.
        if name not in SECRETS and not name.startswith("EARSTONE_S3_")
    }
    return kept | {
        MARK: str(database),
        "DATABASE_URL": f"sqlite:///{database}",
        "EARSTONE_MEDIA": str(database.parent / "media"),
        "EARSTONE_WORKER": "embedded",
        "EARSTONE_RESULTS": "",
        "EARSTONE_REDIS": "",
        "EARSTONE_HOSTS": f"localhost,127.0.0.1,{host}",
        "EARSTONE_PUBLIC_ADDRESS": f"http://{host}:{port}",
        "EARSTONE_PLAIN_HTTP": "1",
    }


def address_on_lan() -> str:
    """Find the address by which the local network knows this machine; nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("10.255.255.255", 1))
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"
