"""Where a day begins for each of the people."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone
from django.utils.html import strip_tags

from samples.models import Age, Season, Vial
from samples.rules.lake_time import local_day
from tests.factories import make_held_fish
from tests.lab.making import put_in_lab, read
from tests.people import NOW, make_person
from tests.targets.fish import make_fish
from tests.targets.pages import want


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


def test_the_office_sees_what_waits_and_where_the_vials_are(
    client, lake, office, guide, vials, party, white
):
    make_fish(party, white, 10.2, vial=vials[0])
    Vial.objects.filter(sequence=1).update(state="used")
    Vial.objects.filter(sequence=2).update(state="received", received_at=NOW, received_by=office)
    make_held_fish(lake, guide)
    client.force_login(office)

    page = " ".join(client.get("/lakes/lake-orrinbeck/").content.decode().split())

    assert count_of(page, "entries to resolve") == 1
    assert count_of(page, "vials logged and not received") == 1
    assert count_of(page, "vials received with no log") == 1
    assert "<strong>18</strong>Issued" in page
    assert "ages to settle" not in page


def lake_day():
    """Return the day that it is at the lake, as the page knows it."""
    return local_day(timezone.now(), "America/Chicago")


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

    # The one that the biologist has read waits for a second reading.
    assert count_of(page, "otoliths to read") == 4
    grid = client.get("/lakes/lake-orrinbeck/reading/").content.decode()
    assert "4 otoliths to read" in grid


def test_archived_vials_and_agreed_ages_wait_for_nobody_unless_asked_for(
    client, vials, party, white, reader, biologist
):
    for vial, facts in zip(vials, [{}, {"state": "archived"}, {}], strict=False):
        put_in_lab(vial, party, white, **facts)
    other = make_person(party.lake, "reader", "K. Second")
    for person in (biologist, other):
        read(vials[2], person, 4, 1)
    assert Age.objects.get(fish__vial=vials[2]).standing == "agreed"
    client.force_login(reader)

    page = client.get("/lakes/lake-orrinbeck/").content.decode()
    grid = client.get("/lakes/lake-orrinbeck/reading/").content.decode()
    whole = client.get("/lakes/lake-orrinbeck/reading/?show=all").content.decode()

    assert count_of(page, "otoliths to read") == 1
    assert re.findall(r'data-row="(\d+)"', grid) == [vials[0].number]
    assert re.findall(r'data-row="(\d+)"', whole) == [vial.number for vial in vials[:3]]


def test_what_the_reader_agreed_to_today_stays_in_the_grid(
    client, vials, party, white, reader, biologist
):
    put_in_lab(vials[0], party, white)
    for person in (biologist, reader):
        read(vials[0], person, 4, 1, sitting_on=lake_day())
    client.force_login(reader)

    grid = client.get("/lakes/lake-orrinbeck/reading/").content.decode()

    assert re.findall(r'data-row="(\d+)"', grid) == [vials[0].number]


def test_every_number_is_that_of_the_list_its_button_opens(
    client, lake, vials, party, white, biologist, office, guide
):
    make_held_fish(lake, guide)
    Vial.objects.filter(pk__in=[vial.pk for vial in vials[:2]]).update(
        state="received", received_at=NOW, received_by=office
    )
    make_fish(party, white, 10.2, vial=vials[5])
    # Said to be used, and its fish was taken away since: it is on no list.
    Vial.objects.filter(pk__in=[vials[5].pk, vials[6].pk]).update(state="used")
    make_fish(party, white, 10.2, vial_number_said="26 0001 8")
    client.force_login(biologist)
    page = client.get("/lakes/lake-orrinbeck/").content.decode()

    held = strip_tags(client.get("/lakes/lake-orrinbeck/held/").content.decode())
    moving = strip_tags(client.get("/lakes/lake-orrinbeck/vials/receive/").content.decode())

    assert count_of(page, "entries to resolve") == 1
    assert "1 entry to resolve" in held
    assert count_of(page, "fish without a vial") == 1
    assert "1 fish waits for a vial" in held
    assert count_of(page, "vials logged and not received") == 1
    assert "1 log without a vial received" in moving
    assert count_of(page, "vials received with no log") == 2
    assert "2 vials without a log" in moving


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (-1, "Collection permit SC-26-014 expired on"),
        (0, "Collection permit SC-26-014 expires today, on"),
        (12, "Collection permit SC-26-014 expires in 12 days, on"),
    ],
)
def test_a_permit_that_ran_out_or_is_about_to_is_flagged(client, biologist, days, said):
    today = lake_day()
    Season.objects.update(
        starts_on=today - timedelta(days=100),
        ends_on=today + timedelta(days=100),
        permit_until=today + timedelta(days=days),
    )
    client.force_login(biologist)

    page = client.get("/lakes/lake-orrinbeck/").content.decode()

    assert said in page
    assert "Change the permit" in page


def test_a_permit_that_holds_is_no_news(client, biologist):
    Season.objects.update(permit_until=lake_day() + timedelta(days=90))
    client.force_login(biologist)

    page = client.get("/lakes/lake-orrinbeck/").content.decode()

    assert "Change the permit" not in page


def test_coverage_stands_in_a_line_with_what_is_still_to_be_collected(
    client, biologist, reader, season, party, white, brindle
):
    today = lake_day()
    Season.objects.update(starts_on=today - timedelta(days=9), ends_on=today + timedelta(days=9))
    want(season, white, 10, 20)
    want(season, white, 12, 3, brindle)
    make_fish(party, white, 10.2, count=5)
    client.force_login(biologist)

    page = " ".join(client.get("/lakes/lake-orrinbeck/").content.decode().split())

    assert ">18 more white crappie to collect</a>" in page
    assert "5 of 20 aged." in page
    [address] = re.findall(r'href="([^"]*)">18 more', page)
    linked = client.get(address.replace("&amp;", "&")).content.decode()
    assert "18 more white crappie to collect" in linked

    client.force_login(reader)
    assert "white crappie" not in client.get("/lakes/lake-orrinbeck/").content.decode()


def test_a_vial_is_found_from_here_by_those_who_move_vials(client, office, reader, vials):
    client.force_login(office)
    page = client.get("/lakes/lake-orrinbeck/").content.decode()
    assert 'action="/lakes/lake-orrinbeck/vials/find/" method="get"' in page

    client.force_login(reader)
    assert "Find a vial" not in client.get("/lakes/lake-orrinbeck/").content.decode()


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
