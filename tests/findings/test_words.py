"""What a biologist and the public read on pages of findings, word for word."""

import pickle
from datetime import timedelta

import numpy as np
import pytest
from django.urls import reverse
from django.utils import timezone

from samples.computations import requests
from samples.findings import cost
from samples.findings.page_model import Sentence
from samples.findings.topics.growth import intervals as growth_intervals
from samples.findings.topics.intervals import misread_text
from samples.models import Computation, Regulation
from tests.findings.conftest import text, with_code
from tests.targets.fish import make_fish

pytestmark = pytest.mark.django_db
State = Computation.State


def test_a_sentence_keeps_its_code_where_results_are_kept():
    kept = pickle.loads(pickle.dumps(Sentence("few_aged", "age 10 more").of("Brindle")))  # noqa: S301

    assert (kept, kept.code) == ("Brindle: age 10 more", "few_aged")


class TestFishIncluded:
    def test_what_is_not_here_and_what_biases_it(self, made, aged, second_party):
        aged(3, [9.0, 9.5], of=second_party("size_asked"))
        aged(3, [8.0, 9.0, 10.0], of=second_party("not_known"))
        aged(2, [8.0], sex="M")

        page = made("length-at-age", "sex=F")

        assert page.left_out == ["1 fish of other arms, sexes, methods or ways of choosing."]
        assert with_code("picked_by_size", page.cautions).startswith("Picked by size: 2 of 5 aged ")
        assert with_code("how_chosen_unknown", page.cautions).startswith(
            "Nobody recorded how 3 of 5 aged fish were chosen."
        )

    def test_a_choice_that_is_not_there(self, page):
        answer = page("growth", "?sex=X")

        assert "Sex: not at Lake Orrinbeck. Choose one from the" in text(answer)

    def test_the_sum_comes_first(self, made, population, brindle, second_party, white):
        population(brindle, count=200)
        make_fish(second_party("biggest"), white, 11.0, count=12, progress=1, method="trap_net")

        account, *reasons = made("ages").left_out

        assert account == "212 measured fish: 200 included, 12 excluded."
        assert reasons[0].startswith("12 fish ")


class TestAges:
    def test_how_lengths_differ_between_arms(self, made, aged, lake):
        aged(2, [8.0, 8.5, 9.0, 9.5, 10.0])
        aged(2, [5.0, 6.0, 7.0, 6.0, 6.0], arm=lake.arms.get(name="Hobbin"))

        assert made("length-at-age").summary[0] == (
            "Longest at age 2: Brindle, 9.0 in (8.0 to 10.0; 5 fish). Shortest: Hobbin, 6.0 in "
            "(5.1 to 6.9; 5 fish)."
        )

    def test_bins_of_no_age_and_of_one(self, made, aged, party, white):
        aged(3, [9.0, 9.2])
        aged(4, [9.5])
        aged(2, [7.0, 7.1, 7.2])
        make_fish(party, white, 12.0, progress=1, count=4)

        page = made("ages")

        assert "are 4 measured fish of 12.0-12.9 in" in with_code("bins_without_age", page.cautions)
        assert "7.0-7.9 in show one age alone" in with_code("bins_of_one_age", page.cautions)
        assert with_code("ages_of_harvest", page.warnings).endswith(
            "these are the ages of the harvest, not of the fish in the lake."
        )

    def test_where_ages_come_from(self, made, aged):
        aged(3, [8.0, 9.0, 10.0])

        [plot] = made("length-at-age").plots

        assert "Ages from otoliths, by the January 1 rule." in plot.caption


class TestGrowthAndMortality:
    def test_one_season(self, made, population, brindle):
        population(brindle)

        growth, deaths = made("growth"), made("deaths")

        assert growth.summary[0].startswith("Brindle: the average fish ")
        assert "assume a year-to-year sd of 0.2. Add seasons." in with_code(
            "year_sd_assumed", growth.warnings
        )
        assert deaths.summary[0].startswith("Brindle: total mortality (Z) ")
        assert "cannot tell a strong or weak year class from mortality" in with_code(
            "one_season", deaths.warnings
        )

    def test_how_often_intervals_hold(self):
        [narrow] = growth_intervals.too_narrow(1, 0.15)
        [misread] = misread_text(0.11)

        assert "81% to 87% of these 95% intervals held the truth." in narrow
        assert misread.startswith("Second readings differ (CV of one reading 11%). Ageing error ")

    def test_what_is_missing(self, made, aged):
        aged(3, [9.0])

        assert "Enter the margin with each reading." in made("edge").refused
        assert made("readers").refused.endswith("read 10-20% of the otoliths blind.")
        assert made("sizes").summary == ["Brindle: no fish from nets or electrofishing."]


