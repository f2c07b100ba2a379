"""The answer about a length limit: right where truth is known, open where it cannot be told."""

import re
from dataclasses import replace

import numpy as np
import pytest
from django.urls import reverse

from samples.findings.topics.length_limit.calibration import FOUND
from samples.models import Donor, Fish, NaturalDeath, Regulation, ReleaseDeath
from samples.science.length_limit.verdict import Verdict
from tests.benchmarks import verdicts
from tests.findings.conftest import codes, figure, first_figure, numbers_in, rows_of, with_code
from tests.people import NOW
from tests.targets.fish import make_fish

# What is worked out is the same on any database: once is enough.
pytestmark = [pytest.mark.django_db, pytest.mark.once]


def verdicts_of(page):
    """Return the verdict of each limit, of the one arm of a page."""
    return {row[1]: row[2] for row in rows_of(page, "verdicts")}


class TestAnswer:
    def test_harvest_where_fish_grow_fast_and_are_taken_first(self, made, fished, entered):
        entered(returned=75)

        page = made("length-limit")

        assert codes(page.summary)[:3] == ["could_help", "harvest", "release_undoes"]
        assert "8.2 in to 10.0 in" in page.summary[1]
        assert "8% do (Spring, shallow); 45% do (Summer, deep)" in page.summary[2]
        assert verdicts_of(page)["10.0 in"] == "harvest"

    def test_little_effect_where_few_are_taken(self, made, fished, entered):
        entered(returned=25)

        page = made("length-limit", "limit_1=8.3&little_change=9")

        assert page.summary[1].code == "little_effect"

    def test_little_effect_is_never_said_of_a_limit_that_cuts_the_harvest(
        self, made, fished, entered
    ):
        entered(returned=6)

        page = made("length-limit")

        rows = {row[1]: row for row in rows_of(page, "harvest")}
        assert first_figure(rows["10.0 in"][3]) < -12
        assert page.summary[1].code != "little_effect"

    def test_no_little_effect_where_kept_fish_are_shorter_than_the_limit(
        self, made, fished, entered
    ):
        entered(returned=25)

        page = made("length-limit", "limit_1=8.3")

        # 3 of the 40 kept fish are shorter than 8.3 in: more than the 5% that count as little.
        assert page.summary[1].code == "kept_shorter"
        assert verdicts_of(page)["8.3 in"] == "cannot tell"

    def test_natural_death_where_few_live(self, made, fished, entered):
        entered(returned=25, natural=("0.60", "0.66", "0.72"))

        assert made("length-limit").summary[1].code == "natural_death"

    def test_growth_where_fish_never_come_to_it(
        self, made, population, party, white, brindle, entered
    ):
        population(brindle, count=600, linf=9.0)
        make_fish(party, white, 8.0, progress=1, count=40)
        entered(returned=40)

        page = made("length-limit")
        assert "growth" in codes(page.summary)
        [reach] = {row[5] for row in rows_of(page, "verdicts") if row[1] == "10.0 in"}
        assert figure(reach.split(" ")[0]) < 50

    def test_a_limit_under_what_anglers_keep_changes_nothing(self, made, fished, entered):
        entered()

        page = made("length-limit", "limit_1=7.5")

        assert page.summary[1].code == "let_go_already"
        assert verdicts_of(page)["7.5 in"] == "little effect"

    def test_cannot_tell_from_forty_fish(self, made, fished, entered):
        entered(returned=75)
        aged = Fish.objects.filter(age__isnull=False).values_list("pk", flat=True)
        Fish.objects.exclude(pk__in=list(aged[:40])).update(withdrawn=True)

        page = made("length-limit")

        assert page.refused.code == "few_aged"
        assert numbers_in(page.refused) == [50, 40, 10]

    def test_an_open_answer_says_which_figure_would_settle_it(self, made, fished, entered):
        entered(returned=45, natural=("0.20", "0.45", "0.75"))

        page = made("length-limit", "agree=99")

        assert page.summary[1].code == "cannot_tell"
        assert "settle_natural_death" in codes(page.summary)

    def test_says_what_is_missing_where_nothing_was_entered(self, made, population, brindle):
        population(brindle, count=300)

        assert made("length-limit").refused.code == "no_kept_length"

    def test_an_arms_own_natural_death_wins(self, made, fished, entered, brindle):
        entered(natural=("0.25", "0.30", "0.36"))
        entered(natural=("0.60", "0.66", "0.72"), arm=brindle)

        of = {row[1]: row[2] for row in rows_of(made("length-limit"), "rests-on")}
        assert of["Natural mortality per year"] == "66% (60 to 72)"

    def test_contradicting_figures_are_counted_and_said(self, made, fished, lake, white, biologist):
        NaturalDeath.objects.create(
            lake=lake, species=white, least="0.30", middle="0.45", most="0.60", source="x",
            as_of="2020-01-01", entered_by=biologist, entered_at=NOW,
        )  # fmt: skip

        page = made("length-limit")

        assert "draws_contradict" in codes(page.warnings)

    @pytest.mark.parametrize(
        ("query", "field"),
        [
            ("limit_1=long", "limit_1"),
            ("limit_1=99", "limit_1"),
            ("limit_1=0", "limit_1"),
            ("agree=0", "agree"),
            ("long_years=90", "long_years"),
            ("slot_from=9", "slot_below"),
            ("slot_from=11&slot_below=9", "slot_below"),
            ("creel_limit=0", "creel_limit"),
            ("kept_a_trip=none", "kept_a_trip"),
            ("caught_below=-1", "caught_below"),
            ("fewest_aged=2", "fewest_aged"),
        ],
    )
    def test_says_beside_the_field_what_cannot_be(self, page, fished, query, field):
        answer = page("length-limit", f"?{query}")

        assert answer.status_code == 422
        assert list(answer.context["form"].errors) == [field]

    def test_a_limit_that_costs_harvest_is_not_said_to_help(self, made, fished, entered):
        entered(returned=75)
        summer = ReleaseDeath.objects.get(when="Summer, deep").pk

        page = made("length-limit", f"release={summer}")

        assert codes(page.summary)[:2] == ["costs_harvest", "harvest"]
        [weight] = [row[2] for row in rows_of(page, "harvest") if row[1] == "10.0 in"]
        assert first_figure(weight) < 0

    def test_no_harvest_verdict_while_tags_contradict_total_mortality(
        self, made, population, party, white, brindle, entered
    ):
        population(brindle, count=600, linf=15.5, death=0.5)
        for tenth in range(40):
            make_fish(party, white, 8.0 + tenth / 10, progress=1)
        entered(returned=100)

        page = made("length-limit")

        assert codes(page.summary)[:2] == ["not_judged", "tags_disagree"]
        assert "tags_disagree" in codes(page.warnings)
        # Either F is that of the page of mortality.
        [row] = rows_of(made("deaths"), "fishing-compared")
        told = numbers_in(with_code("tags_disagree", page.warnings))
        assert sorted(told) == sorted([figure(row[2]), figure(row[4])])

    def test_arms_that_cannot_be_judged_stand_in_the_first_sentence(
        self, made, fished, entered, aged, lake
    ):
        entered(returned=75)
        aged(3, [9.0, 10.0], arm=lake.arms.get(name="Hobbin"))

        page = made("length-limit")
        assert page.summary[0].code == "could_help,not_judged"
        said = f"{page.answer} {page.summary[0]}"
        assert re.findall("Brindle|Hobbin", said) == ["Brindle", "Hobbin"]
        assert "few_aged" in codes(page.summary)

    def test_lines_are_moved_by_a_person(self, made, fished, entered):
        entered(returned=75)

        moved = made("length-limit", "long_years=0.5&agree=60")

        assert moved.summary[1].code == "growth"
        assert " 0.5 years" in rows_of(moved, "rules")[1][1]


