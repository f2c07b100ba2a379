"""Weight in the lake's unit, tag number and note: from form and phone to the office's pages."""

import re
from datetime import timedelta

import pytest

from samples.models import Fish, Lake, Season, Vial
from samples.ramp import queries
from samples.ramp.entry import read
from tests.people import NOW
from tests.ramp import entries
from tests.ramp.test_api import phone_of, send
from tests.ramp.typed import LOG, OPEN, page_of, typed_trip, words
from tests.shown import error_codes

MORE = {"tag_number": "B 1042", "note": "Scar behind the gill, spawned out"}
LISTS = "/api/v1/pick-lists/"


@pytest.fixture
def in_ounces(lake):
    lake.weight_unit = "lb_oz"
    lake.save()


@pytest.mark.parametrize(
    ("unit", "typed", "grams", "shown"),
    [
        ("g", "310", 310, "310 g"),
        ("lb_oz", "1 lb 4 oz", 567, "1 lb 4 oz"),
        ("lb", "0.68", 308, "0.68 lb"),
    ],
)
def test_a_weight_is_typed_and_shown_in_the_lakes_unit_and_kept_in_grams(
    ramp, lake, unit, typed, grams, shown
):
    lake.weight_unit = unit
    lake.save()

    ramp.post(LOG, words("26 0001 8", weight_g=typed))

    fish = Fish.objects.get()
    assert fish.weight_g == grams
    page = page_of(ramp.get(f"/ramp/fish/{fish.entry_id}/correct/"))
    assert f'value="{shown}"' in page


@pytest.mark.parametrize("unit", ["lb_oz", "lb"])
def test_a_correction_that_leaves_the_weight_alone_keeps_its_grams(ramp, lake, unit):
    lake.weight_unit = unit
    lake.save()
    ramp.post(LOG, words("26 0001 8", weight_g="310 g"))
    fish = Fish.objects.get()
    address = f"/ramp/fish/{fish.entry_id}/correct/"

    def correct(**more):
        form = ramp.get(address).context["form"]
        typed = {name: value for name, value in form.initial.items() if value}
        ramp.post(address, typed | more)
        fish.refresh_from_db()
        return fish.length_as_measured, fish.weight_g

    assert correct(length="9.6") == ("9.6", 310)
    assert correct(length="9.7", weight_g="1 lb") == ("9.7", 454)


def test_a_weight_that_is_none_is_refused_beside_its_field_and_nothing_typed_is_lost(
    ramp, in_ounces
):
    answer = ramp.post(LOG, words("26 0001 8", weight_g="1 lb 20 oz", **MORE))

    assert error_codes(answer) == {"weight_g": ["not_a_weight"]}
    assert 'value="1 lb 20 oz"' in page_of(answer)
    assert MORE["note"] in page_of(answer)
    assert not Fish.objects.exists()


def test_tag_and_note_come_from_the_form_and_stay_through_a_correction(ramp):
    ramp.post(LOG, words("26 0001 8", **MORE))
    fish = Fish.objects.get()
    page = ramp.get(f"/ramp/fish/{fish.entry_id}/correct/")
    typed = {name: value for name, value in page.context["form"].initial.items() if value}
    ramp.post(f"/ramp/fish/{fish.entry_id}/correct/", typed | {"length": "9.6"})

    fish.refresh_from_db()
    assert (fish.length_as_measured, fish.tag_number, fish.note) == ("9.6", *MORE.values())


def test_a_phone_is_told_which_later_fields_it_may_send_and_gets_them_back(guide, party, vials):
    phone = phone_of(guide)
    answer = send(phone, entries.fish(party.party_id, vials[0].number, weight_g=310, **MORE))
    lists = phone.get(LISTS).json()

    assert answer.json()["results"][0]["outcome"] == "logged"
    assert set(MORE) <= set(lists["takes"])
    assert lists["lakes"][0]["weight_unit"] == "g"
    [fish] = lists["trips"][0]["fish"]
    assert MORE.items() <= fish.items()