@pytest.mark.once
class TestLengthLimit:
    def test_an_answer_of_harvest(self, made, fished, entered):
        entered(returned=75)

        whole, arm, release, *_ = made("length-limit").summary

        assert whole == "A limit of 10.0 in could help in Brindle."
        assert arm.startswith("Brindle: harvest (probability ")
        assert "to grow from 8.2 in to 10.0 in" in arm
        assert "Weight harvested would change by +" in arm
        assert "As entered under Rates, 8% do (Spring, shallow); 45% do (Summer, deep)" in release

    def test_too_few_aged_fish(self, made, aged):
        aged(3, np.linspace(8, 12, 40))

        assert made("length-limit").refused == (
            "Brindle: cannot tell, a verdict wants 50 aged fish, and here are 40. Age 10 more, "
            "small ones from trap nets among them."
        )

    def test_regulations_side_by_side(self, made, fished, entered, lake):
        entered()
        Regulation.objects.create(
            lake=lake, in_force_from="2020-01-01", words="10 in", minimum_length_hundredths_mm=25400
        )

        page = made("length-limit", "limit_1=9.0&limit_2=10.0&limit_3=11.0")

        assert page.summary[1].startswith(
            "Brindle: lowering the limit from 10.0 in to 9.0 in would"
        )
        assert page.summary[2].startswith("Brindle: removing the 10.0 in limit would change the ")
        [table] = [table for table in page.tables if table.name == "other-rules"]
        assert [row[1].text for row in table.rows[:3]] == [
            "In force: minimum 10.0 in",
            "No minimum limit",
            "Minimum 9.0 in",
        ]

    def test_the_page_for_the_public(self, client, page, lake, fished, entered):
        entered(returned=75)
        assert "One page for the public, to print or send." in text(page("length-limit"))
        address = reverse("findings:public", args=[lake.slug, "length-limit"])
        Regulation.objects.create(lake=lake, in_force_from="2018-01-01", words="30 a day")
        without_a_limit = text(client.get(address))
        Regulation.objects.create(
            lake=lake, in_force_from="2020-01-01", words="10 in", minimum_length_hundredths_mm=25400
        )

        assert "Would a length limit help the white crappie of Lake Orrinbeck?" in without_a_limit
        assert "Today there is no length limit on white crappie here." in without_a_limit
        assert "200 fish of 2026 have been aged" in without_a_limit
        assert "Brindle: harvest. Fish take" in without_a_limit
        assert "% more weight (" in without_a_limit
        assert "Why is there a length limit on white crappie in Lake Orrinbeck?" in text(
            client.get(address)
        )


class TestWaiting:
    @pytest.fixture(autouse=True)
    def queued(self, monkeypatch):
        monkeypatch.setattr(requests, "enqueue", lambda pk, *, short: "queued")
        monkeypatch.setattr(cost, "ON_PAGE_S", 0.0)

    def test_from_asked_for_to_failed(self, client, lake, page, aged):
        aged(3, [8.0, 9.0, 10.0])
        waiting = text(page())
        Computation.objects.update(queued_at=timezone.now() - timedelta(minutes=1))
        alone = text(page())
        row = Computation.objects.get()
        cancel = reverse("findings:cancel", args=[lake.slug, row.pk])
        canceled = text(client.post(cancel, follow=True))
        Computation.objects.update(state=State.FAILED)

        assert "Calculating from 3 fish" in waiting
        assert "No worker is running. Ask your administrator to start it." in alone
        assert "Calculation canceled." in canceled
        assert "This calculation failed. Try again." in text(page())
