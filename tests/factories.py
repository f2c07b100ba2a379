"""Rows to test with, made in a line: say only what a test is about.

Everything else follows from the trip: its lake, its season, its arm, who opened it.
"""

from uuid import uuid4

from samples.models import Fish, HeldEntry, LakeStock, Party
from tests.people import INCH, NOW


def build_fish(party, species, *, inches=10.0, **facts):
    """Return a fish of a party that is not saved yet, so many inches long (to the tenth)."""
    usual = {
        "entry_id": uuid4(),
        "fingerprint": "fish",
        "lake": party.lake,
        "season": party.season,
        "arm": party.arm,
        "donor": party.donor,
        "method": party.method,
        "caught_on": party.caught_on,
        "sex": "F",
        "length_hundredths_mm": round(inches * 10) * INCH // 10,
        "length_as_measured": f"{inches:.1f}",
        "length_unit_as_measured": "in",
        "logged_by": party.opened_by,
        "logged_at": NOW,
        "received_at": NOW,
    }
    return Fish(party=party, species=species, **usual | facts)


def make_fish(party, species, **facts):
    """Save a fish as `build_fish` makes it."""
    fish = build_fish(party, species, **facts)
    fish.save()
    return fish


def build_trip_like(party, **facts):
    """Return another trip of the same person, lake and day that is not saved yet; no donor."""
    usual = {
        "party_id": uuid4(),
        "fingerprint": "another",
        "lake": party.lake,
        "season": party.season,
        "arm": party.arm,
        "caught_on": party.caught_on,
        "method": party.method,
        "how_chosen": "every_fish",
        "kept": "fresh",
        "opened_by": party.opened_by,
        "opened_at": NOW,
        "received_at": NOW,
    }
    return Party(**usual | facts)


def make_trip_like(party, **facts):
    """Save a trip as `build_trip_like` makes it."""
    trip = build_trip_like(party, **facts)
    trip.save()
    return trip


def make_held_fish(lake, guide, **facts):
    """Save an entry of a guide that waits for the office."""
    usual = {
        "entry_id": uuid4(),
        "kind": "fish",
        "fingerprint": "held",
        "said": {},
        "reason": "vial_taken",
        "said_at": NOW,
        "received_at": NOW,
    }
    return HeldEntry.objects.create(lake=lake, said_by=guide, **usual | facts)


def make_stock(lake, office, **measures):
    """Save a lake's own label stock: 40 x 20 mm, four across and ten down, on Letter."""
    usual = {
        "label_width": 40_00,
        "label_height": 20_00,
        "page_width": 215_90,
        "page_height": 279_40,
        "columns": 4,
        "rows": 10,
        "left": 20_00,
        "top": 20_00,
        "pitch_across": 44_00,
        "pitch_down": 24_00,
        "dots_per_inch": 300,
        "vial_diameter": 17_00,
        "changed_by": office,
        "changed_at": NOW,
    }
    return LakeStock.objects.create(lake=lake, **usual | measures)
