"""Figures from elsewhere: what may be typed, what is refused, and what is kept."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from samples.models import Arm, CreelFigures, NaturalDeath, ReleaseDeath, TagReturns
from samples.waters import services
from tests.people import NOW, make_person
from tests.shown import error_codes, message_tags
from tests.waters.figures import make_figures
from tests.waters.typed import CREEL

MODELS: dict[str, Any] = {
    "natural_death": NaturalDeath,
    "release_death": ReleaseDeath,
    "tag_returns": TagReturns,
    "creel_figures": CreelFigures,
}


def address(lake, name, *args):
    return reverse(f"waters:{name}", args=[lake.slug, *args])


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


# The kind, what is typed otherwise than well, the field that says so, and the code that it has.
WRONG = [
    ("natural_death", {"species": ""}, "species", "required"),
    ("natural_death", {"source": " "}, "source", "required"),
    ("natural_death", {"as_of": ""}, "as_of", "required"),
    ("natural_death", {"as_of": "2019"}, "as_of", "invalid"),
    ("natural_death", {"as_of": "1 January 2999"}, "as_of", "to_come"),
    ("natural_death", {"given_as": ""}, "given_as", "required"),
    ("natural_death", {"least": ""}, "least", "required"),
    ("natural_death", {"least": "some"}, "least", "no_number"),
    ("natural_death", {"least": "0"}, "least", "none_die"),
    ("natural_death", {"least": "0.24"}, "least", "share"),
    ("natural_death", {"middle": "20"}, "middle", "out_of_order"),
    ("natural_death", {"most": "29"}, "most", "out_of_order"),
    ("natural_death", {"most": "100"}, "most", "all_die"),
    ("natural_death", {"most": "130"}, "most", "above_100"),
    ("natural_death", {"oldest_years": "0"}, "oldest_years", "min_value"),
    ("release_death", {"middle": "10"}, "middle", "out_of_order"),
    ("release_death", {"most": "25"}, "most", "out_of_order"),
    ("release_death", {"most": "0.45"}, "most", "share"),
    ("tag_returns", {"season": ""}, "season", "required"),
    ("tag_returns", {"tags_out": "0"}, "tags_out", "min_value"),
    ("tag_returns", {"tags_out": "many"}, "tags_out", "invalid"),
    ("tag_returns", {"returned": "201"}, "returned", "more_back_than_out"),
    ("tag_returns", {"returned_released": "170"}, "returned_released", "more_back_than_out"),
    ("tag_returns", {"high_reward_out": "50"}, "high_reward_returned", "high_reward_half"),
    ("tag_returns", {"high_reward_returned": "5"}, "high_reward_out", "high_reward_half"),
    (
        "tag_returns",
        {"high_reward_out": "50", "high_reward_returned": "51"},
        "high_reward_returned",
        "more_back_than_out",
    ),
    ("tag_returns", {"returned": "150"}, "reporting_least", "more_taken_than_tagged"),
    ("tag_returns", {"reporting_least": "90"}, "reporting_most", "out_of_order"),
    ("tag_returns", {"reporting_least": "0"}, "reporting_least", "share"),
    ("tag_returns", {"tags_kept": "1"}, "tags_kept", "share"),
    ("tag_returns", {"survived_tagging": ""}, "survived_tagging", "required"),
    ("creel_figures", {"released": "0.4"}, "released", "share"),
    ("creel_figures", {"caught": "-3"}, "caught", "min_value"),
    (
        "creel_figures",
        {"smallest_kept_hundredths_mm": "big"},
        "smallest_kept_hundredths_mm",
        "not_a_length",
    ),
    ("creel_figures", dict.fromkeys(CREEL, ""), "angler_hours", "nothing_found"),
]


class TestWhatCannotStand:
    @pytest.mark.parametrize(("name", "changes", "field", "code"), WRONG)
    def test_is_said_beside_its_field(self, signed_in, lake, typed, name, changes, field, code):
        answer = signed_in.post(address(lake, f"add_{name}"), typed[name] | changes)

        assert answer.status_code == 422
        assert error_codes(answer) == {field: [code]}
        assert not MODELS[name].objects.exists()

    def test_per_cent_where_a_rate_was_chosen(self, signed_in, lake, typed):
        words = typed["natural_death"] | {"given_as": "rate"}

        answer = signed_in.post(address(lake, "add_natural_death"), words)

        assert error_codes(answer) == {name: ["no_rate"] for name in ("least", "middle", "most")}

    @pytest.mark.parametrize("name", MODELS)
    def test_the_same_twice(self, signed_in, lake, typed, name):
        again = typed[name] | {"source": "BASIN survey, 2024"}
        signed_in.post(address(lake, f"add_{name}"), typed[name])

        answer = signed_in.post(address(lake, f"add_{name}"), again)

        assert error_codes(answer) == {"source": ["entered_already"]}
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

        assert error_codes(answer) == {field: ["invalid_choice"]}

    def test_species_not_sure(self, signed_in, lake, crappies, typed):
        not_sure = {"species": crappies.get(kind="not_sure").pk}

        answer = signed_in.post(
            address(lake, "add_natural_death"), typed["natural_death"] | not_sure
        )

        assert error_codes(answer) == {"species": ["invalid_choice"]}


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

        assert message_tags(answer) == ["in_use warning"]
        assert Arm.objects.filter(pk=brindle.pk).exists()


class TestServices:
    def test_the_day_of_a_figure_is_judged_at_the_lake(self, lake, white, biologist):
        # Half past midnight on 6 May in Greenwich is still 5 May at the lake.
        now = datetime(2026, 5, 6, 0, 30, tzinfo=NOW.tzinfo)
        facts: dict[str, Any] = {name: Decimal("0.3") for name in ("least", "middle", "most")}
        facts |= {"arm": None}
        facts |= {"species": white, "source": "x", "oldest_years": None}

        with pytest.raises(services.ChangeRefused) as refused:
            services.add_natural_death(
                lake, as_of=date(2026, 5, 6), actor=biologist, now=now, **facts
            )
        services.add_natural_death(lake, as_of=date(2026, 5, 5), actor=biologist, now=now, **facts)

        assert (refused.value.code, refused.value.field) == ("to_come", "as_of")
        assert NaturalDeath.objects.get().history.get().history_date == now
