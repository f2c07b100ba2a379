"""Where a day begins for each of the people."""

import pytest

from samples.models import HeldEntry, Vial
from tests.lab.making import put_in_lab, read
from tests.people import NOW, make_person


# The people are asked for by name, so that nothing else tells that they are in a database.
@pytest.mark.django_db
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


def count_of(page, what):
    words = " ".join(page.split())
    before, found, _ = words.partition(f'</span><p class="todo-what"><strong>{what}')
    return int(before.rpartition(">")[2]) if found else 0


def test_otoliths_to_read_are_those_that_the_grid_offers(
    client, vials, party, white, reader, biologist
):
    each_otherwise: list[dict[str, str | None]] = [
        {},
        {"state": "clearing"},
        {"state": "ready"},
        {"content": "none"},
        {"content": "wrong"},
        {"state": "lost"},
        {"caught_on": None},
    ]
    for vial, facts in zip(vials, each_otherwise, strict=False):
        put_in_lab(vial, party, white, **facts)
    put_in_lab(vials[10], party, white)
    read(vials[10], biologist, 4, 1)
    client.force_login(reader)

    page = client.get("/lakes/lake-orrinbeck/").content.decode()

    assert count_of(page, "otoliths not read yet") == 3
    grid = client.get("/lakes/lake-orrinbeck/reading/").content.decode()
    # The one that the biologist has read waits for a second reading only.
    assert "4 otoliths to read" in grid


def test_rare_stops_are_left_out_while_no_vial_is_there(client, office, vials):
    client.force_login(office)
    page = client.get("/lakes/lake-orrinbeck/").content.decode()
    stops = ["Clearing", "Ready to read", "Archived", "Lost", "Void"]
    assert [stop for stop in stops if f"</strong>{stop}<br>" in page] == []
    assert "<strong>0</strong>Read<br>" in page

    Vial.objects.filter(sequence=1).update(state="lost")

    page = client.get("/lakes/lake-orrinbeck/").content.decode()
    assert "<strong>1</strong>Lost<br>" in page


def test_the_season_is_looked_up_once(client, office, vials, django_assert_max_num_queries):
    client.force_login(office)
    with django_assert_max_num_queries(60) as asked:
        client.get("/lakes/lake-orrinbeck/")
    seasons = [one for one in asked.captured_queries if 'FROM "samples_season"' in one["sql"]]
    assert len(seasons) == 1
