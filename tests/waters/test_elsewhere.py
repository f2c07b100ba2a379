"""Figures from elsewhere: what may be typed, what is kept, and what a page says is missing."""

import math
from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from samples.models import Arm, CreelFigures, NaturalDeath, Regulation, ReleaseDeath, TagReturns
from samples.waters import queries, services
from samples.waters.rules import (
    Unwritable,
    more_taken_than_tagged,
    percent_text,
    rate_text,
    read_number,
    share_of_percent,
    share_of_rate,
)
from tests.chromium import DESK, PHONE
from tests.people import NOW, make_person
from tests.waters.figures import make_figures

MODELS = {
    "natural_death": NaturalDeath,
    "release_death": ReleaseDeath,
    "tag_returns": TagReturns,
    "creel_figures": CreelFigures,
}
SOURCED = {"source": "Basin survey, 2024", "as_of": "31 December 2024"}
RANGE = {"least": "24", "middle": "30", "most": "45.25"}
NATURAL = {"given_as": "percent", **RANGE}
TAGS = {
    "tags_out": "200",
    "returned": "45",
    "reporting_least": "50",
    "reporting_most": "80 %",
    "tags_kept": "95",
    "survived_tagging": "100",
}
CREEL = {
    "angler_hours": "21,400",
    "caught": "17 100",
    "released": "42,5",
    "smallest_kept_hundredths_mm": "9.2",
}


@pytest.fixture
def signed_in(client, biologist):
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def figures(lake, white, biologist):
    return make_figures(lake, white, biologist)


@pytest.fixture
def typed(white, season, brindle):
    """What a person types for one figure of each kind."""
    placed = {"season": season.pk, "arm": brindle.pk}
    words = {
        "natural_death": {**NATURAL, "oldest_years": "12"},
        "release_death": {**RANGE, "when": "Spring, less than 15 ft down"},
        "tag_returns": {**TAGS, **placed},
        "creel_figures": {**CREEL, **placed},
    }
    return {name: {"species": white.pk, **SOURCED, **said} for name, said in words.items()}


def address(lake, name, *args):
    return reverse(f"waters:{name}", args=[lake.slug, *args])


class TestNumbers:
    @pytest.mark.parametrize(
        ("text", "number"),
        [
            ("30", "30"),
            (" 7.5 ", "7.5"),
            ("7,5", "7.5"),
            ("30 %", "30"),
            ("30%", "30"),
            (".5", ".5"),
        ],
    )
    def test_as_people_write_them(self, text, number):
        assert read_number(text) == Decimal(number)

    @pytest.mark.parametrize("text", ["", "%", "-3", "few", "1 2", "1e3", "٣", "10-20", "12345"])
    def test_what_is_none(self, text):
        with pytest.raises(Unwritable, match="one number"):
            read_number(text)

    @pytest.mark.parametrize(
        ("percent", "share"), [("0", "0"), ("1", ".01"), ("45.25", ".4525"), ("100", "1")]
    )
    def test_per_cent_becomes_a_share_and_is_shown_again(self, percent, share):
        assert share_of_percent(Decimal(percent)) == Decimal(share)
        assert percent_text(Decimal(share)) == percent

    @pytest.mark.parametrize(
        ("percent", "said"),
        [
            ("0.3", "30 if you mean 0.3"),
            ("0.30", "30 if you mean 0.3"),
            ("100.5", "from 0 to 100"),
            ("7.125", "two places"),
        ],
    )
    def test_what_is_not_per_cent(self, percent, said):
        with pytest.raises(Unwritable, match=said):
            share_of_percent(Decimal(percent))

    @pytest.mark.parametrize("rate", ["0.05", "0.28", "0.36", "0.8", "3"])
    def test_a_rate_becomes_the_share_that_dies_in_a_year(self, rate):
        share = share_of_rate(Decimal(rate))

        assert float(share) == pytest.approx(1 - math.exp(-float(rate)), abs=0.00005)
        assert float(rate_text(share)) == pytest.approx(float(rate), abs=0.01)

    @pytest.mark.parametrize(
        ("rate", "said"), [("0", "above 0"), ("3.1", "up to 3"), ("30", "choose per cent")]
    )
    def test_what_is_no_rate(self, rate, said):
        with pytest.raises(Unwritable, match=said):
            share_of_rate(Decimal(rate))

    def test_a_rate_that_is_as_good_as_none(self):
        with pytest.raises(Unwritable, match="as good as none"):
            share_of_rate(Decimal("0.00001"))

    @pytest.mark.parametrize(("returned", "too_many"), [(129, False), (130, True)])
    def test_more_fish_cannot_be_taken_than_were_tagged(self, returned, too_many):
        reporting = (Decimal("0.5"), Decimal("0.8"))

        assert too_many == more_taken_than_tagged(
            tags_out=200, returned=returned, reporting=reporting, at_risk=Decimal(1)
        )


