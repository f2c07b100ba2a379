"""What each finding says of fish whose truth is known, and when it says nothing."""

import numpy as np
import pytest

from samples.findings.topics import TOPICS
from samples.models import (
    Fish,
    NaturalDeath,
    Radius,
    Reading,
    Season,
    TagReturns,
)
from tests.findings.conftest import DEATH, LINF_IN, RATE, rows_of
from tests.lab.making import put_in_lab
from tests.people import NOW
from tests.targets.fish import make_fish

pytestmark = pytest.mark.django_db


@pytest.fixture
def hobbin(lake):
    return lake.arms.get(name="Hobbin")


def figure(text):
    return float(text.rstrip("%").replace(",", ""))


def holds(interval, truth):
    low, high = (float(end) for end in interval.split(" to "))
    return low <= truth <= high


class TestNothingToSay:
    @pytest.mark.parametrize("topic", TOPICS)
    def test_says_so_where_there_is_no_fish(self, made, topic):
        page = made(topic)

        assert page.refused
        assert (page.says, page.plots) == ([], [])

    @pytest.mark.parametrize("topic", [topic for topic in TOPICS if topic != "sizes"])
    def test_says_so_where_no_fish_has_an_age(self, made, topic, party, white):
        make_fish(party, white, 9.0, count=30, progress=1)

        assert made(topic).refused.endswith((".", "?"))

    @pytest.mark.parametrize("topic", TOPICS)
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
        assert bool(page.refused) != bool(page.says)

    @pytest.mark.parametrize("topic", ["growth", "deaths", "ages"])
    def test_an_arm_of_two_fish_is_named_and_the_other_told(
        self, made, aged, population, brindle, hobbin, topic
    ):
        population(brindle)
        aged(3, [9.0, 9.5], arm=hobbin)

        page = made(topic)

        assert any(sentence.startswith("Brindle") for sentence in page.says)
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
        aged(2, [8.0, 9.0, 10.0])
        aged(2, [5.0, 6.0, 7.0, 6.0], arm=hobbin)

        assert made("length-at-age").says[0] == (
            "At age 2 fish average: Brindle 9.0 in (3 fish), Hobbin 6.0 in (4 fish)."
        )

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
        bins = {row[0]: row[1:3] for row in key.rows}
        assert bins == {"9.0-9.9 in": ["5", "0"], "10.0-10.9 in": ["5", "2"]}

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

        assert any("4 measured fish of 12.0-12.9 in have no age" in one for one in page.cautions)
        assert ["Brindle", "not known", "4", "57.1", "–", "–", "–"] in rows_of(
            page, "age-structure"
        )

    def test_does_not_take_one_age_for_certain(self, made, aged):
        aged(2, [7.0, 7.1, 7.2])
        aged(3, [9.0, 9.2])
        aged(4, [9.5])

        assert any("7.0-7.9 in show one age alone" in one for one in made("ages").cautions)

    def test_warns_of_several_seasons(self, made, aged, lake):
        Season.objects.create(
            lake=lake, name="2025", number_year=2025, starts_on="2025-01-01", ends_on="2025-12-31"
        )
        aged(3, [9.0, 9.2])
        aged(4, [9.5])

        assert any("holds for one season" in one for one in made("ages").warnings) is False
        page = made("ages", "season=2026&season=2025")
        assert any("holds for one season" in one for one in page.warnings)

    def test_gives_every_measured_fish_an_age_in_a_file(self, made, population, brindle):
        population(brindle, count=200)

        page = made("ages")
        [drawn] = [table for table in page.tables if table.in_file_only]

        assert len(drawn.rows) == 200
        hows = [row[3] for row in drawn.rows]
        assert (hows.count("aged"), hows.count("drawn")) == (67, 133)
        assert made("ages").tables[-1].rows == drawn.rows

    def test_says_when_the_fish_are_the_harvest(self, made, aged):
        aged(3, [8.0, 9.0])
        aged(4, [9.5])

        assert any("ages of the harvest" in one for one in made("ages").warnings)


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
            assert holds(row[5], truth)
        for row, truth in zip(values[:2], [LINF_IN, RATE], strict=True):
            assert holds(row[4], truth)

    def test_tells_arms_apart_that_grow_apart(self, made, population, brindle, hobbin):
        population(brindle)
        population(hobbin, linf=9.0, seed=2)

        rows = {row[0]: row for row in rows_of(made("growth"), "do-they-differ")}

        assert rows["one curve for all"][3] == "< 0.001"

    def test_leaves_out_fast_growers_that_anglers_kept(self, made, population, aged, brindle):
        population(brindle)
        for years, lengths in {1: [8.0, 8.2, 8.4], 2: [8.5, 9.0], 5: [12.0] * 15}.items():
            aged(years, lengths, donor=None)

        page = made("growth")

        assert any("are the fast growers of their age and are left out" in x for x in page.cautions)
        assert [mark.words for mark in page.plots[-1].panels[0].marks] == ["kept from here"]

    def test_says_that_kept_fish_are_the_fast_growers(self, made, population, brindle):
        population(brindle, method="angler_kept")

        page = made("growth")

        assert any("fast growers" in one for one in [*page.warnings, *page.cautions])

    def test_its_dots_name_their_vials(self, made, population, brindle, vials):
        population(brindle)
        fish = Fish.objects.filter(arm=brindle, progress=5).first()
        fish.vial = vials[0]
        fish.save()

        [panel] = made("growth").plots[-1].panels
        keys = [key for series in panel.series for key in series.keys]
        assert vials[0].number in keys


