"""Runs of labels and fish under vials, for the tests of this stage."""

import uuid

import pytest

from samples.models import Fish, Progress, Vial
from samples.vials import services
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
            "by": office,
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
        return Fish.objects.create(
            entry_id=uuid.uuid4(),
            fingerprint="fish",
            party=party,
            lake=party.lake,
            season=party.season,
            arm=party.arm,
            donor=party.donor,
            method=party.method,
            caught_on=party.caught_on,
            species=white,
            sex="F",
            length_hundredths_mm=24_130,
            length_as_measured="9.5",
            length_unit_as_measured="in",
            vial=vial,
            vial_number_said=vial.number,
            progress=Progress.LOGGED,
            logged_by=guide,
            logged_at=NOW,
            received_at=NOW,
        )

    return log


@pytest.fixture
def desk_of_office(client, office):
    client.force_login(office, backend="django.contrib.auth.backends.ModelBackend")
    return client