class TestEntering:
    @pytest.mark.parametrize("name", MODELS)
    def test_each_kind(self, signed_in, lake, biologist, typed, name):
        before = timezone.now()

        answer = signed_in.post(address(lake, f"add_{name}"), typed[name])

        assert (answer.status_code, answer.url) == (302, address(lake, "elsewhere"))
        row = MODELS[name].objects.get()
        assert (row.lake, row.entered_by, row.as_of) == (lake, biologist, date(2024, 12, 31))
        assert before <= row.entered_at <= timezone.now()
        assert row.history.get().history_user == biologist

    def test_per_cent_is_kept_as_shares(self, signed_in, lake, typed):
        for name in MODELS:
            signed_in.post(address(lake, f"add_{name}"), typed[name])

        for model in (NaturalDeath, ReleaseDeath):
            row = model.objects.get()
            shares = [Decimal("0.24"), Decimal("0.3"), Decimal("0.4525")]
            assert [row.least, row.middle, row.most] == shares
        tags, creel = TagReturns.objects.get(), CreelFigures.objects.get()
        assert (tags.reporting_least, tags.reporting_most) == (Decimal("0.5"), Decimal("0.8"))
        assert (tags.tags_kept, tags.survived_tagging) == (Decimal("0.95"), 1)
        assert (creel.angler_hours, creel.caught) == (21_400, 17_100)
        assert (creel.released, creel.smallest_kept_hundredths_mm) == (Decimal("0.425"), 23_368)

    def test_natural_death_as_a_rate(self, signed_in, lake, typed):
        rates = {"given_as": "rate", "least": "0.28", "middle": "0,36", "most": "0.8"}

        signed_in.post(address(lake, "add_natural_death"), typed["natural_death"] | rates)

        row = NaturalDeath.objects.get()
        shares = [Decimal("0.2442"), Decimal("0.3023"), Decimal("0.5507")]
        assert [row.least, row.middle, row.most] == shares

    def test_without_an_arm_it_is_of_the_whole_lake(self, signed_in, lake, typed):
        signed_in.post(address(lake, "add_tag_returns"), typed["tag_returns"] | {"arm": ""})

        assert TagReturns.objects.get().arm is None
        assert "Whole lake" in signed_in.get(address(lake, "elsewhere")).content.decode()

    def test_lengths_are_of_the_lakes_unit(self, signed_in, lake, typed):
        lake.length_unit = "mm"
        lake.save()
        kept = {"smallest_kept_hundredths_mm": "235"}

        signed_in.post(address(lake, "add_creel_figures"), typed["creel_figures"] | kept)

        assert CreelFigures.objects.get().smallest_kept_hundredths_mm == 23_500

    def test_a_second_source_of_the_same_day_is_another_figure(self, signed_in, lake, typed):
        other = typed["natural_death"] | {"source": "Another survey"}
        for words in (typed["natural_death"], other):
            signed_in.post(address(lake, "add_natural_death"), words)

        assert NaturalDeath.objects.count() == 2