def test_what_was_not_said_leaves_the_fingerprint_of_older_phones_alone(party):
    bare = entries.fish(party.party_id, "26 0001 8")

    assert read(bare | {"tag_number": "", "note": ""}).fingerprint() == read(bare).fingerprint()
    assert read(bare | MORE).fingerprint() != read(bare).fingerprint()


@pytest.mark.parametrize("word", MORE)
def test_a_text_that_is_too_long_goes_back_to_its_person(guide, party, vials, word):
    fish = entries.fish(party.party_id, vials[0].number, **{word: "x" * 301})

    [answer] = send(phone_of(guide), fish).json()["results"]

    assert (answer["outcome"], list(answer["errors"])) == ("refused", [word])


def test_office_and_biologist_see_them_beside_the_vial(
    client, office, biologist, guide, party, vials, in_ounces
):
    send(phone_of(guide), entries.fish(party.party_id, vials[0].number, weight_g=567, **MORE))
    pages = {
        office: f"/lakes/lake-orrinbeck/vials/{vials[0].number}/",
        biologist: f"/lakes/lake-orrinbeck/ages/{vials[0].number}/",
    }

    for person, address in pages.items():
        client.force_login(person)
        shown = page_of(client.get(address))
        assert all(value in shown for value in (*MORE.values(), "1 lb 4 oz"))


@pytest.mark.parametrize(("left", "warned"), [(6, False), (5, True), (0, True)])
def test_the_page_without_scripts_counts_the_vials_left(ramp, guide, lake, left, warned):
    in_hand = Vial.objects.filter(issued_to=guide, state="issued").order_by("number")
    Vial.objects.filter(pk__in=in_hand[left:].values("pk")).update(state="void")

    page = ramp.get(LOG)

    assert page.context["vials_left"] == left
    assert (re.search(r"<strong>(Only|No) ", page_of(page)) is not None) == warned
    assert phone_of(guide).get(LISTS).json()["vials_given"] == 20


@pytest.fixture
def permit(season, lake):
    season.permit_number, season.permit_holder = "26-114", "N. Aubrey"
    season.possession_reminder = "15 crappie a day, 30 in possession"
    season.save()
    lake.office_phone, lake.office_address = "605-555-0142", "12 Dock Road"
    lake.save()


def test_permit_and_possession_limit_are_told_before_the_first_trip_of_a_season(
    client, guide, lake, permit
):
    client.force_login(guide)
    before = client.get(OPEN)
    client.post(OPEN, typed_trip(caught_on="2026-05-06"))
    after = client.get(OPEN)

    assert len(before.context["rules"]) == 2
    assert all(sentence in page_of(before) for sentence in before.context["rules"])
    assert "26-114" in before.context["rules"][0]
    assert after.context["rules"] == []
    assert "605-555-0142" in page_of(client.get(LOG))


def test_a_permit_that_ran_out_is_told_as_such(guide, permit):
    Season.objects.update(permit_until=NOW.date() - timedelta(days=1))

    [told, *_] = queries.rules_before_first_trip(guide, list(Lake.objects.all()), NOW)
    [lake] = phone_of(guide).get(LISTS).json()["lakes"]

    assert "expired May 5, 2026" in told
    assert "good through" not in told
    assert lake["seasons"][0]["permit_until"] == "2026-05-05"
    assert lake["seasons"][0]["permit_expired"] == told


def test_a_phone_is_told_permit_limit_and_office_to_keep(guide, permit):
    [lake] = phone_of(guide).get(LISTS).json()["lakes"]
    [season] = lake["seasons"]

    assert "26-114" in season["permit"]
    assert season["possession"] == Season.objects.get().possession_reminder
    assert (lake["office_phone"], lake["office_address"]) == ("605-555-0142", "12 Dock Road")
