"""Runs of labels and fish under vials, for the tests of this stage."""

import uuid

import pytest

from samples.models import Progress, Vial
from samples.vials import services
from tests.factories import make_fish
from tests.people import NOW
from tests.vials.numbers import SHEET


@pytest.fixture
def make_run(season, office):
    """Make a run, with anything of it changed."""

    def make(**changed):
        asked = {
            "season": season,
            "count": 3,
            "stock": SHEET,
            "first_position": 1,
            "request_id": uuid.uuid4(),
            "actor": office,
            "now": NOW,
        }
        return services.make_run(**asked | changed)

    return make


@pytest.fixture
def log_fish(party, white, guide):
    """Log a fish under a vial, as the ramp would."""

    def log(vial):
        vial.state = Vial.State.USED
        vial.save()
        return make_fish(
            party,
            white,
            inches=9.5,
            vial=vial,
            vial_number_said=vial.number,
            progress=Progress.LOGGED,
            logged_by=guide,
        )

    return log


@pytest.fixture
def desk_of_office(client, office):
    client.force_login(office, backend="django.contrib.auth.backends.ModelBackend")
    return client
