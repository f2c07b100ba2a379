"""All lakes of a person in a line each: the numbers of their own pages, within their rights."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from samples.models import LakeSpecies, Membership, Party, Progress, Season, Species
from samples.targets.presenters.shaping import coverage_of
from samples.targets.presenters.totals import Shortfall
from samples.targets.queries.choice import CoverageSelection, options_of
from tests.factories import make_held_fish, make_trip_like
from tests.people import INCH, make_lake
from tests.targets.fish import make_fish
from tests.targets.pages import want
from tests.today.test_views import lake_day

ADDRESS = "/all-lakes/"
pytestmark = pytest.mark.django_db


@pytest.fixture
def two_lakes(lake, other_lake, biologist):
    """The biologist's own lake, and another of hers; seasons of today."""
    Membership.objects.create(person=biologist, lake=other_lake, role="biologist")
    today = lake_day()
    Season.objects.update(starts_on=today - timedelta(days=9), ends_on=today + timedelta(days=9))
    return lake, other_lake


def lines_of(client):
    return {line.lake.name: line for line in client.get(ADDRESS).context["lines"]}


def trip_at(lake, party):
    return make_trip_like(
        party, lake=lake, season=lake.seasons.get(), arm=lake.arms.first(), donor=None
    )


def coverage_at(lake, species):
    row = LakeSpecies.objects.get(lake=lake, species=species)
    options = options_of(lake, lake_day())
    selection = CoverageSelection(
        lake=lake,
        season=lake.seasons.get(),
        species=species,
        bin_width=row.bin_width_hundredths_mm,
    )
    fish = lake.seasons.get().fish.filter(withdrawn=False)
    return coverage_of(fish, options, selection, donors_named=False)


