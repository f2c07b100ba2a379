"""A trip on another day, one ended too early, and what its end is asked about."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from samples.accounts.links import make_phone
from samples.models import Fish, HeldEntry, Party, UnmeasuredCount, Vial
from samples.ramp import queries
from tests.people import NOW, make_vials
from tests.ramp import entries
from tests.ramp.taking import outcomes, take
from tests.ramp.typed import LOG, OPEN, TRIP, close, page_of, typed_trip, words
from tests.shown import message_tags, question_codes, templates_of

SHIFT = "/ramp/party/shift/"


def main_buttons(page):
    """Return the words of every button that stands out."""
    found = re.findall(r'class="button button-next[^>]*>([^<]*)<', page)
    return [" ".join(one.split()) for one in found]


# ---------- Another day ----------


def test_a_new_day_at_the_lake_asks_before_the_first_fish(ramp, party, clock):
    # 7 May has begun in Greenwich; at the lake it is still the evening of the 6th.
    clock.ahead += timedelta(hours=11)
    same_day = page_of(ramp.get(LOG))
    clock.ahead += timedelta(hours=1)
    asked = ramp.get(LOG, {"vial": "2600026"})
    carried_on = ramp.post("/ramp/party/carry-on/", {"vial": "2600026"})
    clock.ahead += timedelta(days=1)
    next_day = ramp.get(LOG)

    assert "Save fish" in same_day
    assert "ramp/trip_day.html" in templates_of(asked)
    assert "Save fish" not in page_of(asked)
    assert carried_on["Location"] == "/ramp/?vial=2600026"
    assert "ramp/trip_day.html" in templates_of(next_day)


def test_carried_on_it_is_not_asked_again_that_day(ramp, party, clock):
    clock.ahead += timedelta(hours=20)
    ramp.post("/ramp/party/carry-on/")

    assert "Save fish" in page_of(ramp.get(LOG))
    ramp.post(LOG, words("26 0001 8"))
    assert Fish.objects.get().party == party


@pytest.mark.parametrize(
    ("hours", "last_fish", "goes_on"),
    [(13, 12, True), (25, None, False), (40, 39, False)],
    ids=["after midnight", "next morning", "older than 36 hours"],
)
def test_the_likelier_trip_stands_out(ramp, party, clock, hours, last_fish, goes_on):
    if last_fish:
        ramp.post(LOG, words("26 0001 8"))
        Fish.objects.update(logged_at=NOW + timedelta(hours=last_fish))
    clock.ahead += timedelta(hours=hours)

    asked = ramp.get(LOG)
    [_] = main_buttons(page_of(asked))
    assert asked.context["standing"].goes_on is goes_on


def test_a_page_of_yesterday_keeps_what_was_typed_and_asks(ramp, party, clock):
    ramp.get(LOG)
    clock.ahead += timedelta(hours=20)
    typed = words("26 0001 8", for_party=str(party.party_id))

    asked = ramp.post(LOG, typed)
    assert asked.status_code == 422
    assert 'name="carry_on" value="yes"' in page_of(asked)
    assert 'value="9.4"' in page_of(asked)
    assert not Fish.objects.exists()
    ramp.post(LOG, typed | {"carry_on": "yes"})
    assert Fish.objects.get().party == party


def test_the_form_lands_in_no_trip_of_months_ago(ramp, party, guide):
    """Opened last and closed, there is no open trip: an older one stays where it is."""
    later = entries.party(written_at="2026-05-06T13:00:00-05:00")
    closed = {
        **entries.common("party_closed", later["party_id"]),
        "written_at": "2026-05-06T14:00:00-05:00",
    }
    assert outcomes(take(guide, later, closed)) == [("logged", "")] * 2

    assert queries.open_party_of(guide) is None
    assert ramp.get(LOG)["Location"] == OPEN


def test_a_trip_of_a_clock_set_to_next_year_hides_none_that_is_opened_after_it(ramp, guide, clock):
    ahead = entries.party(written_at="2027-05-06T12:00:00-05:00", caught_on="2027-05-06")
    closed = {
        **entries.common("party_closed", ahead["party_id"]),
        "written_at": "2027-05-06T13:00:00-05:00",
    }
    take(guide, ahead, closed)
    clock.ahead += timedelta(hours=1)
    ramp.post(OPEN, typed_trip(caught_on="2026-05-06"))

    assert queries.open_party_of(guide).arm.name == "Cutbank"
    assert "Save fish" in page_of(ramp.get(LOG))


def test_starting_another_trip_says_what_it_ended(ramp, party, clock):
    ramp.post(LOG, words("26 0001 8"))
    clock.ahead += timedelta(days=1)

    page = ramp.post(OPEN, typed_trip(), follow=True)

    assert message_tags(page)[-2:] == ["success", "success"]
    party.refresh_from_db()
    assert party.closed_at is not None
    assert party.count_in_hand is None


# ---------- The year ----------


def test_a_year_slip_is_asked_about_with_the_year_that_was_meant(ramp, party, clock):
    clock.ahead += timedelta(days=1)
    asked = ramp.post(OPEN, typed_trip(caught_on="2025-05-06"))
    ramp.post(OPEN, typed_trip(caught_on="2025-05-06", use_caught_on="2026-05-06"))

    assert question_codes(asked) == ["date_last_year"]
    assert main_buttons(page_of(asked)) == ["May 6, 2026"]
    assert str(Party.objects.latest("pk").caught_on) == "2026-05-06"


def test_a_year_slip_in_a_change_is_asked_about_too(ramp, party):
    typed = TRIP | {"arm": "Brindle", "caught_on": "2025-05-06", "entry_id": str(uuid4())}
    asked = ramp.post("/ramp/party/change/", typed)
    ramp.post("/ramp/party/change/", typed | {"confirm": "date_last_year"})

    assert question_codes(asked) == ["date_last_year"]
    party.refresh_from_db()
    assert str(party.caught_on) == "2025-05-06"


@pytest.fixture
def left_over(lake, office, guide):
    """Two vials of the year before in the guide's hands."""
    old = lake.seasons.create(
        name="2025",
        number_year=2025,
        starts_on="2025-01-01",
        ends_on="2025-12-31",
        permit_number="SC-25-014",
        permit_holder="N. Aubrey",
    )
    vials = make_vials(old, first=1, count=2, by=office)
    Vial.objects.filter(season=old).update(state="issued", issued_to=guide)
    return [vial.number for vial in vials]


