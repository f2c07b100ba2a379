"""The site, broken on purpose, to show that the harness can fail.

Each break takes away one thing that keeps what phones say: gunicorn serves this module in
place of the sound one, and nothing outside the tests knows of it.
"""

import dataclasses
import os
import time
from collections.abc import Mapping
from unittest import mock
from uuid import UUID

from django.core.wsgi import get_wsgi_application
from django.db import connection
from django.utils import timezone

VARIABLE = "EARSTONE_FAULTS_BROKEN"
# Long enough for another phone to come in between looking and writing.
WINDOW = 0.4


def replace(module, name, by):
    """Put something else in a module's place for as long as the process lives."""
    mock.patch.object(module, name, by).start()


def drop_unique_constraints():
    """Take from the fish the promise that an entry and a vial are there once."""
    with connection.cursor() as cursor:
        found = connection.introspection.get_constraints(cursor, "samples_fish")
        for name, constraint in found.items():
            if constraint["unique"] and constraint["columns"] in (["entry_id"], ["vial_id"]):
                cursor.execute(f"ALTER TABLE samples_fish DROP CONSTRAINT {name}")


def forget_what_came_before():
    """Nobody looks whether a fish came before; without the constraint it is there again."""
    from samples.ramp.services import intake
    from samples.ramp.services.load import load

    def naive(entries, **more):
        known, rows = load(entries, **more)
        sent = {entry.entry_id for entry in entries}
        holders = {n: entry_id for n, entry_id in known.holders.items() if entry_id not in sent}
        return dataclasses.replace(known, fish={}, holders=holders), rows

    replace(intake, "load", naive)


def lock_no_vial():
    """Two phones look at one vial at one moment, and both find it free."""
    from samples.models import Vial
    from samples.ramp.services import intake
    from samples.ramp.services import load as loading

    sound = loading.load

    def unlocked(numbers):
        rows = Vial.objects.filter(number__in=set(numbers)).order_by("pk")
        return {vial.number: vial for vial in rows}

    seen: dict[UUID, Mapping[str, UUID]] = {}

    def slow(entries, **more):
        known, rows = sound(entries, **more)
        time.sleep(WINDOW)
        # What was seen once is believed again when the batch is tried entry by entry.
        for entry in entries:
            seen.setdefault(entry.entry_id, known.holders)
        first = next((seen[entry.entry_id] for entry in entries), known.holders)
        return dataclasses.replace(known, holders=first), rows

    replace(loading, "lock_vials", unlocked)
    replace(intake, "load", slow)


def write_own_time():
    """Return the server's clock is written where the phone's belongs."""
    from samples.ramp import api
    from samples.ramp.entry import read

    def restamped(raw):
        return dataclasses.replace(read(raw), written_at=timezone.now())

    replace(api, "read", restamped)


BREAKS = {"unique": forget_what_came_before, "lock": lock_no_vial, "clock": write_own_time}


def prepare(name):
    """Do to the database what belongs to a break, once, before the site starts."""
    if name == "unique":
        drop_unique_constraints()


def broken_application():
    served = get_wsgi_application()
    BREAKS[os.environ[VARIABLE]]()
    return served


def __getattr__(name):
    # Only gunicorn asks for this; who imports the module otherwise gets no broken site.
    if name == "application":
        return broken_application()
    raise AttributeError(name)
