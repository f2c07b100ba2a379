"""Pages of findings, as a biologist opens, shares and saves them."""

import csv
import io
import json
import re

import pytest
from django.http import QueryDict
from django.urls import reverse
from django.utils.html import escape

from samples.findings.page_model.page import A_DONOR
from samples.findings.topics import OFFERED, fishing_inputs
from samples.findings.topics.length_limit import stock
from samples.models import Arm, Donor, Fish, Lake, NaturalDeath
from tests.findings.conftest import text
from tests.people import NOW, make_person
from tests.shown import error_codes

pytestmark = pytest.mark.django_db
FIGURE = 'class="panel-plot'


def saved_files(client, lake, topic):
    """Yield the text of every table and figure that a page of findings lets one save."""
    for place in range(12):
        answer = client.get(reverse("findings:table", args=[lake.slug, topic, place, "csv"]))
        if answer.status_code == 200:
            yield answer.content.decode()
        for kind in ("csv", "svg"):
            answer = client.get(reverse("findings:figure", args=[lake.slug, topic, place, kind]))
            if answer.status_code == 200:
                yield answer.content.decode()


def script_data(answer):
    """Return what the script of the figures is given."""
    found = re.search(r'<script id="figure-data"[^>]*>(.*?)</script>', answer.content.decode())
    assert found
    return json.loads(found[1])


@pytest.fixture
def natural_death(lake, white, biologist):
    """Enter natural death that lies below all death of the fish that are drawn."""
    return NaturalDeath.objects.create(
        lake=lake,
        species=white,
        least="0.25",
        middle="0.30",
        most="0.36",
        source="Survey of lakes, 2019",
        as_of="2026-01-01",
        entered_by=biologist,
        entered_at=NOW,
    )


class TestPage:
    @pytest.mark.parametrize("topic", OFFERED)
    def test_opens_with_words_then_figures_then_cautions(
        self, page, population, brindle, topic, natural_death
    ):
        population(brindle, method="creel")

        answer = page(topic)

        assert answer.status_code == 200
        assert len(answer.content) <= 100_000
        assert "White crappie" in answer.content.decode()
        if topic not in ("readers", "by-year", "edge"):
            shown = answer.content.decode()
            caution = escape(answer.context["page"].cautions[0])
            assert shown.index("</h1>") < shown.index(FIGURE) < shown.index(caution)

    def test_a_page_of_five_arms_is_light(
        self, page, population, lake, brindle, entered, monkeypatch
    ):
        # Fewer draws give the same page, with other figures.
        monkeypatch.setattr(fishing_inputs, "DRAWS", 100)
        monkeypatch.setattr(stock, "HARVEST_DRAWS", 100)
        arms = [
            Arm.objects.create(lake=lake, name=f"Arm {place}", position=10 + place)
            for place in range(4)
        ]
        for place, arm in enumerate([brindle, *arms]):
            population(arm, linf=14 + place / 2, count=300, seed=place + 1, method="creel")
        entered()

        answer = page("length-limit")

        assert len(answer.context["page"].verdicts.rows) == 5
        assert len(answer.content) <= 100_000

    def test_the_first_page_leads_on(self, client, page, lake):
        page()

        answer = client.get(reverse("findings:findings", args=[lake.slug]))

        assert answer["Location"].endswith("/findings/length-at-age/")

    def test_tabs_keep_what_was_chosen(self, page, aged):
        aged(3, [8.0, 9.0, 10.0])

        shown = page("growth", "?sex=F&arm=Brindle").content.decode()

        assert '/findings/ages/?sex=F&amp;arm=Brindle"' in shown

    def test_a_wrong_choice_is_said_next_to_it(self, page):
        answer = page("growth", "?sex=X")

        assert answer.status_code == 422
        assert error_codes(answer) == {"sex": ["invalid_choice"]}

    def test_no_such_finding(self, page):
        assert page("nothing").status_code == 404

    def test_what_a_new_lake_needs(self, client, db):
        lake = Lake.objects.create(name="Bare Pond", slug="bare-pond")
        somebody = make_person(lake, "biologist", "A. Nother")
        client.force_login(somebody, backend="django.contrib.auth.backends.ModelBackend")

        answer = client.get(reverse("findings:finding", args=[lake.slug, "growth"]))

        assert answer.context["page"] is None
        assert reverse("waters:lake", args=[lake.slug]) in answer.content.decode()

    def test_a_new_age_shows_at_once(self, page, aged):
        aged(3, [8.0, 8.5, 9.0, 9.5, 10.0])
        before = text(page())
        aged(3, [12.0])

        assert "average: Brindle, 9.0 in (8.0 to 10.0; 5 fish)" in before
        assert "average: Brindle, 9.5 in (8.0 to 11.0; 6 fish)" in text(page())

    def test_donors_are_named_to_those_who_may_see_them(self, page, aged, guide):
        aged(3, [8.0, 9.0])

        assert f"{guide.display_name} donated 100%" in text(page())

    def test_a_name_that_is_taken_out_is_on_no_page_that_was_made_before(self, page, aged, lake):
        donor = Donor.objects.create(lake=lake, name="Wendeline Quarrick")
        aged(3, [8.0, 9.0], donor=donor)
        before = text(page())
        Donor.objects.update(name="")

        assert "Wendeline Quarrick donated 100%" in before
        assert f"{A_DONOR} donated 100%" in text(page())

    def test_dots_lead_to_vials(self, page, population, brindle, vials):
        population(brindle)
        fish = Fish.objects.filter(progress=5).first()
        fish.vial = vials[0]
        fish.save()

        data = script_data(page("growth"))

        assert data["address"] == "/lakes/lake-orrinbeck/vials/"
        [vials_of_dots] = [found for found in data["dots"].values() if found]
        assert vials_of_dots[0].split() == [vials[0].number]

    def test_no_dot_leads_anywhere_for_who_may_not_follow_it(
        self, page, population, brindle, client, lake
    ):
        population(brindle)
        viewer = make_person(lake, "office", "O. Ffice")
        client.force_login(viewer, backend="django.contrib.auth.backends.ModelBackend")

        answer = client.get(reverse("findings:finding", args=[lake.slug, "growth"]))

        assert 'id="figure-data"' not in answer.content.decode()

    def test_a_group_of_dots_is_one_stop_that_lists_its_fish(self, page, population, brindle):
        population(brindle)

        shown = page("growth", "?season=2026").content.decode()

        lists = re.findall(r'<a href="(/lakes/lake-orrinbeck/fish/[^"]+)"', shown)
        assert [QueryDict(one.split("?")[1].replace("&amp;", "&")).dict() for one in lists] == [
            {"species": "white-crappie", "count": "aged", "arm": str(brindle.pk), "season": "2026"}
        ]
        assert "<a" not in "".join(re.findall(r"<svg.*?</svg>", shown, re.DOTALL))

    @pytest.mark.parametrize("n", [1, 50])
    def test_asks_as_often_for_fifty_as_for_one(self, page, aged, n, django_assert_max_num_queries):
        aged(3, [8.0 + k / 10 for k in range(n)])

        # The question is asked twice, by the page and by what works it out, and on PostgreSQL the
        # result is kept in the database.
        with django_assert_max_num_queries(78):
            page()


