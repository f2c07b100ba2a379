"""What each finding says of fish whose truth is known, and when it says nothing."""

import re

import numpy as np
import pytest

from samples.findings.topics import OFFERED
from samples.findings.topics.growth.forms import SHARED
from samples.models import (
    Fish,
    Season,
)
from tests.findings.conftest import (
    LINF_IN,
    RATE,
    codes,
    holds,
    numbers_in,
    rows_of,
    texts_of,
    with_code,
)
from tests.targets.fish import make_fish

pytestmark = pytest.mark.django_db


@pytest.fixture
def hobbin(lake):
    return lake.arms.get(name="Hobbin")


class TestNothingToSay:
    @pytest.mark.parametrize("topic", OFFERED)
    def test_says_so_where_there_is_no_fish(self, made, topic):
        page = made(topic)

        assert page.refused
        assert (page.summary, page.plots) == ([], [])

    @pytest.mark.parametrize("topic", [topic for topic in OFFERED if topic != "sizes"])
    def test_says_so_where_no_fish_has_an_age(self, made, topic, party, white):
        make_fish(party, white, 9.0, count=30, progress=1)

        assert made(topic).refused.endswith((".", "?"))

    @pytest.mark.parametrize("topic", OFFERED)
    @pytest.mark.parametrize(
        "fish",
        [
            pytest.param([(3, [9.0])], id="one fish"),
            pytest.param([(3, [8.0, 9.0])], id="two fish"),
            pytest.param([(3, [7.0 + k / 10 for k in range(30)])], id="one age"),
            pytest.param([(age, [9.0] * 6) for age in range(1, 7)], id="one length"),
            pytest.param([(0, [2.0] * 30)], id="all hatched this year"),
        ],
    )
    def test_poor_data_make_no_traceback(self, made, aged, topic, fish):
        for years, lengths in fish:
            aged(years, lengths)

        page = made(topic)

        assert page.title
        assert bool(page.refused) != bool(page.summary)

    @pytest.mark.parametrize("topic", ["growth", "deaths", "ages"])
    def test_an_arm_of_two_fish_is_named_and_the_other_told(
        self, made, aged, population, brindle, hobbin, topic
    ):
        population(brindle)
        aged(3, [9.0, 9.5], arm=hobbin)

        page = made(topic)

        assert any(sentence.startswith("Brindle") for sentence in page.summary)
        if topic != "ages":
            assert any(sentence.startswith("Hobbin:") for sentence in page.left_out)


