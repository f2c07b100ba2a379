"""What the biologist reads of coverage and targets, word for word."""

from datetime import date

import pytest

from samples.models import Lake, Progress, Season, Target
from samples.targets.presenters import sentences
from samples.targets.presenters.for_guides import lengths_in_words
from samples.targets.presenters.still_needed import needed_rows
from samples.targets.rules import LengthBin
from samples.targets.services import propose_targets
from samples.units import LengthUnit
from tests.people import make_person
from tests.shown import error_codes
from tests.targets.fish import INCH, make_fish
from tests.targets.pages import text
from tests.targets.test_queries import cell, choose, look, want
from tests.targets.test_views import cells

__all__ = ["choose", "look"]  # fixtures


@pytest.mark.django_db
class TestWords:
    def test_say_how_many_more_and_where(self, party, white, season, lake, look):
        for inches in (8, 9, 10, 11):
            want(season, white, inches, 6)
            for arm in lake.arms.all():
                want(season, white, inches, 2, arm)
                if arm.name != "Hobbin":
                    make_fish(party, white, inches + 0.3, count=2, arm=arm)
        hobbin = lake.arms.get(name="Hobbin")
        make_fish(party, white, 8.3, count=2, arm=hobbin)
        make_fish(party, white, 9.3, count=2, arm=hobbin)
        make_fish(party, white, 11.3, arm=hobbin, progress=Progress.RECEIVED)

        coverage = look()

        assert sentences.headline(coverage) == "3 more white crappie to collect"
        assert [(one.sign, one.number, one.label) for one in sentences.parts(coverage)] == [
            ("", 4, "short of the lake target (20 of 24)"),
            ("\u2212", 1, "in hand, not read yet"),
            ("=", 3, "to collect"),
        ]
        assert sentences.target_notes(coverage) == ["Most of the gap is Hobbin from 10.0 in up."]

    def test_say_what_nets_owe_and_donors_are_asked_for(self, party, white, season, look):
        want(season, white, 10, 10)
        Target.objects.update(from_nets=4)
        make_fish(party, white, 10.3, count=3)

        coverage = look()

        assert sentences.target_notes(coverage)[-1] == "Nets owe 4; donors are asked for 3."
        assert [row.why for row in needed_rows(coverage)] == ["3/10 aged, nets owe 4"]

    def test_say_that_there_are_enough(self, party, white, season, look):
        want(season, white, 10, 2)
        make_fish(party, white, 10.3, count=2)

        assert sentences.headline(look()) == "Enough white crappie aged in 2026"

    def test_say_that_nothing_is_wanted_yet(self, party, white, look):
        make_fish(party, white, 10.3, count=2)

        assert sentences.headline(look()) == "2 white crappie aged in 2026"
        assert sentences.target_notes(look()) == [
            "No targets are set for this species and season, so nothing is short yet."
        ]

    def test_hold_the_measured_fish_against_the_rule_of_ten_a_class(self, party, white, look):
        make_fish(party, white, 10.3)
        make_fish(party, white, 10.3, count=6, progress=Progress.MEASURED)

        assert sentences.measured(look()).startswith(
            "7 measured in all, with or without a vial: 3 too few by the rule of 10"
        )


@pytest.mark.django_db
def test_most_of_an_arm_from_one_donor(party, white, look):
    make_fish(party, white, 10.2, count=3)
    make_fish(party, white, 12.2, donor=None, count=2)

    assert sentences.arms_of_one_donor(look()) == ["3 of the 5 from Brindle came from R. Ostrow"]


@pytest.mark.django_db
class TestCells:
    def test_of_one_donor(self, party, white, season, brindle, look):
        want(season, white, 10, 5, brindle)
        make_fish(party, white, 10.2, count=2)
        make_fish(party, white, 10.4, progress=Progress.RECEIVED)
        make_fish(party, white, 10.4, progress=Progress.MEASURED, count=9)

        told = cell(look(), "Brindle", 10).description

        assert told == "3 short, 1 in hand, 100% from one donor"

    def test_of_one_reader(self, party, white, look):
        make_fish(party, white, 10.2, progress=Progress.ONE_READER, donor=None)
        make_fish(party, white, 10.2, progress=Progress.AGE_AS_GIVEN, donor=None)

        told = cell(look(), "Brindle", 10).description

        assert told == "no minimum set, 1 by one reader, 1 with an imported age"


