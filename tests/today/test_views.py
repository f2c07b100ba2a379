"""Where a day begins for each of the people."""

import re
from datetime import date, timedelta

import pytest
from django.db import connection
from django.utils import timezone
from django.utils.formats import date_format

from samples.models import Age, Season, Vial
from samples.rules.lake_time import local_day
from tests.factories import make_held_fish
from tests.lab.making import put_in_lab, read
from tests.people import CAUGHT_ON, NOW, make_person
from tests.shown import templates_of
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

    page = client.get("/", follow=True).content.decode()

    assert "Lake Orrinbeck" in page
    assert "Tamsin Reservoir" in page


def test_somebody_without_a_lake_is_told_whom_to_ask(client, lake, office):
    office.memberships.all().delete()
    client.force_login(office)

    answer = client.get("/")

    assert answer.status_code == 403
    assert "today/no_lake.html" in templates_of(answer)


def test_the_office_sees_what_waits_and_where_the_vials_are(
    client, lake, office, guide, vials, party, white
):
    make_fish(party, white, 10.2, vial=vials[0])
    Vial.objects.filter(sequence=1).update(state="used")
    Vial.objects.filter(sequence=2).update(state="received", received_at=NOW, received_by=office)
    make_held_fish(lake, guide)
    client.force_login(office)

    answer = client.get("/lakes/lake-orrinbeck/")

    assert counts_of(answer) == {HELD: 1, NOT_RECEIVED: 1, WITHOUT_LOG: 1}
    stops = {stop.state: stop for stop in answer.context["life"]}
    assert (stops["issued"].count, stops["used"].count, stops["received"].count) == (18, 1, 1)
    assert answer.context["vials_in_all"] == len(vials)


def lake_day():
    """Return the day that it is at the lake, as the page knows it."""
    return local_day(timezone.now(), "America/Chicago")


HELD, WAITING = "held/", "held/#waiting-head"
NOT_RECEIVED, WITHOUT_LOG = "vials/receive/#away-head", "vials/receive/#orphan-head"
TO_READ = "reading/"


def counts_of(answer):
    """Return the count beside each list that the page leads to, by its address at the lake."""
    page = answer.content.decode()
    items = re.findall(r'ruled-count">(\d+)<.*?<a class="button[^"]*" href="([^"]+)"', page, re.S)
    return {address.removeprefix("/lakes/lake-orrinbeck/"): int(count) for count, address in items}


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

    page = client.get("/lakes/lake-orrinbeck/")

    # The one that the biologist has read waits for a second reading.
    assert counts_of(page)[TO_READ] == 4
    grid = client.get("/lakes/lake-orrinbeck/reading/").content.decode()
    assert grid.count("data-row=") == 4


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

    page = client.get("/lakes/lake-orrinbeck/")
    grid = client.get("/lakes/lake-orrinbeck/reading/").content.decode()
    whole = client.get("/lakes/lake-orrinbeck/reading/?show=all").content.decode()

    assert counts_of(page)[TO_READ] == 1
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
    counts = counts_of(client.get("/lakes/lake-orrinbeck/"))

    held = client.get("/lakes/lake-orrinbeck/held/").context
    moving = client.get("/lakes/lake-orrinbeck/vials/receive/").context

    assert counts == {HELD: 1, WAITING: 1, NOT_RECEIVED: 1, WITHOUT_LOG: 2}
    assert held["page"].paginator.count == counts[HELD]
    assert len(held["fish_waiting"]) == counts[WAITING]
    assert moving["not_received"].total == counts[NOT_RECEIVED]
    assert moving["without_log"].total == counts[WITHOUT_LOG]


@pytest.mark.parametrize(
    ("days", "tense"),
    [(-1, "expired"), (0, "today"), (12, "12 days")],
)
def test_a_permit_that_ran_out_or_is_about_to_is_flagged(client, biologist, days, tense):
    today = lake_day()
    Season.objects.update(
        starts_on=today - timedelta(days=100),
        ends_on=today + timedelta(days=100),
        permit_until=today + timedelta(days=days),
    )
    client.force_login(biologist)

    answer = client.get("/lakes/lake-orrinbeck/")

    problem = answer.context["permit_problem"]
    assert ("SC-26-014" in problem, tense in problem) == (True, True)
    assert problem in answer.content.decode()
    season = Season.objects.get()
    assert f'href="/lakes/lake-orrinbeck/set-up/seasons/{season.pk}/"' in answer.content.decode()


def test_a_permit_that_holds_is_no_news(client, biologist):
    Season.objects.update(permit_until=lake_day() + timedelta(days=90))
    client.force_login(biologist)

    answer = client.get("/lakes/lake-orrinbeck/")

    assert not answer.context["permit_problem"]
    assert 'role="note"' not in answer.content.decode()


def test_coverage_stands_in_a_line_with_what_is_still_to_be_collected(
    client, biologist, reader, season, party, white, brindle
):
    today = lake_day()
    Season.objects.update(starts_on=today - timedelta(days=9), ends_on=today + timedelta(days=9))
    want(season, white, 10, 20)
    want(season, white, 12, 3, brindle)
    make_fish(party, white, 10.2, count=5)
    client.force_login(biologist)

    answer = client.get("/lakes/lake-orrinbeck/")
    page = " ".join(answer.content.decode().split())

    [line] = answer.context["coverage"]
    assert (line.pace.collected, line.pace.wanted) == (5, 20)
    assert [(part.sign, part.number) for part in line.parts] == [("", 15), ("+", 3), ("=", 18)]
    [(address, headline)] = re.findall(r'href="([^"]*)">(18 [^<]*)</a>', page)
    linked = client.get(address.replace("&amp;", "&")).content.decode()
    assert f"<h1>{headline}</h1>" in linked

    client.force_login(reader)
    assert "white crappie" not in client.get("/lakes/lake-orrinbeck/").content.decode()


