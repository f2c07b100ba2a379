"""What readers, deaths, year classes, sizes and rings say of fish whose truth is known."""

import re
from datetime import date, timedelta

import numpy as np
import pytest
from simple_history.utils import bulk_create_with_history

from samples.findings.topics.reader_agreement.analyse import pool_days
from samples.models import (
    Fish,
    NaturalDeath,
    Radius,
    Reading,
    TagReturns,
)
from samples.rules.number_text import MINUS
from tests.factories import build_fish
from tests.findings.conftest import DEATH, codes, figure, holds, numbers_in, rows_of
from tests.lab.making import put_in_lab
from tests.people import INCH, NOW, make_vials
from tests.targets.fish import make_fish

pytestmark = pytest.mark.django_db


@pytest.fixture
def hobbin(lake):
    return lake.arms.get(name="Hobbin")


class TestReaders:
    def test_sets_two_readers_side_by_side(
        self, made, party, white, vials, reader, biologist, lake
    ):
        # Called as they sign in, where no other name is kept.
        type(reader).objects.filter(pk=reader.pk).update(display_name="")
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
        assert reader.username in row[0]
        assert numbers_in(page.summary[0])[:2] == [92, 12]

    def test_follows_two_readers_over_the_days_of_reading(
        self, made, party, white, season, office, reader, biologist
    ):
        vials = make_vials(season, first=2001, count=60, by=office)
        fish = bulk_create_with_history(
            [build_fish(party, white, vial=vial, progress=4) for vial in vials], Fish
        )
        for place, one in enumerate(fish):
            # Alike on 14, 11 and 8 of 15 fish, and on 5 on the last day.
            week, turn = divmod(place, 15)
            day = NOW.date() + timedelta(days=10 * week)
            apart = turn >= 14 - 3 * week
            for person, annuli in ((reader, 3), (biologist, 3 + apart)):
                Reading.objects.create(
                    vial=one.vial, reader=person, sitting_on=day, annuli=annuli, margin=4,
                    read_at=NOW,
                )  # fmt: skip

        page = made("readers")

        days = rows_of(page, "agreement-by-day")
        assert [row[2] for row in days] == ["15"] * 4
        assert [row[3] for row in days] == ["93", "73", "53", "33"]
        [trend] = rows_of(page, "agreement-trend")
        # 20 points each 10 days.
        assert trend[1:4] == ["4", "60", f"{MINUS}60.0"]
        assert "agreement_trend" in codes(page.summary)
        assert page.plots[-1].panels[0].series[1].x == [0, 10, 20, 30]

    def test_asks_for_a_second_reader_where_few_were_read_twice(self, made):
        assert made("readers").refused.code == "few_read_twice"


class TestDeaths:
    def test_finds_the_rate_the_fish_were_drawn_from(self, made, population, brindle):
        population(brindle, count=600)

        [row] = rows_of(made("deaths"), "death-rates")

        assert holds(row[7], DEATH)

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
        total = figure(rows_of(page, "death-rates")[0][6])
        assert figure(row[2]) == pytest.approx(total + np.log(1 - 0.3), abs=0.011)
        shown = [*rows_of(page, "natural-death"), *rows_of(page, "older-natural-death")]
        oldest = [(row[1], figure(row[2])) for row in shown if " 10 years " in row[1]]
        rules = {re.findall(r"\((\w+)", words)[0]: rate for words, rate in oldest}
        # Then et al. (2015) and Hamel & Cope (2022), coefficients from memory.
        assert rules["Then"] == pytest.approx(0.59, abs=0.01)
        assert rules["Hamel"] == pytest.approx(0.54, abs=0.001)

    def test_takes_an_arms_own_natural_death(
        self, made, population, brindle, lake, white, biologist
    ):
        population(brindle, count=600)
        for arm, share, day in ((brindle, "0.2", "2018-01-01"), (None, "0.4", "2019-01-01")):
            NaturalDeath.objects.create(
                lake=lake, species=white, arm=arm, least=share, middle=share, most=share,
                source="Survey", as_of=day, entered_by=biologist, entered_at=NOW,
            )  # fmt: skip

        [row] = rows_of(made("deaths"), "fishing")
        assert row[1] == "0.22"  # -ln(1 - 0.2), though the lake's figure is newer

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
        assert (row[2], row[5]) == ("20 of 100", "40")
        assert row[4] == "50 to 50, as entered"

    def test_sets_f_by_tags_beside_z_less_m_and_warns_where_they_disagree(
        self, made, population, brindle, lake, white, season, biologist
    ):
        population(brindle, count=600)
        NaturalDeath.objects.create(
            lake=lake, species=white, least="0.05", middle="0.08", most="0.1", source="Survey",
            as_of="2019-01-01", entered_by=biologist, entered_at=NOW,
        )  # fmt: skip
        TagReturns.objects.create(
            lake=lake, season=season, species=white, arm=brindle, tags_out=400, returned=8,
            returned_released=30, high_reward_out=100, high_reward_returned=20,
            reporting_least="0.5", reporting_most="0.5", source="Tags of spring",
            as_of="2026-06-01", entered_by=biologist, entered_at=NOW,
        )  # fmt: skip

        page = made("deaths")

        [row] = rows_of(page, "fishing-compared")
        assert row[-1] == "no"
        assert figure(row[6]) > figure(row[1])  # tags imply a larger M than was entered
        assert "measure_reporting" in codes(page.warnings)  # 8 harvested returns are too few
        assert ", measured" in rows_of(page, "tags")[0][4]

    def test_m_and_f_are_the_same_in_both_tables(
        self, made, population, brindle, lake, white, season, biologist
    ):
        population(brindle, count=600)
        NaturalDeath.objects.create(
            lake=lake, species=white, least="0.05", middle="0.1", most="0.4", source="Survey",
            as_of="2019-01-01", entered_by=biologist, entered_at=NOW,
        )  # fmt: skip
        TagReturns.objects.create(
            lake=lake, season=season, species=white, arm=brindle, tags_out=100, returned=20,
            reporting_least="0.5", reporting_most="0.5", source="Tags of spring",
            as_of="2026-06-01", entered_by=biologist, entered_at=NOW,
        )  # fmt: skip

        page = made("deaths")

        [compared], [parts] = rows_of(page, "fishing-compared"), rows_of(page, "fishing")
        assert compared[1] == "0.11"  # -ln(1 - 0.1)
        assert compared[1:3] == parts[1:3]

    def test_says_from_which_age_each_gear_counts(self, made, population, brindle):
        population(brindle, count=800)
        kept = Fish.objects.filter(length_hundredths_mm__gte=9 * INCH)
        in_creels = kept.order_by("pk").values_list("pk", flat=True)[::2]
        Fish.objects.filter(pk__in=list(in_creels)).update(method="creel")

        page = made("deaths")

        [row] = rows_of(page, "death-rates")
        from_ages = dict(re.findall(r"(\d+) \((\w+)", row[1]))
        assert len(set(from_ages)) == 2  # else they count from one age, and this tells nothing
        assert f"n = {row[3]} " in page.summary[0]
        assert f": {row[1]} " in page.summary[0]

    def test_refuses_with_few_fish_on_the_falling_side(self, made, aged):
        for years in range(1, 5):
            aged(years, [6.0 + years] * 3)

        assert "Brindle" in made("deaths").refused

    def test_warns_of_one_season_and_of_the_harvest(self, made, population, brindle):
        population(brindle, count=600, method="creel")

        warnings = codes(made("deaths").warnings)
        assert {"one_season", "ages_of_harvest"} <= set(warnings)


