"""What is still needed from an arm, in a guide's words."""

from datetime import date
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from samples.models import LakeSpecies, Season
from samples.targets.presenters.for_guides import lengths_in_words, needed_at
from samples.targets.rules import LengthBin
from samples.targets.views import coverage_page
from samples.units import LengthUnit
from tests.factories import make_fish
from tests.people import INCH, NOW
from tests.ramp.test_api import phone_of
from tests.ramp.typed import page_of
from tests.targets.pages import want

TODAY = date(2026, 5, 6)
COLUMNS = [LengthBin(place, INCH, LengthUnit.INCH) for place in range(6, 13)]


def said(first, last):
    """Return how lengths from one inch bin to another are said where 6 to 12 in are wanted."""
    return lengths_in_words(COLUMNS, range(first - 6, last - 5))


@pytest.fixture
def wanted(season, white, brindle):
    """Want one fish of each inch from 6 to 12 from Brindle, and two of 12 in from any arm."""
    for inches in range(6, 13):
        want(season, white, inches, 1, arm=brindle)
    want(season, white, 12, 3)


def in_arm(lake, name, today=TODAY):
    [found] = [one["species"] for one in needed_at(lake, today) if one["arm"] == name]
    return found


def test_lengths_that_follow_one_another_are_said_together(lake, wanted, party, white):
    for inches in (8.2, 9.0, 10.9):
        make_fish(party, white, inches=inches, progress=5)

    [white_crappie] = in_arm(lake, "Brindle")

    assert white_crappie["needed"] == [
        {"lengths": said(6, 7), "more": 2},
        {"lengths": said(11, 12), "more": 4},
    ]
    assert white_crappie["enough"] == [said(8, 10)]


def test_a_fish_in_hand_is_asked_for_no_more(lake, wanted, party, white):
    make_fish(party, white, inches=6.5, progress=1)

    [white_crappie] = in_arm(lake, "Brindle")

    assert white_crappie["needed"] == [{"lengths": said(7, 12), "more": 8}]


def test_another_arm_is_asked_for_what_any_arm_may_give(lake, wanted):
    [white_crappie] = in_arm(lake, "Hobbin")

    assert white_crappie["needed"] == [{"lengths": said(12, 12), "more": 2}]


def test_nothing_is_asked_for_without_targets_or_outside_the_season(lake, season, wanted):
    after = date(2027, 1, 1)
    assert Season.objects.filter(lake=lake, ends_on__gte=after).count() == 0

    assert needed_at(lake, after) == []
    season.targets.all().delete()
    assert needed_at(lake, TODAY) == []


def test_more_species_ask_for_no_more_statements(lake, season, wanted, black, party, white):
    make_fish(party, white, inches=6.5, progress=5)
    LakeSpecies.objects.filter(lake=lake).exclude(species=white).delete()
    with CaptureQueriesContext(connection) as of_one:
        needed_at(lake, TODAY)
    LakeSpecies.objects.create(lake=lake, species=black, position=9)
    want(season, black, 9, 7)
    make_fish(party, black, inches=9.5, progress=5)

    with CaptureQueriesContext(connection) as of_two:
        brindle = in_arm(lake, "Brindle")

    assert {one["species"] for one in brindle} == {white.name, black.name}
    assert len(of_two) == len(of_one)


def test_a_phone_is_told_for_the_lakes_of_its_person_alone(lake, other_lake, guide, wanted):
    told = phone_of(guide).get("/api/v1/needed/").json()

    assert [one["lake"] for one in told["lakes"]] == [lake.slug]
    assert "Brindle" in [one["arm"] for one in told["lakes"][0]["arms"]]
    assert told["as_of"]


def test_the_page_without_script_tells_the_same(
    client, lake, wanted, party, white, guide, monkeypatch
):
    make_fish(party, white, inches=8.2, progress=5)
    monkeypatch.setattr(coverage_page, "timezone", SimpleNamespace(now=lambda: NOW))
    client.force_login(guide)

    page = client.get("/ramp/needed/")

    shown = {one.arm: [species for species, _ in one.species] for one in page.context["arms"]}
    assert shown == {one["arm"]: one["species"] for one in needed_at(lake, TODAY)}
    for species in shown["Brindle"]:
        assert all(need["lengths"].lower() in page_of(page) for need in species["needed"])
    assert 'href="/ramp/needed/"' in page_of(client.get("/ramp/party/open/"))
