"""Fish that came without catch dates, with ages from scales: told all the same, and said so."""

import numpy as np
import pytest

from samples.models import AgeAsGiven, Fish, Party, Progress
from tests.targets.fish import make_fish

pytestmark = pytest.mark.django_db


@pytest.fixture
def given(party, white):
    """Make fish of a known curve with ages as given and no date: given(dated=5)."""

    def make(count=120, *, dated=0, structure="scale"):
        rng = np.random.default_rng(3)
        for place in range(count):
            years = 1 + place % 7
            inches = 13 * (1 - np.exp(-0.4 * years)) * rng.normal(1, 0.06)
            when = {} if place < dated else {"caught_on": None}
            [fish] = make_fish(party, white, inches, progress=Progress.AGE_AS_GIVEN, **when)
            AgeAsGiven.objects.create(
                fish=fish, age_years=years, structure=structure, source="old.csv"
            )

    return make


def test_growth_is_told_by_whole_years_and_says_what_that_blurs(made, given):
    given()

    page = made("growth")

    assert not page.refused
    assert any("no catch date" in words and "whole years" in words for words in page.warnings)
    assert "at age 3" in page.summary[0]
    assert page.plots[-1].x_label == "Age, years"


def test_few_fish_without_a_date_are_left_out_of_the_curve_and_counted(made, given):
    given(dated=100)

    page = made("growth")

    assert page.plots[-1].x_label == "Growing seasons"
    assert "20 aged fish without a catch date are not in the curve." in page.left_out


def test_a_refusal_names_the_dates_where_they_are_what_is_missing(made, given, aged, lake):
    given(dated=0, count=60)
    aged(3, [9.0] * 100, arm=lake.arms.get(name="Hobbin"))

    page = made("growth")

    assert "60 aged fish have no catch date" in " ".join([page.refused, *page.left_out])


@pytest.mark.parametrize("topic", ["length-at-age", "growth"])
def test_the_structure_stands_in_the_caption(made, given, topic):
    given()

    captions = " ".join(plot.caption for plot in made(topic).plots)

    assert "as given" in captions
    assert "scale" in captions
    assert "January 1" not in captions


def test_our_own_readings_are_by_the_rule(made, aged):
    aged(3, [8.0, 9.0, 10.0])

    [plot] = made("length-at-age").plots

    assert "Ages from otoliths, by the January 1 rule" in plot.caption


def test_both_kinds_are_told_apart(made, given, aged):
    given(count=7)
    aged(3, [8.0, 9.0, 10.0])

    [plot] = made("length-at-age").plots

    assert "otoliths, by the January 1 rule (3 fish)" in plot.caption
    assert "scale, as given (7 fish)" in plot.caption


def test_a_limit_is_judged_by_whole_years(made, given):
    given()
    Party.objects.update(how_chosen="every_fish")
    Fish.objects.update(method="angler_kept")

    page = made("length-limit")

    assert "no catch date" in " ".join([*page.warnings, page.refused, *page.left_out])
    assert "here are 0" not in " ".join([*page.summary, page.refused])
