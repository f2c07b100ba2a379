"""Trays, boxes and vials to test with."""

from datetime import timedelta

from samples.models import ArchiveBox, ClearingTray, Reading, Vial
from tests.people import CAUGHT_ON, NOW


def make_tray(lake, by, *, name="C-14", **facts):
    """Return a tray of glycerin and ethanol, started today and ready in ten days."""
    usual = {
        "glycerin_parts": 3,
        "ethanol_parts": 2,
        "size": 50,
        "started_on": CAUGHT_ON,
        "ready_on": CAUGHT_ON + timedelta(days=10),
        "rinse_by": CAUGHT_ON + timedelta(days=28),
        "started_by": by,
        "started_at": NOW,
    }
    return ClearingTray.objects.create(lake=lake, name=name, **usual | facts)


def make_box(lake, by, *, name="26-04", rows=2, columns=3, **facts):
    return ArchiveBox.objects.create(
        lake=lake, name=name, rows=rows, columns=columns, made_by=by, made_at=NOW, **facts
    )


def receive(vials, by, **facts):
    """Let vials stand as received, each with a row of history, as the services leave them."""
    for vial in vials:
        vial.state, vial.received_at, vial.received_by = Vial.State.RECEIVED, NOW, by
        for name, value in facts.items():
            setattr(vial, name, value)
        _save(vial)
    return vials


def read(vials, by):
    """Let vials stand as read, each with a reading."""
    receive(vials, by)
    Reading.objects.bulk_create(
        Reading(vial=vial, reader=by, sitting_on=CAUGHT_ON, annuli=3, read_at=NOW) for vial in vials
    )
    for vial in vials:
        vial.state = Vial.State.READ
        _save(vial)
    return vials


def _save(vial):
    vial._history_date = NOW - timedelta(days=1)
    vial.save()