class TestLengthAtAge:
    def test_gives_n_mean_sd_and_interval(self, made, aged):
        aged(3, [8.0, 9.0, 10.0])

        # t(0.975, 2) / sqrt(3) = 4.303 / 1.732
        assert rows_of(made("length-at-age"), "length-at-age") == [
            ["Brindle", "3", "3", "9.0", "1.0", "6.5 to 11.5"]
        ]

    def test_two_fish_have_an_sd_and_no_interval(self, made, aged):
        aged(3, [8.0, 9.0])

        assert rows_of(made("length-at-age"), "length-at-age") == [
            ["Brindle", "3", "2", "8.5", "0.7", "–"]
        ]

    def test_keeps_arms_apart_and_names_the_widest_difference(self, made, aged, hobbin):
        aged(2, [8.0, 8.5, 9.0, 9.5, 10.0])
        aged(2, [5.0, 6.0, 7.0, 6.0, 6.0], arm=hobbin)

        widest = made("length-at-age").summary[0]
        assert widest.code == "widest_apart"
        assert re.findall("Brindle|Hobbin", widest) == ["Brindle", "Hobbin"]
        assert numbers_in(widest) == [2, 9.0, 8.0, 10.0, 5, 6.0, 5.1, 6.9, 5]

    def test_sets_sexes_side_by_side(self, made, aged):
        aged(2, [8.0, 9.0, 10.0])
        aged(2, [7.0, 7.5], sex="M")

        page = made("length-at-age", "by=sex")

        assert {row[0] for row in rows_of(page, "length-at-age")} == {"Female", "Male"}
        assert page.tables[0].heads[0] == "Sex"

    def test_weighs_by_the_measured_fish_where_ages_were_picked_by_length(
        self, made, aged, party, white
    ):
        aged(3, [8.0])
        aged(3, [10.0])
        make_fish(party, white, 8.0, progress=1, count=8)

        # 9 fish of 8 in were measured and one of 10 in: (9 x 8 + 10) / 10.
        [row] = rows_of(made("length-at-age"), "length-at-age")
        assert row[3:5] == ["8.2", "9.0"]

    def test_a_fish_on_the_edge_of_a_bin_is_in_it(self, made, aged, party, white):
        """10.0 in is 254.0 mm, and 10.0-10.9 in holds it."""
        aged(3, [10.0])
        aged(4, [10.0])
        make_fish(party, white, 10.5, progress=1, count=3)
        make_fish(party, white, 9.9, progress=1, count=5)

        [key] = [table for table in made("ages").tables if table.name == "key-Brindle"]
        bins = {row[0]: row[1:3] for row in texts_of(key)}
        assert bins == {"9.0-9.9 in": ["5", "0"], "10.0-10.9 in": ["5", "2"]}

    def test_fish_picked_for_their_size_do_not_stand_for_the_lake(
        self, made, aged, party, white, second_party
    ):
        """The biggest count in the key; how many fish of a length there are they do not tell."""
        aged(3, [8.0])
        aged(3, [10.0])
        make_fish(party, white, 8.0, progress=1, count=8)
        make_fish(second_party("biggest"), white, 10.0, progress=1, count=50)

        # 9 fish of 8 in were measured at random and one of 10 in, as without the fifty.
        [row] = rows_of(made("length-at-age"), "length-at-age")
        assert row[3] == "8.2"

    def test_measured_fish_of_unknown_sex_are_shared_out(self, made, aged, party, white):
        aged(3, [8.0] * 3 + [10.0])
        aged(3, [8.0] * 3, sex="M")
        make_fish(party, white, 8.0, progress=1, count=60, sex="U")
        make_fish(party, white, 14.0, progress=1, count=5, sex="U")

        page = made("length-at-age", "by=sex")

        [female] = [row for row in rows_of(page, "length-at-age") if row[0] == "Female"]
        assert float(female[3]) < 8.3  # the plain mean is 8.5; some thirty more of 8 in are females
        assert numbers_in(with_code("no_sex", page.left_out)) == [5]
        assert numbers_in(with_code("sex_shared_out", page.left_out)) == [60]

    def test_speaks_millimetres_where_the_lake_does(self, made, aged, lake):
        lake.length_unit = "mm"
        aged(3, [10.0])

        assert rows_of(made("length-at-age"), "length-at-age")[0][3] == "254.0"


class TestKey:
    def test_names_bins_without_an_aged_fish(self, made, aged, party, white):
        aged(3, [9.0, 9.2])
        aged(4, [9.5])
        make_fish(party, white, 12.0, progress=1, count=4)

        page = made("ages")

        without = with_code("bins_without_age", page.cautions)
        assert (numbers_in(without)[0], "12.0-12.9 in" in without) == (4, True)
        assert ["Brindle", "not known", "4", "57.1", "–", "–"] in rows_of(page, "age-structure")

    def test_does_not_take_one_age_for_certain(self, made, aged):
        aged(2, [7.0, 7.1, 7.2])
        aged(3, [9.0, 9.2])
        aged(4, [9.5])

        assert "7.0-7.9 in" in with_code("bins_of_one_age", made("ages").cautions)

    def test_warns_of_several_seasons(self, made, aged, lake):
        Season.objects.create(
            lake=lake, name="2025", number_year=2025, starts_on="2025-01-01", ends_on="2025-12-31"
        )
        aged(3, [9.0, 9.2])
        aged(4, [9.5])

        assert "seasons_mixed" not in codes(made("ages").warnings)
        page = made("ages", "season=2026&season=2025")
        assert "seasons_mixed" in codes(page.warnings)

    def test_gives_every_measured_fish_an_age_in_a_file(self, made, population, brindle):
        population(brindle, count=200)

        page = made("ages")
        [drawn] = [table for table in page.tables if table.in_file_only]

        assert len(drawn.rows) == 200
        hows = [row[3].text for row in drawn.rows]
        assert (hows.count("aged"), hows.count("drawn")) == (67, 133)
        assert made("ages").tables[-1].rows == drawn.rows

    def test_says_when_the_fish_are_the_harvest(self, made, aged):
        aged(3, [8.0, 9.0])
        aged(4, [9.5])

        assert "ages_of_harvest" in codes(made("ages").warnings)