# The kind, what is typed otherwise than well, the field that says so, and what it says.
WRONG = [
    ("natural_death", {"species": ""}, "species", "Of which species?"),
    ("natural_death", {"source": " "}, "source", "Where does it come from?"),
    ("natural_death", {"as_of": ""}, "as_of", "Of when is it?"),
    ("natural_death", {"as_of": "2019"}, "as_of", "18 April 2026"),
    ("natural_death", {"as_of": "1 January 2999"}, "as_of", "still to come"),
    ("natural_death", {"given_as": ""}, "given_as", "Per cent or a rate?"),
    ("natural_death", {"least": ""}, "least", "Give the least"),
    ("natural_death", {"least": "some"}, "least", "one number"),
    ("natural_death", {"least": "0"}, "least", "more than 0"),
    ("natural_death", {"least": "0.24"}, "least", "24 if you mean 0.24. For a rate"),
    ("natural_death", {"middle": "20"}, "middle", "below the least"),
    ("natural_death", {"most": "29"}, "most", "below the middle"),
    ("natural_death", {"most": "100"}, "most", "less than 100"),
    ("natural_death", {"most": "130"}, "most", "from 0 to 100"),
    ("natural_death", {"oldest_years": "0"}, "oldest_years", "1 year or more"),
    ("release_death", {"middle": "10"}, "middle", "in order"),
    ("release_death", {"most": "25"}, "most", "in order"),
    ("release_death", {"most": "0.45"}, "most", "45 if you mean 0.45"),
    ("tag_returns", {"season": ""}, "season", "Of which season?"),
    ("tag_returns", {"tags_out": "0"}, "tags_out", "1 or more"),
    ("tag_returns", {"tags_out": "many"}, "tags_out", "whole number"),
    ("tag_returns", {"returned": "201"}, "returned", "Only 200 tags went out"),
    ("tag_returns", {"returned": "150"}, "reporting_least", "every tagged fish was caught"),
    ("tag_returns", {"reporting_least": "90"}, "reporting_most", "below the least"),
    ("tag_returns", {"reporting_least": "0"}, "reporting_least", "more than 1"),
    ("tag_returns", {"tags_kept": "1"}, "tags_kept", "100 if all"),
    ("tag_returns", {"survived_tagging": ""}, "survived_tagging", "100 if all"),
    ("creel_figures", {"released": "0.4"}, "released", "40 if you mean 0.4"),
    ("creel_figures", {"caught": "-3"}, "caught", "0 or more"),
    ("creel_figures", {"smallest_kept_hundredths_mm": "big"}, "smallest_kept_hundredths_mm", "9.4"),
    ("creel_figures", dict.fromkeys(CREEL, ""), "angler_hours", "at least one figure"),
]


class TestWhatCannotStand:
    @pytest.mark.parametrize(("name", "changes", "field", "said"), WRONG)
    def test_is_said_beside_its_field(self, signed_in, lake, typed, name, changes, field, said):
        answer = signed_in.post(address(lake, f"add_{name}"), typed[name] | changes)

        assert answer.status_code == 422
        assert said in answer.context["form"].errors[field][0]
        assert list(answer.context["form"].errors) == [field]
        assert not MODELS[name].objects.exists()

    def test_per_cent_where_a_rate_was_chosen(self, signed_in, lake, typed):
        words = typed["natural_death"] | {"given_as": "rate"}

        answer = signed_in.post(address(lake, "add_natural_death"), words)

        errors = answer.context["form"].errors
        assert list(errors) == ["least", "middle", "most"]
        assert all("choose per cent" in said for (said,) in errors.values())

    @pytest.mark.parametrize("name", MODELS)
    def test_the_same_twice(self, signed_in, lake, typed, name):
        again = typed[name] | {"source": "BASIN survey, 2024"}
        signed_in.post(address(lake, f"add_{name}"), typed[name])

        answer = signed_in.post(address(lake, f"add_{name}"), again)

        assert "already" in answer.context["form"].errors["source"][0]
        assert MODELS[name].objects.count() == 1

    def test_keeps_what_was_typed(self, signed_in, lake, typed):
        words = typed["natural_death"] | {"middle": "0.3", "given_as": "percent"}

        shown = signed_in.post(address(lake, "add_natural_death"), words).content.decode()

        assert 'value="0.3"' in shown
        assert 'value="45.25"' in shown

    @pytest.mark.parametrize(("field", "of"), [("season", "seasons"), ("arm", "arms")])
    def test_a_place_of_another_lake(self, signed_in, lake, other_lake, typed, field, of):
        foreign = {field: getattr(other_lake, of).first().pk}

        answer = signed_in.post(address(lake, "add_tag_returns"), typed["tag_returns"] | foreign)

        assert answer.context["form"].errors == {field: ["This is not in the list. Choose again."]}

    def test_species_not_sure(self, signed_in, lake, crappies, typed):
        not_sure = {"species": crappies.get(kind="not_sure").pk}

        answer = signed_in.post(
            address(lake, "add_natural_death"), typed["natural_death"] | not_sure
        )

        assert "not in the list" in answer.context["form"].errors["species"][0]


