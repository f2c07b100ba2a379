"""The page of what one more fish is worth, a budget of otoliths, and the history of targets."""

import math
from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from samples.models import AgeAsGiven, Fish, NaturalDeath, Progress, Season, Target
from samples.targets.presenters.worth.limit import Unanswered
from samples.targets.presenters.worth.limit_words import WHY_NOT
from samples.targets.queries.changes import target_changes
from samples.targets.queries.choice import CoverageSelection
from samples.targets.queries.limit import limit_inputs
from samples.targets.services import save_targets
from samples.units import LengthUnit
from tests.factories import make_trip_like
from tests.people import INCH, NOW
from tests.shown import error_codes
from tests.targets.fish import make_fish
from tests.targets.pages import want


@pytest.fixture
def aged(party, white):
    """Return fish of 8 to 10 in with ages 2 and 3, on two trips of one arm; three are in hand."""
    fish = []
    for trip in (party, make_trip_like(party)):
        for inches in (8.2, 9.4, 10.1):
            fish += make_fish(trip, white, inches, count=4, progress=Progress.AGE_AS_GIVEN)
    AgeAsGiven.objects.bulk_create(
        AgeAsGiven(
            fish=one,
            age_years=3 if one.length_hundredths_mm > 9 * INCH + 1000 * (place % 2) else 2,
            structure="otolith",
            source="test",
        )
        for place, one in enumerate(fish)
    )
    make_fish(party, white, 9.4, count=3, progress=Progress.RECEIVED)
    return fish


def last_season(lake):
    return Season.objects.create(
        lake=lake,
        name="2025",
        number_year=2025,
        starts_on=date(2025, 1, 1),
        ends_on=date(2025, 12, 31),
    )


@pytest.mark.django_db
class TestPage:
    def test_says_what_to_do_before_the_first_fish_is_measured(self, page, season, white):
        assert page("worth").context["refused"] == "no_measured_fish"

    def test_says_what_to_do_before_the_first_fish_is_aged(self, page, party, white):
        make_fish(party, white, 9.4, progress=Progress.MEASURED)

        assert page("worth").context["refused"] == "no_fish"

    def test_asks_for_as_many_as_the_slider_says(self, page, aged, season, white, brindle):
        want(season, white, 9, 9, brindle)

        context = page("worth", more="5").context

        assert (
            int(context["found"].plan.more.sum()) == sum(row.read for row in context["rows"]) == 5
        )
        [nine] = [row for row in context["rows"] if row.bin == "9.0-9.9 in"]
        assert (nine.aged, nine.in_hand, nine.short) == (8, 3, 1)

    def test_fish_picked_by_size_are_no_length_sample(self, page, party, aged, white):
        picked = make_trip_like(party, how_chosen="biggest")
        make_fish(picked, white, 13.0, count=5, progress=Progress.MEASURED)

        study = page("worth").context["study"]

        assert study.columns[-1].place == 10

    def test_borrows_lengths_and_ages_of_last_season_in_an_empty_one(
        self, page, lake, aged, season, white
    ):
        earlier = last_season(lake)
        type(aged[0]).objects.update(season=earlier)

        context = page("worth", season="2026").context

        assert [one.borrowed_from for one in context["found"].lines] == ["2025"]
        assert context["study"].counts.sum() == 0

    @pytest.mark.parametrize(
        ("typed", "field", "code"),
        [
            ({"more": "-5"}, "more", "min_value"),
            ({"more": "301"}, "more", "max_value"),
            ({"more": "many"}, "more", "invalid"),
            ({"first_age": "2.5"}, "first_age", "invalid"),
            ({"first_age": "4", "last_age": "2"}, "last_age", "ages_out_of_order"),
            ({"limit": "99"}, "limit", "not_plausible"),
            ({"limit": "ten"}, "limit", "not_a_length"),
        ],
    )
    def test_says_beside_the_field_what_is_wrong(self, page, aged, typed, field, code):
        answer = page("worth", **typed)

        assert error_codes(answer) == {field: [code]}
        assert answer.context["found"].after.cv_percent > 0

    def test_asks_the_database_as_often_with_many_fish(
        self, page, aged, party, white, django_assert_max_num_queries
    ):
        with django_assert_max_num_queries(24):
            page("worth")