class TestGrowth:
    def test_shows_mean_lengths_first_and_also_without_a_curve(self, made, aged):
        aged(3, [8.0, 9.0, 10.0])

        page = made("growth")

        assert page.refused.startswith("Brindle:")
        assert [table.name for table in page.tables] == ["length-at-age"]

    def test_finds_the_curve_the_fish_were_drawn_from(self, made, population, brindle):
        population(brindle)

        values = rows_of(made("growth"), "curve-values")

        assert [row[1].split(",")[0] for row in values] == ["Linf", "K", "t0"]
        for row, truth in zip(values, [LINF_IN, RATE, 0.0], strict=True):
            assert holds(row[3], truth)

    def test_tells_arms_apart_that_grow_apart(self, made, population, brindle, hobbin):
        population(brindle)
        population(hobbin, linf=9.0, seed=2)

        rows = {row[0]: row for row in rows_of(made("growth"), "do-they-differ")}

        assert rows[SHARED["coincident"]][3] == "< 0.001"
        differs = rows_of(made("growth"), "differences")
        assert {row[0] for row in differs} == {"Hobbin"}
        at_four = next(row for row in differs if row[1] == "4")
        assert at_four[4] == "yes"
        # 9 against 13 in at the end: at four seasons, four thirteenths of a fish of Brindle.
        assert holds(at_four[3], -4 * (1 - np.exp(-RATE * 4)))

    def test_fast_growers_that_anglers_kept_do_not_bend_the_curve(
        self, made, population, aged, brindle
    ):
        population(brindle)
        before = rows_of(made("growth"), "length-at-birthdays")
        for years, lengths in {1: [8.0, 8.2, 8.4], 2: [8.5, 9.0], 5: [12.0] * 15}.items():
            aged(years, lengths, donor=None)

        page = made("growth")

        after = rows_of(page, "length-at-birthdays")
        assert float(after[0][2]) == pytest.approx(float(before[0][2]), abs=0.5)
        kept = with_code("cut_off_by_anglers", page.cautions)
        [mark] = page.plots[0].panels[0].marks
        assert mark.value == pytest.approx(numbers_in(kept)[0], abs=0.05)

    def test_says_that_kept_fish_are_the_fast_growers(self, made, population, brindle):
        population(brindle, method="angler_kept")

        page = made("growth")

        assert "fast_growers_kept" in codes(page.warnings)
        assert "kept_by_anglers" in codes(page.cautions)

    def test_tells_no_length_below_the_youngest_fish(self, made, population, brindle):
        """Old fish alone hold no curve down where none of them is."""
        population(brindle, count=900)
        young = Fish.objects.filter(age__age_years__lt=3)
        Fish.objects.filter(pk__in=young).update(withdrawn=True)

        page = made("growth")

        assert rows_of(page, "length-at-birthdays")[0][1] == "4"
        [line] = [one for one in page.plots[0].panels[0].series if one.style == "line"]
        assert min(line.x) == pytest.approx(3.19, abs=0.01)  # 20 May: a fifth of the season
        assert rows_of(page, "years-to-length")[0][2:4] == ["less than 4", "–"]

    def test_its_dots_name_their_vials(self, made, population, brindle, vials):
        population(brindle)
        fish = Fish.objects.filter(arm=brindle, progress=5).first()
        fish.vial = vials[0]
        fish.save()

        [panel] = made("growth").plots[0].panels
        keys = [key for series in panel.series for key in series.keys]
        assert vials[0].number in keys