class TestChanging:
    @pytest.mark.parametrize("name", MODELS)
    def test_a_page_left_as_it_was_changes_no_figure(self, signed_in, lake, figures, name):
        row = figures[name]
        page = address(lake, name, row.pk)
        form = signed_in.get(page).context["form"]
        shown = {field.name: field.value() for field in form if field.value() is not None}

        answer = signed_in.post(page, shown | {"as_of": row.as_of.isoformat()})

        assert answer.status_code == 302
        said = [field.name for field in row._meta.fields if not field.name.startswith("entered")]
        now = MODELS[name].objects.get()
        assert [getattr(now, one) for one in said] == [getattr(row, one) for one in said]

    def test_who_changed_it_stands_beside_it_and_what_was_said_first_is_kept(
        self, client, lake, figures, typed
    ):
        other = make_person(lake, "biologist", "O. Tamm")
        client.force_login(other, backend="django.contrib.auth.backends.ModelBackend")
        row = figures["tag_returns"]

        client.post(address(lake, "tag_returns", row.pk), typed["tag_returns"] | {"returned": "46"})

        row.refresh_from_db()
        assert (row.returned, row.entered_by) == (46, other)
        history = row.history.order_by("history_id")
        assert [(one.returned, one.history_type) for one in history] == [(45, "+"), (46, "~")]
        assert history.last().history_user == other

    @pytest.mark.parametrize("name", MODELS)
    def test_what_is_removed_leaves_its_history(self, signed_in, lake, biologist, figures, name):
        row = figures[name]

        answer = signed_in.post(address(lake, f"remove_{name}", row.pk), follow=True)

        assert f"{row.species}: removed." in answer.content.decode()
        assert not MODELS[name].objects.exists()
        last = MODELS[name].history.order_by("history_id").last()
        assert (last.history_type, last.history_user) == ("-", biologist)

    @pytest.mark.parametrize("name", MODELS)
    def test_a_row_of_another_lake_is_not_there(
        self, signed_in, lake, other_lake, white, biologist, typed, name
    ):
        row = make_figures(other_lake, white, biologist)[name]
        page, remove = address(lake, name, row.pk), address(lake, f"remove_{name}", row.pk)

        assert signed_in.get(page).status_code == 404
        assert signed_in.post(page, typed[name]).status_code == 404
        assert signed_in.post(remove).status_code == 404
        assert MODELS[name].objects.filter(pk=row.pk).exists()

    def test_a_species_off_the_list_can_still_be_put_right(self, signed_in, lake, white, figures):
        lake.lake_species.filter(species=white).delete()
        row = figures["natural_death"]

        form = signed_in.get(address(lake, "natural_death", row.pk)).context["form"]

        assert white in form.fields["species"].queryset

    def test_an_arm_with_figures_stays(self, signed_in, lake, brindle, figures):
        TagReturns.objects.update(arm=brindle)

        answer = signed_in.post(address(lake, "remove_arm", brindle.pk), follow=True)

        assert "Brindle is in use, so it stays." in answer.content.decode()
        assert Arm.objects.filter(pk=brindle.pk).exists()