@pytest.mark.django_db
class TestBudget:
    def test_is_divided_over_the_cells_and_not_saved(self, page, aged):
        answer = page("targets", budget="30", way="worth")

        start = answer.context["start"]
        assert sum(n for (arm, _), n in start.wanted.items() if arm) == 30
        assert sum(n for (arm, _), n in start.wanted.items() if arm is None) == 30
        assert Target.objects.count() == 0

    @pytest.mark.parametrize(
        ("typed", "code"),
        [("26", "under_what_is_in_hand"), ("0", "min_value"), ("x", "invalid"), ("", "required")],
    )
    def test_says_what_is_wrong(self, page, aged, typed, code):
        assert error_codes(page("targets", budget=typed, way="worth")) == {"budget": [code]}

    def test_needs_a_length_sample(self, page, season, white):
        answer = page("targets", budget="30", way="equal")

        assert error_codes(answer) == {"budget": ["no_measured_fish"]}

    def test_rules_are_shown_against_what_is_saved(self, page, season, white, brindle):
        want(season, white, 9, 5, brindle)

        answer = page(
            "targets",
            **{"fish-0": "8", "from-0": "9", "below-0": "10", "where-0": str(brindle.pk)},
            **{"from": "9.0", "below": "11.0"},
        )

        assert answer.context["table"].changes == 1
        assert "was 5" in answer.content.decode()
        assert Target.objects.get().wanted == 5


@pytest.mark.django_db
def test_history_tells_who_changed_what_from_and_to(season, white, brindle, biologist, client):
    at = timezone.now()
    for minutes, wanted in ((0, {(brindle.pk, 9 * INCH): 5}), (9, {(brindle.pk, 9 * INCH): 8})):
        save_targets(
            season,
            white,
            wanted=wanted,
            width=INCH,
            actor=biologist,
            now=at + timedelta(minutes=minutes),
        )

    last, first = target_changes(season, white, LengthUnit.INCH)

    assert [(one.before, one.after) for one in (*first.changes, *last.changes)] == [
        (None, 5),
        (5, 8),
    ]
    assert (last.by, last.changes[0].place) == (str(biologist), "Brindle, 9.0-9.9 in")
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
    shown = client.get(reverse("targets:targets", args=[season.lake.slug])).context["changes"]
    assert shown == [last, first]


def test_a_length_limit_rests_on_fish_kept_there_and_on_figures_entered(
    lake, season, white, brindle, party, biologist
):
    make_fish(party, white, 8.0, count=1)
    make_fish(party, white, 9.0, count=30)
    make_fish(make_trip_like(party, method="trap_net"), white, 5.0, count=30)
    for arm, share in ((None, "0.5"), (brindle, "0.3")):
        NaturalDeath.objects.create(
            lake=lake, species=white, arm=arm, least=share, middle=share, most=share,
            source="Survey", as_of="2026-01-01", entered_by=biologist, entered_at=NOW,
        )  # fmt: skip
    selection = CoverageSelection(lake, season, white, bin_width=INCH)

    found = limit_inputs(Fish.objects.all(), selection, [brindle])

    # One in 31 is below the length from which a twentieth is shorter: 9.0 in, as whole mm.
    assert found.kept_from_mm == {brindle.pk: 228.0}
    assert found.m[brindle.pk] == pytest.approx((-math.log(0.7), 0.0))


@pytest.mark.django_db
def test_page_says_why_an_arm_has_no_answer(page, aged):
    [line] = page("worth", aim="limit", limit="10").context["limit"].lines

    assert line.why_not == WHY_NOT[Unanswered.TOO_FEW_AGES]
