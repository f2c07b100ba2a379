"""The plan of a season: what each section says of a lake, by its own fish and vials."""

from datetime import date
from uuid import uuid4

import pytest
from django.urls import reverse

from samples.accounts.selectors import fish_counted_at
from samples.models import (
    Donor,
    LakeSpecies,
    LengthCount,
    PlannedSets,
    Progress,
    Season,
    Target,
    UnmeasuredCount,
)
from samples.seasons.presenters.plan import plan_sections
from samples.seasons.queries.plan import net_sets
from samples.targets.queries.choice import options_of
from tests.factories import make_trip_like
from tests.people import NOW
from tests.targets.fish import make_fish
from tests.targets.test_queries import want

NETS = {"method": "trap_net", "donor": None}


@pytest.fixture
def sections(lake, biologist, season):
    """Return the sections of a plan by their names."""

    def make(of=None, day=date(2026, 5, 6)):
        fish = fish_counted_at(biologist, lake)
        made = plan_sections(fish, options_of(lake, day), of or season, now=NOW)
        return {one.slug: one for one in made}

    return make


def figures(table):
    """Return the rows of a table as what the page writes."""
    return [[cell.text for cell in row] for row in table.rows]


@pytest.mark.django_db
class TestPermit:
    def test_says_how_long_it_is_good(self, sections, season):
        Season.objects.update(permit_until=date(2026, 12, 31))
        season.refresh_from_db()

        section = sections()["permit"]

        assert ("Number", "SC-26-014") in section.facts
        assert "239" in dict(section.facts)["Expires"]
        assert section.warnings == []

    @pytest.mark.parametrize(
        ("until", "day", "warnings"),
        [
            pytest.param(date(2026, 9, 30), date(2026, 5, 6), 1, id="before the season's end"),
            pytest.param(date(2026, 5, 5), date(2026, 5, 6), 1, id="expired"),
            pytest.param(date(2026, 5, 5), date(2027, 1, 6), 0, id="expired, season closed"),
        ],
    )
    def test_warns_while_it_matters(self, sections, season, until, day, warnings):
        season.permit_until = until

        assert len(sections(season, day)["permit"].warnings) == warnings

    def test_warns_where_there_is_none(self, sections, season):
        season.permit_number = ""

        assert len(sections(season)["permit"].warnings) == 1


@pytest.mark.django_db
class TestTargets:
    def test_lists_what_is_wanted_by_length_and_arm(self, sections, season, white, lake):
        brindle = lake.arms.get(name="Brindle")
        want(season, white, 8, 20)
        want(season, white, 9, 10)
        want(season, white, 9, 4, brindle)

        how_far, grid = sections()["targets"].tables

        assert figures(how_far) == [["White crappie", "0", "30", "30"]]
        assert grid.heads[1:] == ["8.0-8.9", "9.0-9.9", "All"]
        assert figures(grid) == [
            ["Lake target", "20", "10", "30"],
            ["Brindle", "–", "4", "4"],
        ]

    def test_lists_what_nets_and_each_sex_are_to_bring(self, sections, season, white, lake):
        LakeSpecies.objects.filter(lake=lake, species=white).update(targets_by_sex=True)
        want(season, white, 8, 20)
        Target.objects.update(from_nets=6, females=9)

        section = sections()["targets"]

        numbers = [row[1:] for row in figures(section.tables[1])]
        assert numbers == [["20", "20"], ["6", "6"], ["9", "9"]]
        assert any(getattr(one, "code", "") == "without_sexes" for one in section.notes)

    def test_warns_where_none_are_set(self, sections):
        section = sections()["targets"]

        assert (len(section.warnings), list(section.tables)) == (1, [])


@pytest.mark.django_db
def test_nets_are_counted_by_arm_with_their_catch(sections, party, white, lake):
    hobbin = lake.arms.get(name="Hobbin")
    for nights in (2, 3):
        net = make_trip_like(party, arm=hobbin, net_nights=nights, **NETS)
        make_fish(net, white, 8.3, count=4, arm=hobbin, progress=Progress.MEASURED, **NETS)
    make_fish(net, white, 8.3, arm=hobbin, withdrawn=True, **NETS)

    [table] = sections()["nets"].tables

    assert figures(table) == [["Trap net", "Hobbin", "2", "5", "8", "1.6"]]


