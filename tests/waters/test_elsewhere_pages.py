"""The overview of figures from elsewhere, and its pages in a browser."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from samples.models import Arm, NaturalDeath, Regulation
from samples.waters import queries
from tests.chromium import DESK, PHONE
from tests.people import NOW
from tests.waters.figures import make_figures

RULE = "Ten or more."
KINDS = ["natural_death", "release_death", "tag_returns", "creel_figures"]


def address(lake, name, *args):
    return reverse(f"waters:{name}", args=[lake.slug, *args])


class TestOverview:
    def test_shows_figures_with_their_source(self, signed_in, lake, figures):
        shown = signed_in.get(address(lake, "elsewhere")).content.decode()

        for words in ("Tarrow Basin fisheries survey, 2025", "December 31, 2025", "N. Aubrey"):
            assert shown.count(words) >= 4
        for words in ("May 6, 2026", ">24<", ">0.36<", "50-80", "21,400", ">42<", ">9.0<"):
            assert words in shown

    def test_newest_first_and_an_older_one_stays(self, lake, white, black, biologist, figures):
        old = figures["natural_death"]
        said = {"lake": lake, "source": "x", "entered_by": biologist, "entered_at": NOW}
        shares = {"least": Decimal("0.1"), "middle": Decimal("0.2"), "most": Decimal("0.3")}
        days = [(white, old.as_of + timedelta(1)), (black, old.as_of - timedelta(1))]
        new, other = (
            NaturalDeath.objects.create(species=species, arm=old.arm, as_of=day, **shares, **said)
            for species, day in days
        )

        listed = queries.figures_of(NaturalDeath, lake)

        rows = [(new, False), (old, True), (other, False)]
        assert [(one.row, one.older) for one in listed] == rows

    def test_says_what_is_missing_and_what_for(self, signed_in, lake):
        shown = signed_in.get(address(lake, "elsewhere")).content.decode()

        for what in ("tag returns", "natural mortality (M)", "hooking mortality", "creel survey"):
            assert f"No {what} yet.</strong>" in shown
        assert 'class="empty"><p><strong>No regulation' in shown
        assert shown.count("button-next") == 1

    def test_says_of_which_species_it_is_missing(self, signed_in, lake, figures):
        shown = signed_in.get(address(lake, "elsewhere")).content.decode()

        assert shown.count(" yet for Black crappie, Hybrid crappie.</strong>") == 4
        assert "button-next" not in shown

    def test_shows_the_rule_in_force_and_who_wrote_it_down(self, signed_in, lake, white):
        words = {"species": white.pk, "in_force_from": "1 March 2020", "words": RULE}
        words |= {"minimum_length_hundredths_mm": "10", "source": "Guide 12"}
        signed_in.post(address(lake, "add_regulation"), words)
        Regulation.objects.create(lake=lake, in_force_from=date(2998, 1, 1), words="None.")

        answer = signed_in.get(address(lake, "elsewhere"))

        (noted,) = answer.context["rules"]
        assert (noted.rule.words, noted.actor.display_name) == (RULE, "N. Aubrey")
        assert "Guide 12" in answer.content.decode()
        assert "None." not in answer.content.decode()

    def test_a_rule_without_history_is_shown_all_the_same(self, lake):
        rule = Regulation.objects.create(lake=lake, in_force_from=date(2020, 1, 1), words="x")
        Regulation.history.all().delete()

        assert queries.rules_in_force(lake, NOW.date()) == [queries.NotedRule(rule, None, None)]

    def test_is_reached_from_the_lakes_page(self, signed_in, lake):
        shown = signed_in.get(address(lake, "lake")).content.decode()

        assert f'href="{address(lake, "elsewhere")}"' in shown

    @pytest.mark.parametrize("rows", [1, 12])
    def test_asks_the_database_as_often_with_many_rows(
        self, signed_in, lake, white, biologist, django_assert_max_num_queries, rows
    ):
        for number in range(rows):
            made = make_figures(lake, white, biologist)
            Arm.objects.create(lake=lake, name=f"Arm {number}")
            Regulation.objects.create(lake=lake, in_force_from=made["tag_returns"].as_of, words="x")
        signed_in.get(address(lake, "elsewhere"))

        with django_assert_max_num_queries(14):
            signed_in.get(address(lake, "elsewhere"))


@pytest.mark.browser
@pytest.mark.parametrize("kind", [PHONE, DESK])
def test_pages_in_a_browser(open_page, axe, lake, biologist, figures, kind):
    page = open_page(kind, user=biologist)
    pages = [address(lake, "elsewhere"), *(address(lake, f"add_{name}") for name in KINDS)]
    pages += [address(lake, name, row.pk) for name, row in figures.items()]

    for path in pages:
        page.goto(path)
        assert axe(page) == [], path
        assert not page.evaluate("document.documentElement.scrollWidth > window.innerWidth"), path


@pytest.mark.browser
@pytest.mark.parametrize("name", KINDS)
def test_nothing_typed_is_asked_for_in_a_browser(open_page, axe, lake, biologist, name):
    page = open_page(PHONE, user=biologist)
    page.goto(address(lake, f"add_{name}"))

    with page.expect_navigation() as sent:
        page.get_by_role("button", name="Save").click()

    assert sent.value.status == 422
    assert page.locator(".field-error").count() >= 3
    assert axe(page) == []