def test_a_vial_of_another_year_is_asked_about_once_and_never_offered(ramp, left_over):
    Vial.objects.filter(number__startswith="26").update(state="void")
    offered = page_of(ramp.get(LOG))
    asked = ramp.post(LOG, words(left_over[0]))
    ramp.post(LOG, words(left_over[0], confirm="vial_other_year"))
    # Its run was agreed to for this trip.
    ramp.post(LOG, words(left_over[1]))

    assert 'name="vial" value' not in offered
    assert question_codes(asked) == ["vial_other_year"]
    assert Fish.objects.count() == 2


# ---------- The end ----------


def test_a_skipped_vial_is_told_whatever_the_count(ramp):
    for number in ("26 0001 8", "26 0003 4"):
        ramp.post(LOG, words(number))

    page = close(ramp, count_in_hand="2")

    assert question_codes(page) == ["vials_skipped"]
    assert main_buttons(page_of(page)) == ["Yes, empty"]
    assert SHIFT not in page_of(page)


def test_a_vial_of_another_trip_is_no_gap(ramp, party, guide, clock):
    ramp.post(LOG, words("26 0002 6"))
    later = entries.party(written_at=(NOW + timedelta(hours=1)).isoformat())
    take(guide, later)
    for number in ("26 0001 8", "26 0003 4"):
        ramp.post(LOG, words(number))

    assert close(ramp, count_in_hand="2").status_code == 302


def test_a_doubled_vial_is_told_whatever_the_count(ramp, party, guide):
    ramp.post(LOG, words("26 0001 8"))
    twice = entries.fish(party.party_id, "26 0001 8", length="9.9")
    assert outcomes(take(guide, twice)) == [("held", "vial_taken")]

    page = close(ramp, count_in_hand="1")

    assert question_codes(page) == ["vial_doubled"]
    assert f'href="{LOG}">Show' in page_of(page)


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ({"count_in_hand": "2", "last_number": "0003"}, True),
        ({"count_in_hand": "2", "last_number": "0009"}, False),
        ({"count_in_hand": "3", "last_number": "0002"}, False),
    ],
    ids=["one further", "another vial", "another count"],
)
def test_off_by_one_is_offered_only_where_it_fits(ramp, typed, offered):
    for number in ("26 0001 8", "26 0002 6"):
        ramp.post(LOG, words(number))

    page = page_of(close(ramp, **typed))

    assert len(main_buttons(page)) == 1
    assert (SHIFT in page) == offered


