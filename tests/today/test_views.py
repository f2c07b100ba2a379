"""Where a day begins for each of the people."""

import pytest

from samples.models import HeldEntry, Vial
from tests.people import NOW, make_person


@pytest.mark.parametrize("who", ["guide", "clerk"])
def test_those_who_log_fish_start_at_the_ramp(client, request, who):
    client.force_login(request.getfixturevalue(who))

    assert client.get("/")["Location"] == "/ramp/"
    assert client.get("/lakes/lake-orrinbeck/")["Location"] == "/ramp/"


def test_somebody_at_two_lakes_chooses(client, biologist, other_lake):
    make_person(other_lake, "guide", "X. Unused")
    biologist.memberships.create(lake=other_lake, role="reader")
    client.force_login(biologist)

    page = client.get("/").content.decode()

    assert "Lake Orrinbeck" in page
    assert "Tamsin Reservoir" in page


def test_somebody_without_a_lake_is_told_whom_to_ask(client, lake, office):
    office.memberships.all().delete()
    client.force_login(office)

    answer = client.get("/")

    assert answer.status_code == 403
    assert "Ask the biologist" in answer.content.decode()


def test_the_office_sees_what_waits_and_where_the_vials_are(client, lake, office, guide, vials):
    Vial.objects.filter(sequence=1).update(state="used")
    Vial.objects.filter(sequence=2).update(state="received", received_at=NOW, received_by=office)
    HeldEntry.objects.create(
        entry_id="0f000000-0000-4000-9000-000000000001",
        kind="fish",
        fingerprint="x",
        said={},
        reason="vial_taken",
        lake=lake,
        said_by=guide,
        said_at=NOW,
        received_at=NOW,
    )
    client.force_login(office)

    page = " ".join(client.get("/lakes/lake-orrinbeck/").content.decode().split())

    assert '<span class="ruled-count">1</span><p class="todo-what"><strong>held entries' in page
    assert "vials logged and not received" in page
    assert "vials received with no log" in page
    assert "<strong>18</strong>Issued" in page
    assert "ages to settle" not in page