class TestServices:
    def test_the_day_of_a_figure_is_judged_at_the_lake(self, lake, white, biologist):
        # Half past midnight on 6 May in Greenwich is still 5 May at the lake.
        now = datetime(2026, 5, 6, 0, 30, tzinfo=NOW.tzinfo)
        facts = {name: Decimal("0.3") for name in ("least", "middle", "most")}
        said = {"species": white, "source": "x", "oldest_years": None, "by": biologist, "now": now}

        with pytest.raises(services.Refused) as refused:
            services.add_natural_death(lake, as_of=date(2026, 5, 6), **facts, **said)
        services.add_natural_death(lake, as_of=date(2026, 5, 5), **facts, **said)

        assert (refused.value.code, refused.value.field) == ("to_come", "as_of")
        assert NaturalDeath.objects.get().history.get().history_date == now


class TestOverview:
    def test_shows_figures_with_their_source(self, signed_in, lake, figures):
        shown = signed_in.get(address(lake, "elsewhere")).content.decode()

        for words in ("Tarrow Basin fisheries survey, 2025", "31 December 2025", "N. Aubrey"):
            assert shown.count(words) >= 4
        for words in ("6 May 2026", ">24<", ">0.36<", "50-80", "21,400", ">42<", ">9.0<"):
            assert words in shown

    def test_newest_first_and_an_older_one_stays(self, lake, white, black, biologist, figures):
        old = figures["natural_death"]
        said = {"lake": lake, "source": "x", "entered_by": biologist, "entered_at": NOW}
        shares = {"least": Decimal("0.1"), "middle": Decimal("0.2"), "most": Decimal("0.3")}
        days = [(white, old.as_of + timedelta(1)), (black, old.as_of - timedelta(1))]
        new, other = (
            NaturalDeath.objects.create(species=species, as_of=day, **shares, **said)
            for species, day in days
        )

        listed = queries.figures_of(NaturalDeath, lake)

        rows = [(new, False), (old, True), (other, False)]
        assert [(one.row, one.older) for one in listed] == rows

    def test_says_what_is_missing_and_what_for(self, signed_in, lake):
        shown = signed_in.get(address(lake, "elsewhere")).content.decode()

        assert "No tag returns yet</strong>: without them fishing is what natural death" in shown
        for what in ("natural death", "death after release", "creel figures"):
            assert f"No {what} yet</strong>:" in shown
        assert "No rule is in force" in shown
        assert shown.count("button-next") == 1

    def test_says_of_which_species_it_is_missing(self, signed_in, lake, figures):
        shown = signed_in.get(address(lake, "elsewhere")).content.decode()

        assert shown.count(" yet for Black crappie, Hybrid crappie</strong>:") == 4
        assert "button-next" not in shown

    def test_shows_the_rule_in_force_and_who_wrote_it_down(self, signed_in, lake, white):
        words = {"species": white.pk, "in_force_from": "1 March 2020", "words": "Ten and over."}
        words |= {"minimum_length_hundredths_mm": "10", "source": "Fishing guide, page 12"}
        signed_in.post(address(lake, "add_regulation"), words)
        Regulation.objects.create(lake=lake, in_force_from=date(2998, 1, 1), words="None at all.")

        answer = signed_in.get(address(lake, "elsewhere"))

        (noted,) = answer.context["rules"]
        assert (noted.rule.words, noted.by.display_name) == ("Ten and over.", "N. Aubrey")
        assert "Fishing guide, page 12" in answer.content.decode()
        assert "None at all." not in answer.content.decode()

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
    pages = [address(lake, "elsewhere"), *(address(lake, f"add_{name}") for name in MODELS)]
    pages += [address(lake, name, row.pk) for name, row in figures.items()]

    for path in pages:
        page.goto(path)
        assert axe(page) == [], path
        assert not page.evaluate("document.documentElement.scrollWidth > window.innerWidth"), path


@pytest.mark.browser
@pytest.mark.parametrize("name", MODELS)
def test_nothing_typed_is_asked_for_in_a_browser(open_page, axe, lake, biologist, name):
    page = open_page(PHONE, user=biologist)
    page.goto(address(lake, f"add_{name}"))

    with page.expect_navigation() as sent:
        page.get_by_role("button", name="Save").click()

    assert sent.value.status == 422
    assert page.locator(".field-error").count() >= 3
    assert axe(page) == []
