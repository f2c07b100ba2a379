"""Fish that came without catch dates, with ages from scales: told all the same, and said so."""

import numpy as np
import pytest

from samples.models import AgeAsGiven, Fish, Party, Progress
from tests.findings.conftest import codes, numbers_in, with_code
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
    assert "whole_years" in codes(page.warnings)
    assert "at age 3" in page.summary[0]
    assert page.plots[0].x_label == "Age, years"


def test_few_fish_without_a_date_are_left_out_of_the_curve_and_counted(made, given):
    given(dated=100)

    page = made("growth")

    assert page.plots[0].x_label == "Growing seasons"
    assert numbers_in(with_code("no_catch_date", page.left_out)) == [20]


def test_a_refusal_names_the_dates_where_they_are_what_is_missing(made, given, aged, lake):
    given(dated=0, count=60)
    aged(3, [9.0] * 100, arm=lake.arms.get(name="Hobbin"))

    page = made("growth")

    assert "no_dates" in page.refused.code.split(",")
    assert 60 in numbers_in(page.refused)


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

    assert " otoliths" in plot.caption
    assert "January 1" in plot.caption
    assert "as given" not in plot.caption


def test_both_kinds_are_told_apart(made, given, aged):
    given(count=7)
    aged(3, [8.0, 9.0, 10.0])

    [plot] = made("length-at-age").plots

    read, given_ages = (plot.caption.index(f"({count} fish)") for count in (3, 7))
    assert plot.caption.index("January 1") < read
    assert plot.caption.index("as given") < given_ages < read


def test_a_limit_is_judged_by_whole_years(made, given):
    given()
    Party.objects.update(how_chosen="every_fish")
    Fish.objects.update(method="angler_kept")

    page = made("length-limit")

    assert "whole_years" in codes(page.warnings)
    assert "few_aged" not in codes([*page.summary, page.refused])
