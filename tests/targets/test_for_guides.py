"""What is still needed from an arm, in a guide's words."""

from datetime import date

import pytest

from samples.models import Season
from samples.targets.presenters.for_guides import lengths_in_words, needed_at
from samples.targets.rules import LengthBin
from samples.units import LengthUnit
from tests.factories import make_fish
from tests.people import INCH
from tests.ramp.test_api import phone_of
from tests.targets.pages import want

TODAY = date(2026, 5, 6)


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
        {"lengths": "Under 8 in", "more": 2},
        {"lengths": "11 in and up", "more": 4},
    ]
    assert white_crappie["enough"] == ["8 to 10.9 in"]


def test_a_fish_in_hand_is_asked_for_no_more(lake, wanted, party, white):
    make_fish(party, white, inches=6.5, progress=1)

    [white_crappie] = in_arm(lake, "Brindle")

    assert white_crappie["needed"] == [{"lengths": "7 in and up", "more": 8}]


def test_another_arm_is_asked_for_what_any_arm_may_give(lake, wanted):
    [white_crappie] = in_arm(lake, "Hobbin")

    assert white_crappie["needed"] == [{"lengths": "12 in and up", "more": 2}]


def test_nothing_is_asked_for_without_targets_or_outside_the_season(lake, season, wanted):
    after = date(2027, 1, 1)
    assert Season.objects.filter(lake=lake, ends_on__gte=after).count() == 0

    assert needed_at(lake, after) == []
    season.targets.all().delete()
    assert needed_at(lake, TODAY) == []


@pytest.mark.parametrize(
    ("places", "run", "words"),
    [
        ((6, 7, 8), [0], "Under 7 in"),
        ((6, 7, 8), [2], "8 in and up"),
        ((6, 7, 8), [1], "7 to 7.9 in"),
        ((6, 7, 8), [0, 1, 2], "6 to 8.9 in"),
    ],
)
def test_words_of_a_run_of_bins(places, run, words):
    columns = [LengthBin(place, INCH, LengthUnit.INCH) for place in places]

    assert lengths_in_words(columns, run) == words


def test_a_phone_is_told_for_the_lakes_of_its_person_alone(lake, other_lake, guide, wanted):
    told = phone_of(guide).get("/api/v1/needed/").json()

    assert [one["lake"] for one in told["lakes"]] == [lake.slug]
    assert "Brindle" in [one["arm"] for one in told["lakes"][0]["arms"]]
    assert told["as_of"]