class TestFiles:
    @pytest.mark.parametrize(
        ("kind", "begins"), [("svg", b"<svg"), ("png", b"\x89PNG"), ("csv", b"panel,series,x,y")]
    )
    def test_a_figure_is_saved(self, client, page, aged, lake, kind, begins):
        aged(3, [8.0, 9.0, 10.0])
        page()

        answer = client.get(reverse("findings:figure", args=[lake.slug, "length-at-age", 0, kind]))

        assert answer.content.startswith(begins)
        assert (
            f'filename="lake-orrinbeck-white-crappie-2026-length-at-age.{kind}"'
            in answer["Content-Disposition"]
        )

    def test_a_table_is_saved_as_it_is_shown(self, client, page, aged, lake):
        aged(3, [8.0, 9.0, 10.0])
        aged(2, [6.0])
        page()

        address = reverse("findings:table", args=[lake.slug, "length-at-age", 0, "csv"])
        rows = list(csv.DictReader(io.StringIO(client.get(address).content.decode())))

        given = [(row["Age (years)"], row["Aged fish"], row["Mean length (in)"]) for row in rows]
        assert given == [("2", "1", "6"), ("3", "3", "9")]

    def test_there_is_no_second_figure_where_there_is_one(self, client, page, aged, lake):
        aged(3, [8.0, 9.0, 10.0])
        page()

        answer = client.get(reverse("findings:figure", args=[lake.slug, "length-at-age", 7, "svg"]))

        assert answer.status_code == 404

    @pytest.mark.parametrize("topic", ["ages", "length-at-age", "sizes", "growth"])
    def test_no_file_names_a_donor(self, client, page, population, brindle, lake, guide, topic):
        population(brindle)
        donor = Donor.objects.create(lake=lake, name="Wendeline Quarrick")
        Fish.objects.update(donor=donor)
        page(topic)

        files = list(saved_files(client, lake, topic))

        assert files
        for content in files:
            assert donor.name not in content
            assert guide.display_name not in content