class TestNumbers:
    def test_a_harsher_release_costs_harvest(self, made, fished, entered):
        entered(returned=75)
        summer = ReleaseDeath.objects.get(when="Summer, deep").pk

        mild, harsh = (
            {row[1]: row for row in rows_of(made("length-limit", query), "harvest")}
            for query in ("", f"release={summer}")
        )

        first, second = (first_figure(rows["10.0 in"][2]) for rows in (mild, harsh))
        assert second < first - 10
        assert mild["10.0 in"][8] == harsh["10.0 in"][8]  # what would undo it is the same

    def test_no_weight_is_taken_where_nobody_fishes(self, made, fished, entered):
        entered()

        [surface] = [one for one in made("length-limit").tables if one.name == "surface-Brindle"]

        assert {row[2].value for row in surface.rows if row[1].value == 0} == {0}
        assert surface.rows[-1][2].value >= 0

    def test_every_scenario_stands_in_its_table(self, made, fished, entered):
        entered()

        rows = rows_of(made("length-limit"), "scenarios-Brindle")

        assert [row[0] for row in rows] == ["9.0 in"] * 3 + ["10.0 in"] * 3 + ["11.0 in"] * 3
        assert all(len(row) == 5 for row in rows)


class TestPublic:
    def test_asks_why_there_is_none_or_why_there_is_one(self, client, page, lake, fished, entered):
        entered(returned=75)
        address = reverse("findings:public", args=[lake.slug, "length-limit"])
        assert f'href="{address}"' in page("length-limit").content.decode()
        without = client.get(address).context["page"]
        Regulation.objects.create(lake=lake, in_force_from="2018-01-01", words="30 a day")
        without_a_limit = client.get(address).context["page"]
        Regulation.objects.create(
            lake=lake, in_force_from="2020-01-01", words="10 in", minimum_length_hundredths_mm=25400
        )

        assert without.title.code == "would_limit_help"
        assert without.summary[0].startswith("200 fish of 2026 ")
        assert codes(without.summary[1:]) == ["could_help", "harvest"]
        # Before a rule is entered nothing is said of what holds today.
        assert without_a_limit.summary[0].endswith(f" {without.summary[0]}")
        assert without_a_limit.title.code == "would_limit_help"
        assert client.get(address).context["page"].title.code == "why_limit"

    def test_is_not_offered_where_no_arm_has_an_answer(self, page, lake, fished, entered):
        entered(returned=45, natural=("0.20", "0.45", "0.75"))

        answer = page("length-limit", "?agree=99&long_years=9")

        assert answer.context["page"].summary[1].code == "cannot_tell"
        assert (
            reverse("findings:public", args=[lake.slug, "length-limit"])
            not in answer.content.decode()
        )

    def test_its_tables_and_figures_are_of_the_page_without_names(
        self, client, page, lake, fished, entered, monkeypatch
    ):
        entered()
        page("length-limit")
        monkeypatch.setattr(
            "samples.findings.views.pages.name_donors",
            lambda page, *, named: page if named else replace(page, tables=[], plots=[]),
        )

        shown = client.get(reverse("findings:public", args=[lake.slug, "length-limit"])).context

        assert (shown["tables"], shown["figures"]) == ([], [])

    def test_names_no_person_vial_or_reach(self, client, page, lake, fished, entered, guide, vials):
        entered()
        fish = Fish.objects.filter(progress=5).first()
        fish.vial, fish.donor = vials[0], Donor.objects.get(person=guide)
        fish.save()
        page("length-limit")

        shown = client.get(
            reverse("findings:public", args=[lake.slug, "length-limit"])
        ).content.decode()
        main = shown[shown.index("<main") : shown.index("</main>")]

        assert "<svg" in main
        assert vials[0].number not in main
        assert guide.display_name not in main
        for reach in lake.arms.get(name="Brindle").reaches.all():
            assert f">{reach}<" not in main


class TestCalibration:
    def test_what_is_published_is_what_the_benchmark_finds(self):
        """The first twenty of the lakes that `manage.py benchmark verdicts` answers for."""
        outcomes = verdicts.outcomes_of(20)
        counts = {kind: sum(one.kind == kind for one in outcomes) for kind in verdicts.KINDS}

        assert counts["wrong"] <= 2
        assert counts["right"] >= 6
        lakes = verdicts.LAKES + verdicts.NEAR_LAKES
        assert sum(FOUND["all lakes"][1:]) == FOUND["all lakes"][0] == lakes

    def test_harvest_is_named_where_anglers_took_the_fast_growers(self):
        """F 1.1: the fish that are left alone look too slow for a limit of 254 mm."""
        rng = np.random.default_rng(186)
        lake = verdicts.Truth(rng)

        assert lake.verdict is Verdict.HARVEST
        assert verdicts.said_of(lake, rng, verdicts.AGED_OF_EACH, tags=True) is Verdict.HARVEST

    def test_forty_fish_answer_for_no_lake(self):
        assert {one.kind for one in verdicts.outcomes_of(6, aged=20)} == {"cannot tell"}