class TestCoverage:
    def test_a_sum(self, page, party, white, season, brindle):
        want(season, white, 10, 20)
        want(season, white, 12, 2)
        want(season, white, 12, 6, brindle)
        make_fish(party, white, 10.2, count=15)
        make_fish(party, white, 10.2, count=2, progress=Progress.RECEIVED)

        shown = cells(page("coverage"))

        assert "9 more white crappie to collect" in shown
        assert (
            "short of the lake target (15 of 22) 7 more for arm minimums + 4 "
            "in hand, not read yet \u2212 2 to collect = 9"
        ) in shown

    @pytest.mark.parametrize(
        ("query", "slice_"),
        [
            ({"sex": "F"}, "female"),
            ({"method": "angler_kept"}, "angler kept"),
            ({"reach": "not noted"}, "reach: not noted"),
        ],
    )
    def test_a_slice(self, page, party, white, season, brindle, query, slice_):
        want(season, white, 10, 5, brindle)
        make_fish(party, white, 10.2, count=2)

        shown = text(page("coverage", count="logged", **query))

        assert "2 white crappie logged in 2026" in shown
        assert f"Counts only: {slice_}. Targets are for all fish. Show all fish" in shown
        assert "Still needed" not in shown

    def test_a_closed_season(self, page, party, white, season, brindle):
        want(season, white, 10, 20)
        make_fish(party, white, 10.2, count=2)
        make_fish(party, white, 10.2, progress=Progress.RECEIVED)
        Season.objects.update(starts_on=date(2020, 1, 1), ends_on=date(2020, 10, 31))

        shown = text(page("coverage"))

        assert "2 white crappie aged in 2026" in shown
        assert "The season closed on October 31, 2020: nothing more is collected." in shown
        assert "It ended with 2 of 20 fish of the lake target." in shown
        assert "1 of the missing fish are in hand, not read yet." in shown
        assert "Still needed" not in shown

    def test_lengths_hardly_reached(self, page, party, white, season, lake, brindle):
        cutbank, hobbin = (lake.arms.get(name=name) for name in ("Cutbank", "Hobbin"))
        for arm, long in ((brindle, 2), (cutbank, 3)):
            want(season, white, 13, 3, arm)
            make_fish(party, white, 9.2, arm=arm, count=201, progress=Progress.MEASURED)
            make_fish(party, white, 13.5, arm=arm, count=long, progress=Progress.MEASURED)
        want(season, white, 13, 3, hobbin)
        make_fish(party, white, 9.2, arm=hobbin, count=99, progress=Progress.MEASURED)

        shown = cells(page("coverage"))

        assert (
            "3 more are not asked for: fewer than 1 in 100 fish measured there are so long."
            in shown
        )
        assert "Cutbank, 13.0-13.9 in 3 1 in 68 None aged" in shown
        assert "in 3 1 in 102 Not asked: 2 of 203 are this long" in shown
        assert "Hobbin, 13.0-13.9 in 3 \u2013 None aged" in shown

    def test_filters(self, page, party, white, season, brindle):
        want(season, white, 10, 3, brindle)
        make_fish(party, white, 10.2)
        make_fish(party, white, 10.9, progress=Progress.LOGGED)
        method = text(page("coverage", method="dynamite"))
        listed = page("fish", count="aged", **{"from": "ten"})

        assert "Method: not at Lake Orrinbeck." in method
        assert "Show those bins" in text(page("coverage", bin="half"))
        assert "Enter length as one number" in text(listed)
        assert error_codes(listed).keys() == {"from"}

    def test_a_new_lake(self, client, db):
        lake = Lake.objects.create(name="Bare Pond", slug="bare-pond")
        somebody = make_person(lake, "biologist", "A. Nother")
        client.force_login(somebody, backend="django.contrib.auth.backends.ModelBackend")

        for name in ("coverage", "targets"):
            answer = client.get(f"/lakes/bare-pond/{name}/")
            assert "no season or no species yet" in text(answer)


class TestTargets:
    def test_a_proposal(self, lake):
        proposal = propose_targets([10 * INCH], list(lake.arms.all()))

        assert proposal.description == "10 a bin, 2 from each arm"

    def test_the_table(self, page, client, lake, brindle, white, season):
        address = page("targets").request["PATH_INFO"]
        query = f"{address}?season=2026&species=white-crappie&from=10.0&below=11.0"
        lake_wide, floor = f"wanted-{10 * INCH}-lake", f"wanted-{10 * INCH}-{brindle.pk}"
        filled = text(page("targets", start="rule", **{"from": "10.0", "below": "11.0"}))

        many = text(client.post(query, {lake_wide: "", floor: "many"}))
        floors = client.post(query, {lake_wide: "3", floor: "4"}).content.decode()
        Target.objects.create(
            season=season,
            species=white,
            from_hundredths_mm=10 * INCH,
            below_hundredths_mm=12 * INCH,
            wanted=4,
        )

        assert "Filled in: 10 a bin, 2 from each arm." in filled
        assert "10.0-10.9 in, Brindle: enter a" in many
        assert "arm minimums add up to 4" in floors
        assert "1 target was set for other length bins" in text(page("targets"))


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