def test_a_vial_is_found_from_here_by_those_who_move_vials(client, office, reader, vials):
    client.force_login(office)
    page = client.get("/lakes/lake-orrinbeck/").content.decode()
    assert 'action="/lakes/lake-orrinbeck/vials/find/" method="get"' in page

    client.force_login(reader)
    assert "/vials/find/" not in client.get("/lakes/lake-orrinbeck/").content.decode()


def test_rare_stops_are_left_out_while_no_vial_is_there(client, office, vials):
    client.force_login(office)

    def stops():
        return {stop.state for stop in client.get("/lakes/lake-orrinbeck/").context["life"]}

    always = {"printed", "issued", "used", "received", "read"}
    assert stops() == always

    Vial.objects.filter(sequence=1).update(state="lost")

    assert stops() == {*always, "lost"}


def test_what_waits_says_since_when_and_with_whom(
    client, lake, vials, party, white, biologist, guide
):
    put_in_lab(vials[0], party, white, state="ready", received_at=NOW)
    put_in_lab(vials[1], party, white, received_at=NOW + timedelta(days=3))
    Vial.objects.filter(pk=vials[2].pk).update(
        state="received", received_at=NOW, received_by=biologist, issued_to=guide
    )
    make_fish(party, white, 10.2, vial=vials[5])
    Vial.objects.filter(pk=vials[5].pk).update(state="used")
    client.force_login(biologist)

    answer = client.get("/lakes/lake-orrinbeck/")

    more = {
        work.address.rpartition("lake-orrinbeck/")[2]: work.more for work in answer.context["work"]
    }
    day = date_format(local_day(NOW, lake.time_zone), "F j")
    assert day in more[TO_READ]
    assert "1 cleared" in more[TO_READ]
    assert date_format(CAUGHT_ON, "F j") in more[NOT_RECEIVED]
    assert guide.display_name in more[NOT_RECEIVED]
    assert (day in more[WITHOUT_LOG], guide.display_name in more[WITHOUT_LOG]) == (True, True)
    stops = {stop.state: stop.more for stop in answer.context["life"]}
    assert date_format(local_day(NOW, lake.time_zone), "M j") in stops["ready"]


def ages_to_agree_on(client):
    """Return the line of Today that leads to the ages on which readers differ."""
    work = client.get("/lakes/lake-orrinbeck/").context["work"]
    [line] = [one for one in work if one.address.endswith("/ages/")]
    return line


def test_ages_to_agree_on_say_how_far_the_counts_lie_apart(
    client, vials, party, white, biologist, reader
):
    for vial, counts in zip(vials, [(4, 5), (4, 5), (3, 6)], strict=False):
        put_in_lab(vial, party, white)
        for person, annuli in zip((biologist, reader), counts, strict=True):
            read(vial, person, annuli, 1)
    client.force_login(biologist)

    work = ages_to_agree_on(client)

    assert work.count == 3
    assert re.findall(r"\d+", work.more) == ["2", "1", "1", "2"]


def test_ages_to_agree_on_compare_ages_and_each_readers_latest_reading(
    client, vials, party, white, biologist, reader
):
    put_in_lab(vials[0], party, white)
    # Read again two days later; of the same count, the wider margin makes another age.
    read(vials[0], reader, 9, 1, now=NOW - timedelta(days=2), sitting_on=date(2026, 5, 4))
    read(vials[0], reader, 4, 1)
    read(vials[0], biologist, 4, 4)
    client.force_login(biologist)

    work = ages_to_agree_on(client)

    assert work.count == 1
    assert re.findall(r"\d+", work.more) == ["1", "1"]


@pytest.mark.parametrize("fish_of_each", [1, 30])
def test_the_page_asks_as_often_for_many_fish_and_species_as_for_one(
    client, biologist, season, party, white, black, vials, django_assert_num_queries, fish_of_each
):
    kinds = [white, black] if fish_of_each > 1 else [white]
    for kind in kinds:
        want(season, kind, 10, 20)
        make_fish(party, kind, 10.2, count=fish_of_each)
    client.force_login(biologist)

    # Three belong to every page: the session, the person, and their roles; two to the checklist
    # and the saved views, two to the trays and the archive, and two to possible swapped vials, of
    # which PostgreSQL is also asked for those kept.
    kept = connection.vendor == "postgresql"
    with django_assert_num_queries(3 + 12 + 2 + 2 + 2 + kept):
        client.get("/lakes/lake-orrinbeck/")


def test_the_season_is_looked_up_once(client, office, vials, django_assert_max_num_queries):
    client.force_login(office)
    with django_assert_max_num_queries(60) as asked:
        client.get("/lakes/lake-orrinbeck/")
    seasons = [one for one in asked.captured_queries if 'FROM "samples_season"' in one["sql"]]
    assert len(seasons) == 1