class TestReaders:
    def test_sets_two_readers_side_by_side(
        self, made, party, white, vials, reader, biologist, lake
    ):
        for place in range(12):
            fish = put_in_lab(vials[place], party, white)
            for person, annuli in ((reader, 3), (biologist, 3 if place else 4)):
                Reading.objects.create(
                    vial=fish.vial, reader=person, sitting_on=NOW.date(), annuli=annuli, margin=4,
                    read_at=NOW,
                )  # fmt: skip

        page = made("readers")

        [row] = rows_of(page, "agreement")
        assert row[1:4] == ["12", "92", "100"]
        assert "read 92 % of 12 fish alike" in page.says[0]

    def test_asks_for_a_second_reader_where_few_were_read_twice(self, made):
        assert "second reader" in made("readers").refused


class TestDeaths:
    def test_finds_the_rate_the_fish_were_drawn_from(self, made, population, brindle):
        population(brindle, count=600)

        [row] = rows_of(made("deaths"), "death-rates")

        assert holds(row[5], DEATH)

    def test_takes_natural_death_off_and_counts_contradictions(
        self, made, population, brindle, lake, white, biologist
    ):
        population(brindle, count=600)
        NaturalDeath.objects.create(
            lake=lake, species=white, least="0.25", middle="0.3", most="0.35", oldest_years=10,
            source="Survey of lakes, 2019", as_of="2019-01-01", entered_by=biologist,
            entered_at=NOW,
        )  # fmt: skip

        page = made("deaths")

        [row] = rows_of(page, "fishing")
        total = figure(rows_of(page, "death-rates")[0][3])
        assert figure(row[2]) == pytest.approx(total + np.log(1 - 0.3), abs=0.011)
        rules = {row[1]: figure(row[2]) for row in rows_of(page, "natural-death")}
        # Then et al. (2015) and Hamel & Cope (2022), coefficients from memory.
        assert rules["oldest fish, 10 years (Then et al. 2015)"] == pytest.approx(0.59, abs=0.01)
        assert rules["oldest fish, 10 years (Hamel & Cope 2022)"] == pytest.approx(0.54, abs=0.001)

    def test_takes_the_share_from_tags_where_they_were_entered(
        self, made, population, brindle, lake, white, season, biologist
    ):
        population(brindle, count=600)
        TagReturns.objects.create(
            lake=lake, season=season, species=white, arm=brindle, tags_out=100, returned=20,
            reporting_least="0.5", reporting_most="0.5", source="Tags of spring",
            as_of="2026-06-01", entered_by=biologist, entered_at=NOW,
        )  # fmt: skip

        [row] = rows_of(made("deaths"), "tags")
        assert (row[2], row[3]) == ("20 of 100", "40")

    def test_refuses_with_few_fish_on_the_falling_side(self, made, aged):
        for years in range(1, 5):
            aged(years, [6.0 + years] * 3)

        assert "Brindle" in made("deaths").refused

    def test_warns_of_one_season_and_of_the_harvest(self, made, population, brindle):
        population(brindle, count=600, method="creel")

        warnings = " ".join(made("deaths").warnings)
        assert "strong or a missing year class" in warnings
        assert "how the harvest falls with age" in warnings


