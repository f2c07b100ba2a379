"""Bring a database up to date, ask it what an office would, and print the answers as JSON.

A program of its own, since a process of Django knows one database from its start:

    DATABASE_URL=... python -m tests.upgrade.ask [--play]

With --play the database is empty, and the season of 0.1.0 is played into it instead.
"""

import csv
import json
import os
import sys

import django
from django.apps import apps
from django.core.management import call_command
from django.test.utils import setup_test_environment

from tests.seldom_swept import look_seldom

NEW_FISH = "01976d3c-6000-7000-8000-000000000001"
LAKE = "/lakes/lake-orrinbeck"
OFFICE = [
    "/",
    "/coverage/",
    "/held/",
    "/fish/",
    "/vials/find/",
    "/reading/",
    "/ages/",
    "/findings/",
]
COUNTED = ["measured", "logged", "received", "aged", "wanted", "short"]


def main(arguments):
    look_seldom()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fisheries.settings")
    django.setup()
    call_command("migrate", verbosity=0)
    if "--play" in arguments:
        from tests.upgrade.season import play

        play()
        return
    setup_test_environment()
    found = {"rows": rows(), "answers": answers(), "phone": phone(), "settled": settle()}
    print(json.dumps(found, indent=1, sort_keys=True))


def rows():
    """Count every table of ours, histories and all."""
    models = apps.get_app_config("samples").get_models()
    return {model._meta.db_table: model._default_manager.count() for model in models}


def answers():
    """Ask the main questions of each stage: what is open, held, counted, aged, and of whom."""
    from samples.models import Age, Fish, HeldEntry, Party, User, Vial

    guides = User.objects.filter(memberships__role="guide").order_by("pk")
    not_ended = Party.objects.filter(closed_at__isnull=True).select_related("arm")
    trips = {
        str(guide): not_ended.filter(opened_by=guide).order_by("opened_at").last()
        for guide in guides
    }
    return {
        "open_trips": {name: trip and [trip.arm.name, trip.leg] for name, trip in trips.items()},
        "fish_by_progress": tally(Fish.objects.filter(withdrawn=False), "progress"),
        "vials_by_state": tally(Vial.objects, "state"),
        "held_open": tally(HeldEntry.objects.filter(state="open"), "reason"),
        "ages": sorted(Age.objects.values_list("fish__vial__sequence", "age_years")),
        "changes_of_fish": tally(Fish.history.filter(history_type="~"), "length_as_measured"),
        "donors": tally(Fish.objects, "donor__name"),
        "pages": pages(),
    }


def tally(found, by):
    from django.db.models import Count

    counted = found.order_by(by).values(by).annotate(rows=Count("pk"))
    return {str(one[by]): one["rows"] for one in counted}


def pages():
    """Open the pages that a day needs, and give the figures of coverage, arm by arm."""
    office, guide = signed_in("n-aubrey"), signed_in("r-ostrow")
    chosen = "?season=2026&species=white-crappie"
    table = office.get(f"{LAKE}/coverage.csv{chosen}").content.decode()
    opened = {
        "office": {f"{LAKE}{path}" for path in OFFICE},
        "guide": {"/ramp/", "/ramp/mine/", "/ramp/app/"},
    }
    return {
        "opened": {
            path: client.get(path, follow=True).status_code
            for who, client in (("office", office), ("guide", guide))
            for path in sorted(opened[who])
        },
        "coverage": {
            f"{row['arm']} {row['from']}": [row[column] for column in COUNTED]
            for row in csv.DictReader(table.splitlines())
            if row["measured"] != "0"
        },
    }


def phone():
    """Send the first day again from a phone that was set up at 0.1.0, and one fish more."""
    from django.test import Client

    from samples.rules import vial_number
    from tests.upgrade.corpus import SENDINGS
    from tests.upgrade.season import LINK, TOKEN

    client = Client(headers={"authorization": f"Token {TOKEN}"})
    again = SENDINGS[0]["entries"]
    # Its vial is one of those that the guide still has in hand.
    more = again[2]["words"] | {"entry_id": NEW_FISH, "vial": vial_number.make(2026, 18, 4)}
    batch = {"entries": [*(entry["words"] for entry in again), more]}
    sent = client.post("/api/v1/outbox/", batch, content_type="application/json").json()
    answers = [(one["outcome"], one["reason"]) for one in sent["results"]]
    names = [*(entry["name"] for entry in again), "one fish more"]
    return {
        "link": Client().get(f"/me/{LINK}/").status_code,
        "sent": dict(zip(names, answers, strict=True)),
    }


def settle():
    """Open every held entry of then, and settle one: its words are read as they were kept."""
    from samples.models import Fish, HeldEntry
    from samples.rules import vial_number

    office = signed_in("j-pell")
    held = HeldEntry.objects.filter(state="open").order_by("pk")
    opened = {f"{one.kind} {one.reason}": office.get(_page(one)).status_code for one in held}
    never_printed = held.get(reason="unknown_vial")
    number = vial_number.make(2026, 19, 4)
    answer = office.post(_page(never_printed), {"way": "number", "number": number})
    fish = Fish.objects.filter(entry_id=never_printed.entry_id).values_list(
        "vial__sequence", "length_as_measured", "logged_by__username"
    )
    return {"opened": opened, "status": answer.status_code, "fish": list(fish)}


def _page(held):
    return f"{LAKE}/held/{held.pk}/"


def signed_in(username):
    from django.test import Client

    from samples.models import User

    client = Client()
    client.force_login(
        User.objects.get(username=username), backend="django.contrib.auth.backends.ModelBackend"
    )
    return client


if __name__ == "__main__":
    main(sys.argv[1:])
