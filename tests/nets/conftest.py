"""Forms of net sets, and net sets on record."""

from uuid import uuid4

import pytest
from django.urls import reverse

from samples.models import LakeSpecies
from tests.factories import build_fish, make_trip_like
from tests.people import INCH

BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def white_here(lake, white):
    """Return the white crappie of the lake, found from 4 to 12 in so that forms are small."""
    for one in LakeSpecies.objects.filter(lake=lake):
        one.plausible_min_hundredths_mm, one.plausible_max_hundredths_mm = 4 * INCH, 12 * INCH
        one.save()
    return LakeSpecies.objects.get(lake=lake, species=white)


@pytest.fixture
def sheet_of(brindle, white_here):
    """Return what a net set's page sends: sheet_of(bins={7: 12}, lengths="8.1 8.3")."""
    pk = white_here.species_id

    def make(*, bins=None, lengths="", **changed):
        station = f"{brindle.pk}-{brindle.reaches.get(name='Lower').pk}"
        typed = {
            "request_id": str(uuid4()),
            "station": station,
            "lifted_on": "2026-05-05",
            "method": "trap_net",
            "net_nights": "2",
            "net_mesh_mm": "13",
            f"lengths_{pk}": lengths,
        }
        counted = {f"bin_{pk}_{inch * INCH}": str(n) for inch, n in (bins or {}).items()}
        return typed | counted | changed

    return make


@pytest.fixture
def send(client, lake, clerk):
    """Send a net set as the clerk."""
    client.force_login(clerk, backend=BACKEND)
    return lambda typed: client.post(reverse("nets:record", args=[lake.slug]), typed)


@pytest.fixture
def net_set(party, white):
    """Make a net set with fish of these lengths: net_set([7.1, 7.4], nights=2)."""

    def make(inches, *, nights=1, **facts):
        usual = {"method": "trap_net", "net_nights": nights, "net_mesh_mm": 13}
        trip = make_trip_like(party, **usual | facts)
        for one in inches:
            build_fish(trip, white, inches=one, donor=None).save()
        return trip

    return make