class TestYearClasses:
    def test_says_in_numbers_who_makes_up_the_season(self, made, aged):
        rng = np.random.default_rng(3)
        aged(3, [round(one, 1) for one in rng.normal(9, 0.8, 60)])
        aged(4, [round(one, 1) for one in rng.normal(10, 0.8, 15)])
        aged(5, [round(one, 1) for one in rng.normal(11, 0.8, 8)])

        page = made("year-classes")

        assert "2023" in page.says[0]
        assert {row[1] for row in rows_of(page, "year-class-shares")} == {"2023", "2022", "2021"}


class TestSizes:
    def test_tells_of_net_fish_alone(self, made, party, white):
        make_fish(party, white, 12.0, count=40, progress=1)
        make_fish(party, white, 6.0, count=30, progress=1, method="trap_net")
        make_fish(party, white, 8.5, count=10, progress=1, method="trap_net")

        page = made("sizes")

        rows = rows_of(page, "size-structure")
        # Gabelhouse (1984): white crappie, stock 5 in, quality 8 in. 10 of 40 net fish.
        assert rows[0][1:5] == ["40", "quality", "10", "25"]

    def test_says_so_where_there_are_no_net_fish(self, made, party, white):
        make_fish(party, white, 12.0, count=40, progress=1)

        page = made("sizes")

        assert page.says == ["There are no net fish here to tell size structure from."]
        assert len(page.plots) == 1

    def test_gives_condition_where_fish_were_weighed(self, made, party, white):
        make_fish(party, white, 10.0, count=5, progress=1, weight_g=200)

        assert rows_of(made("sizes"), "relative-weight")[0][:2] == ["Brindle", "5"]


class TestGrowthByYear:
    def test_finds_the_year_in_which_fish_grew_more(self, made, lake, white, party, reader):
        _rings(party, white, reader, good_year=2024)

        page = made("by-year")

        assert page.says[0].startswith("Fish grew best in 2024")
        rows = {row[0]: row for row in rows_of(page, "growth-by-year")}
        assert 10 < figure(rows["2024"][2].lstrip("+")) < 45


def _rings(party, species, reader, *, good_year):
    """Give forty fish rings of one curve, a fifth wider in the good year."""
    from samples.models import Age, Vial
    from tests.people import make_vials

    rng = np.random.default_rng(4)
    vials = make_vials(party.season, first=200, count=40, by=reader)
    for place, vial in enumerate(vials):
        years = 2 + place % 4
        year_class = 2026 - years
        steps = [
            100 * 0.7**k * (1.3 if year_class + k == good_year else 1) * rng.normal(1, 0.05)
            for k in range(years)
        ]
        radii = [int(5 * one) for one in np.cumsum(steps)]
        edge = radii[-1] + 30
        fish = put_in_lab(vial, party, species)
        fish.length_hundredths_mm = edge * 20
        fish.save()
        Age.objects.create(
            fish=fish, standing="agreed", age_years=years, year_class=year_class, rule="test",
            worked_out_at=NOW,
        )  # fmt: skip
        reading = Reading.objects.create(
            vial=vial, reader=reader, sitting_on=NOW.date(), annuli=years, margin=4, read_at=NOW,
            edge_um=edge,
        )  # fmt: skip
        Radius.objects.bulk_create(
            Radius(reading=reading, annulus=k, radius_um=one) for k, one in enumerate(radii, 1)
        )
    assert Vial.objects.count() >= 40