# ---------- What a phone is told ----------


@pytest.fixture
def phone(client, guide):
    token = make_phone(guide, now=NOW, link=None, name="").token
    headers = {"authorization": f"Token {token}"}
    return lambda: client.get(reverse("pick_lists"), headers=headers).json()


def test_a_phone_is_told_of_a_trip_that_the_form_opened(phone, ramp, party, second_guide, office):
    ramp.post(LOG, words("26 0001 8"))
    ramp.post(LOG, words("26 0002 6"))
    ramp.post(f"/ramp/fish/{Fish.objects.latest('pk').entry_id}/undo/")
    Vial.objects.filter(number="2600018").update(
        state="received", received_at=NOW, received_by=office
    )
    take(second_guide, entries.party())

    [trip] = phone()["trips"]

    assert (trip["party_id"], trip["closed_at"]) == (str(party.party_id), None)
    [fish] = trip["fish"]
    told = {name: fish[name] for name in ("vial", "species", "length", "unit", "sex", "received")}
    assert told == {
        "vial": "2600018",
        "species": "white-crappie",
        "length": "9.4",
        "unit": "in",
        "sex": "F",
        "received": True,
    }
    assert "donor" not in str(trip)


def test_a_phone_is_told_of_no_trip_of_long_ago(phone, party, clock):
    clock.ahead += timedelta(days=20)

    assert phone()["trips"] == []


def test_lists_ask_the_same_of_the_database_for_one_trip_and_for_ten(
    phone, ramp, guide, party, django_assert_max_num_queries
):
    ramp.post(LOG, words("26 0001 8"))
    with CaptureQueriesContext(connection) as one:
        phone()
    for _ in range(9):
        take(guide, entries.party())
    with django_assert_max_num_queries(len(one)):
        assert len(phone()["trips"]) == 10


# ---------- The clerk ----------


@pytest.fixture
def desk(client, lake, clerk, vials):
    client.force_login(clerk)
    return client


def test_a_clerk_starts_with_creel_and_the_next_key(desk, clerk):
    first = page_of(desk.get(OPEN))
    desk.post(OPEN, typed_trip(method="creel", caught_on="2026-05-06", interview_key="K-09"))
    second = desk.get(OPEN)
    desk.post(OPEN, typed_trip(method="creel", caught_on="2026-05-06", interview_key="K-10"))

    assert '<option value="creel" selected' in first
    assert 'value="K-10"' in page_of(second)
    assert "K-09" in second.context["before"]
    assert Party.objects.get(interview_key="K-09").closed_at is not None


def test_a_tally_is_undone_once(desk, clerk, white):
    desk.post(OPEN, typed_trip(method="creel", caught_on="2026-05-06"))
    count = {"species": "white-crappie", "count": "4", "entry_id": str(uuid4())}
    page = page_of(desk.post("/ramp/party/count/", count, follow=True))
    counted = UnmeasuredCount.objects.get()
    undo = reverse("ramp:undo_count", args=[counted.entry_id])
    desk.post(undo)
    after = desk.post(undo, follow=True)
    counted.refresh_from_db()

    assert undo in page
    assert counted.withdrawn
    assert message_tags(after)[-1] == "success"
    assert undo not in page_of(after)
    assert HeldEntry.objects.count() == 0


def test_nobody_undoes_the_tally_of_another(desk, clerk, guide, lake, white):
    guide.memberships.create(lake=lake, role="clerk")
    opened = entries.party()
    count = {
        **entries.common("unmeasured_count", opened["party_id"]),
        "species": "white-crappie",
        "count": 4,
    }
    take(guide, opened, count)
    undo = reverse("ramp:undo_count", args=[count["entry_id"]])

    assert desk.post(undo).status_code == 404
    assert outcomes(take(clerk, entries.party(), entries.withdrawal(count)))[1][0] == "held"
    assert not UnmeasuredCount.objects.get().withdrawn