@pytest.mark.django_db
def test_planned_sets_stand_beside_those_made(sections, party, lake, season):
    hobbin, brindle = lake.arms.get(name="Hobbin"), lake.arms.get(name="Brindle")
    for arm, sets in ((hobbin, 4), (brindle, 1)):
        PlannedSets.objects.create(season=season, arm=arm, sets=sets, net_nights=2, net_mesh_mm=13)
    for arm, n in ((hobbin, 1), (brindle, 2)):
        for _ in range(n):
            make_trip_like(party, arm=arm, reach=None, net_nights=2, **NETS)

    section = sections()["nets"]

    rows = [["Hobbin", "4", "1", "3"], ["Brindle", "1", "2", "0"]]
    assert sorted(figures(section.tables[0])[:-1]) == sorted(rows)
    assert figures(section.tables[0])[-1][1:] == ["5", "3", "3"]
    assert len(section.tables) == 2


@pytest.mark.django_db
def test_fish_counted_by_length_are_in_the_catch_and_deleted_sets_are_not(
    party, white, lake, season, clerk
):
    by_length = make_trip_like(party, net_nights=4, **NETS)
    UnmeasuredCount.objects.create(
        entry_id=uuid4(), party=by_length, species=white, count=2, logged_by=clerk,
        logged_at=NOW, received_at=NOW,
    )  # fmt: skip
    LengthCount.objects.create(
        party=by_length, species=white, from_hundredths_mm=20320, below_hundredths_mm=22860,
        count=10, logged_by=clerk, logged_at=NOW,
    )  # fmt: skip
    without_nights = make_trip_like(party, **NETS)
    make_fish(without_nights, white, 8.3, progress=Progress.MEASURED, **NETS)
    make_trip_like(party, **NETS)

    [one] = net_sets(lake, season)

    assert (one.sets, one.net_nights, one.fish, one.per_night) == (2, 4, 13, 3.0)


@pytest.mark.django_db
def test_donors_are_counted_and_not_named(sections, client, biologist, lake, party, white):
    other = Donor.objects.create(lake=lake, name="P. Sarn")
    make_fish(party, white, 8.3, count=3)
    make_fish(make_trip_like(party, donor=other), white, 8.3, donor=other)

    [table] = sections()["donors"].tables

    assert figures(table) == [[party.arm.name, "2", "2", "4"]]
    assert "75%" in dict(sections()["donors"].facts)["Largest share"]
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
    page = client.get(reverse("seasons:plan", args=[lake.slug])).content.decode()
    assert party.donor.name not in page
    assert other.name not in page


@pytest.mark.django_db
class TestBudget:
    def test_adds_up_what_is_left_to_read(self, sections, party, white, season, vials):
        want(season, white, 8, 10)
        make_fish(party, white, 8.3, count=2)
        make_fish(party, white, 8.3, count=3, progress=Progress.RECEIVED)
        make_fish(party, white, 8.3, count=9, progress=Progress.MEASURED)

        section = sections()["budget"]

        assert figures(section.tables[0]) == [["White crappie", "2", "3", "5", "8"]]
        assert dict(section.facts)["Left to read"].startswith("8 ")
        assert section.warnings == []

    def test_asks_for_labels_where_vials_are_too_few(self, sections, white, season, vials):
        want(season, white, 8, len(vials) + 7)

        [warning] = sections()["budget"].warnings

        assert " 7 " in warning

    def test_of_a_closed_season_has_nothing_to_collect(self, sections, party, white, season):
        want(season, white, 8, 10)
        make_fish(party, white, 8.3, progress=Progress.RECEIVED)

        section = sections(day=date(2027, 2, 1))["budget"]

        assert figures(section.tables[0]) == [["White crappie", "0", "1", "0", "1"]]
        assert section.warnings == []


@pytest.mark.django_db
def test_tables_of_the_page_have_names_of_their_own(sections, white, season, party, lake):
    want(season, white, 8, 10)
    make_fish(party, white, 8.3)

    places = [table.place for one in sections().values() for table in one.html_tables]

    assert places == list(range(len(places))) != [0]