def test_each_number_is_that_of_the_lakes_own_pages(
    client, two_lakes, biologist, guide, party, white, black, brindle
):
    lake, other = two_lakes
    LakeSpecies.objects.filter(lake=lake, species=black).update(bin_width_hundredths_mm=INCH // 2)
    season, cutbank = lake.seasons.get(), lake.arms.get(name="Cutbank")
    want(season, white, 10, 30)
    want(season, white, 10, 5, brindle)
    want(season, white, 10, 5, cutbank)
    want(season, white, 12, 3, brindle)
    want(season, black, 9, 7)
    make_fish(party, white, 10.2, count=8)
    make_fish(party, white, 10.4, progress=Progress.LOGGED, count=2)
    make_fish(party, white, 14.0, progress=Progress.MEASURED, count=3)
    make_fish(party, black, 9.2, count=9)
    make_fish(party, black, 9.2, withdrawn=True)
    make_fish(trip_at(other, party), white, 11.0, progress=Progress.RECEIVED, count=4)
    make_held_fish(lake, guide)
    client.force_login(biologist)

    lines = lines_of(client)

    here, there = lines["Lake Orrinbeck"], lines["Tamsin Reservoir"]
    assert (here.logged, here.aged, here.to_resolve) == (19, 17, 1)
    assert (there.logged, there.aged, there.to_resolve) == (4, 0, 0)
    # Targets of whole inches lie across the half-inch bins of the other species.
    covered = coverage_at(lake, white)
    assert here.shortfall == Shortfall(covered.short, covered.to_collect)
    assert covered.short > covered.to_collect > 0
    assert there.shortfall is None
    for count, number in (("logged", here.logged), ("aged", here.aged)):
        listed = client.get(f"/lakes/lake-orrinbeck/fish/?season=2026&count={count}")
        assert listed.context["page"].paginator.count == number


def test_short_of_two_species_is_added_up(client, two_lakes, biologist, party, white, black):
    lake, _ = two_lakes
    for species, wanted in ((white, 12), (black, 7)):
        want(lake.seasons.get(), species, 9, wanted)
    make_fish(party, white, 9.5, count=4)
    client.force_login(biologist)

    covered = [coverage_at(lake, species) for species in (white, black)]
    short = lines_of(client)["Lake Orrinbeck"].shortfall

    assert short == Shortfall(sum(one.short for one in covered), 15)


def test_numbers_are_shown_within_a_persons_rights_at_each_lake(
    client, lake, other_lake, office, party, white
):
    Membership.objects.create(person=office, lake=other_lake, role="reader")
    make_fish(party, white, 10.2)
    client.force_login(office)

    lines = lines_of(client)

    numbers = [(line.logged, line.aged, line.shortfall, line.to_resolve) for line in lines.values()]
    assert numbers == [(None, None, None, 0), (None, None, None, None)]


def test_a_guide_of_two_lakes_chooses_one(client, lake, other_lake, guide):
    Membership.objects.create(person=guide, lake=other_lake, role="guide")
    client.force_login(guide)

    answer = client.get("/", follow=True)

    page = answer.content.decode()
    assert answer.request["PATH_INFO"] == ADDRESS
    assert ('href="/lakes/lake-orrinbeck/"' in page, "<table" in page) == (True, False)


def test_a_guide_here_who_is_staff_there_keeps_the_way_around(client, lake, other_lake, guide):
    Membership.objects.create(person=guide, lake=other_lake, role="office")
    client.force_login(guide)

    answer = client.get(ADDRESS)

    assert answer.context["frame_lake"] == other_lake
    assert 'aria-current="page">All lakes' in answer.content.decode()


def test_a_season_that_is_over_wants_nothing_more(client, two_lakes, biologist, white):
    lake, _ = two_lakes
    want(lake.seasons.get(), white, 10, 12)
    Season.objects.filter(lake=lake).update(ends_on=lake_day() - timedelta(days=1))
    client.force_login(biologist)

    line = lines_of(client)["Lake Orrinbeck"]

    assert (line.is_closed, line.shortfall) == (True, None)


def test_a_lake_without_a_season_has_no_numbers_yet(client, two_lakes, biologist):
    Season.objects.filter(lake=two_lakes[1]).delete()
    client.force_login(biologist)

    line = lines_of(client)["Tamsin Reservoir"]

    assert (line.season, line.logged, line.shortfall) == (None, 0, None)


def test_more_lakes_ask_for_no_more_statements(client, two_lakes, biologist, party, white):
    def statements():
        with CaptureQueriesContext(connection) as asked:
            assert client.get(ADDRESS).status_code == 200
        return len(asked)

    client.force_login(biologist)
    for lake in two_lakes:
        want(lake.seasons.get(), white, 10, 12)
    make_fish(party, white, 10.2)
    two = statements()
    for number in range(10):
        lake = make_lake(f"Lake {number}", arms=["North"])
        LakeSpecies.objects.create(lake=lake, species=white)
        Membership.objects.create(person=biologist, lake=lake, role="biologist")
        want(lake.seasons.get(), white, 10, 12)
        make_fish(trip_at(lake, party), white, 10.2)

    assert statements() == two
    assert Party.objects.count() == 11


def test_many_species_at_many_lakes_are_counted_at_once(client, two_lakes, biologist, party, white):
    kinds = Species.objects.bulk_create(
        Species(
            code=f"kind_{n}",
            name=f"Kind {n}",
            plausible_min_hundredths_mm=1,
            plausible_max_hundredths_mm=99_999,
            plausible_max_age_years=20,
        )
        for n in range(600)
    )
    LakeSpecies.objects.bulk_create(
        LakeSpecies(lake=lake, species=kind, position=n)
        for lake in two_lakes
        for n, kind in enumerate(kinds)
    )
    make_fish(party, white, 10.2, count=2)
    make_fish(trip_at(two_lakes[1], party), kinds[-1], 10.2)
    client.force_login(biologist)

    assert {name: line.logged for name, line in lines_of(client).items()} == {
        "Lake Orrinbeck": 2,
        "Tamsin Reservoir": 1,
    }


def test_the_way_there_is_for_those_with_several_lakes(client, two_lakes, biologist, office):
    client.force_login(office)
    assert ADDRESS not in client.get("/lakes/lake-orrinbeck/").content.decode()

    client.force_login(biologist)

    assert f'href="{ADDRESS}"' in client.get("/lakes/lake-orrinbeck/").content.decode()
