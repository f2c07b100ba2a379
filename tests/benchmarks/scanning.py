"""Scanning: a tray of fifty vials cleared, rinsed and archived through the pages.

Two minutes are the goal of a person with a scanner. A second of them goes to each hand movement,
a vial taken up and held under the scanner, and the rest is what the site may take for its answers.
"""

import time

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from samples.management.timing import BenchmarkResult
from samples.models import ArchiveBox, ClearingTray, Membership, Reading, User, Vial
from samples.rules.lake_time import local_day
from tests.people import NOW, make_lake, make_vials

NAME = "scanning"
VIALS = 50
TWO_MINUTES_S = 120
HAND_S = 1.0
# What a person types without a scanner: the last four digits, and Enter.
BY_HAND = 4 + 1


def run():
    lake = make_lake("Lake Bench", arms=["North"])
    office = User.objects.create(username="bench-office", password="!")
    Membership.objects.create(person=office, lake=lake, role="office")
    vials = make_vials(lake.seasons.get(), first=1, count=VIALS, by=office)
    Vial.objects.update(state="received", received_at=NOW, received_by=office)
    client = Client(headers={"X-Scan": "1"}, SERVER_NAME="localhost")
    client.force_login(office)
    began = time.perf_counter()
    _start(client, lake)
    tray = ClearingTray.objects.get()
    keys = _scan(client, reverse("custody:tray", args=[lake.slug, tray.pk]), vials)
    finish = reverse("custody:finish_tray", args=[lake.slug, tray.pk])
    client.post(finish, {"what": "dry", "early": "1"})
    _read(vials, office)
    client.post(
        reverse("custody:archive", args=[lake.slug]),
        {"name": "26-04", "rows": "10", "columns": "10"},
    )
    keys += _scan(
        client, reverse("custody:box", args=[lake.slug, ArchiveBox.objects.get().pk]), vials
    )
    took = time.perf_counter() - began
    archived = Vial.objects.filter(state="archived").count()
    if archived != VIALS:
        raise RuntimeError(f"only {archived} vials are archived: this measured something else")
    room = TWO_MINUTES_S - 2 * VIALS * HAND_S
    name = (
        f"{NAME}: {VIALS} vials cleared and archived, {2 * VIALS} scans, {keys} keys by a scanner, "
        f"{2 * VIALS * BY_HAND} by hand"
    )
    goal = f"answers within {room:g} s: two minutes less {HAND_S:g} s a scan for the hand"
    return [BenchmarkResult(name, took, room, "s", goal, met=took <= room)]


def _start(client, lake):
    today = local_day(timezone.now(), lake.time_zone)
    asked = {"name": "C-14", "medium": "0-whole", "size": "50", "started_on": str(today)}
    client.post(reverse("custody:trays", args=[lake.slug]), asked)


def _scan(client, address, vials):
    """Scan one vial after another, and count the keys that a scanner types."""
    for vial in vials:
        client.post(address, {"number": vial.number})
    return sum(len(vial.number) + 1 for vial in vials)


def _read(vials, by):
    Reading.objects.bulk_create(
        Reading(vial=vial, reader=by, sitting_on=NOW.date(), annuli=3, read_at=NOW)
        for vial in vials
    )
    Vial.objects.update(state="read")