class TestYearClasses:
    def test_says_in_numbers_who_makes_up_the_season(self, made, aged):
        rng = np.random.default_rng(3)
        aged(3, [round(one, 1) for one in rng.normal(9, 0.8, 60)])
        aged(4, [round(one, 1) for one in rng.normal(10, 0.8, 15)])
        aged(5, [round(one, 1) for one in rng.normal(11, 0.8, 8)])

        page = made("year-classes")

        assert page.summary[0].code == "not_estimated"
        assert "2023" in page.summary[1]
        assert {row[1] for row in rows_of(page, "year-class-shares")} == {"2023", "2022", "2021"}

    def test_a_class_caught_before_and_after_new_year_is_one(self, made, aged, party):
        rng = np.random.default_rng(5)
        for day, years in ((date(2026, 1, 20), 0), (date(2025, 12, 10), -1)):
            for age, inches in ((3, 9.0), (4, 10.0), (5, 11.0)):
                lengths = [round(one, 1) for one in rng.normal(inches, 0.5, 12)]
                aged(age + years, lengths, caught_on=day)

        shares = rows_of(made("year-classes"), "year-class-shares")

        assert [row[1] for row in shares] == ["2023", "2022", "2021"]
        assert all(25 < figure(row[2]) < 42 for row in shares)


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

        assert codes(page.summary) == ["no_net_fish"]
        assert len(page.plots) == 1

    def test_gives_condition_where_fish_were_weighed(self, made, party, white):
        make_fish(party, white, 10.0, count=5, progress=1, weight_g=200)

        rows = rows_of(made("sizes"), "relative-weight")
        assert [row[:3] for row in rows] == [
            ["Brindle", "preferred", "5"],
            ["Brindle", "all", "5"],
        ]

    def test_says_why_weighed_fish_give_no_condition(self, made, party, white):
        make_fish(party, white, 4.0, count=5, progress=1, weight_g=9)

        page = made("sizes")

        assert "too_short" in codes(page.left_out)


class TestGrowthByYear:
    def test_finds_the_year_in_which_fish_grew_more(self, made, lake, white, party, reader):
        _rings(party, white, reader, good_year=2024)

        page = made("by-year")

        assert (page.summary[0].code, numbers_in(page.summary[0])[0]) == ("good_year", 2024)
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
            vial=vial, reader=reader, sitting_on=NOW.date(), annuli=years, margin=1, read_at=NOW,
            edge_um=edge,
        )  # fmt: skip
        Radius.objects.bulk_create(
            Radius(reading=reading, annulus=k, radius_um=one) for k, one in enumerate(radii, 1)
        )
    assert Vial.objects.count() >= 40


def test_days_of_reading_are_pooled_until_they_hold_enough_fish():
    assert pool_days([1, 1, 5, 9, 9, 30], 3) == [2, 2, 2, 16, 16, 16]
    # What is left at the end belongs to the run before it; too few in all are one run.
    assert pool_days([1, 1, 1, 9], 3) == [3, 3, 3, 3]
    assert pool_days([2, 4], 3) == [3, 3]
