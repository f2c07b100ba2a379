"""From counted fish to worth, plan and reason: plain values, no database."""

from dataclasses import replace
from datetime import date

import pytest

from samples.models import Arm, Lake, Season, Species
from samples.science.errors import CannotEstimate
from samples.targets.presenters.worth import (
    Reason,
    cell_rows,
    divided,
    study_of,
    what_if,
    with_limit,
)
from samples.targets.presenters.worth.curve import BOTTOM, TOP, curve_of
from samples.targets.presenters.worth.limit import Unanswered
from samples.targets.queries.choice import CoverageSelection
from samples.targets.queries.limit import LimitInputs
from samples.targets.queries.worth import AgedFish, FishBehind, LengthsOfArm
from samples.targets.rules import Ages, Need
from tests.people import INCH

BRINDLE, TARROW = Arm(pk=1, name="Brindle"), Arm(pk=2, name="Tarrow")
ARMS = [BRINDLE, TARROW]
SELECTION = CoverageSelection(
    lake=Lake(length_unit="in"),
    season=Season(name="2026", starts_on=date(2026, 1, 1)),
    species=Species(name="White crappie"),
    bin_width=INCH,
)


def lengths(*fish, season=""):
    """Return a length sample of bins and numbers of fish, a trip for every ten of them."""
    rows = [
        (length_bin, 100 * length_bin + part, min(10, n - 10 * part))
        for length_bin, n in fish
        for part in range(-(-n // 10))
    ]
    return LengthsOfArm(rows, season)


def behind(**changed):
    """Return two arms with ages 2 and 3 at 8 to 10 in; Tarrow has no aged fish of 9 in."""
    aged = [AgedFish(1, 8, trip, 2, 2) for trip in range(4)] + [
        AgedFish(1, 9, trip, age, 1) for trip in range(6) for age in (2, 3)
    ]
    aged += [AgedFish(1, 10, 9, 3, 3), AgedFish(2, 8, 11, 2, 2), AgedFish(2, 10, 12, 3, 2)]
    usual = {
        "aged": aged,
        "aged_before": [],
        "lengths": {
            1: lengths((8, 60), (9, 60), (10, 60)),
            2: lengths((8, 60), (9, 80), (10, 60), (14, 1)),
        },
        "in_hand": {(2, 9): 3},
        "earlier": [],
    }
    return FishBehind(**usual | changed)


@pytest.fixture
def study():
    return study_of(ARMS, SELECTION, behind())


def rows_of(study, budget=20, needs=None, weight=0.0):
    found = what_if(study, budget=budget, lengths_weight=weight, most=60)
    return found, cell_rows(study, found.plan.more, needs or {}, lengths_weight=weight, bar=60)


class TestWorth:
    def test_the_empty_cell_where_ages_overlap_comes_first_and_gets_most(self, study):
        found, rows = rows_of(study)

        first = rows[0]
        assert (first.arm, first.bin, first.reason) == ("Tarrow", "9.0-9.9 in", Reason.NONE_AGED)
        assert first.read == max(row.read for row in rows)
        assert (first.collect, first.bar) == (first.read - 3, 60)
        assert sum(row.read for row in rows) == found.plan.more.sum() == 20

    def test_a_length_that_the_arm_hardly_has_is_not_asked_for(self, study):
        _, rows = rows_of(study, budget=60)

        [long] = [row for row in rows if row.bin == "14.0-14.9 in"]
        assert (long.reason, long.read, long.is_asked) == (Reason.NOT_THERE, 0, False)
        assert rows[-1] is long

    def test_fish_in_hand_of_such_a_length_may_be_read(self):
        rare = study_of(ARMS, SELECTION, behind(in_hand={(2, 14): 2}))

        _, rows = rows_of(rare, budget=2_000)

        [long] = [row for row in rows if row.bin == "14.0-14.9 in"]
        assert (long.is_asked, long.read, long.collect) == (True, 2, 0)

    def test_in_a_closed_season_only_fish_in_hand_are_read(self):
        over = study_of(ARMS, replace(SELECTION, closed=True), behind())

        found, rows = rows_of(over, budget=60)

        assert [(row.arm, row.bin, row.read) for row in rows if row.read] == [
            ("Tarrow", "9.0-9.9 in", 3)
        ]
        assert found.plan.unused == 57
        assert {row.reason for row in rows if not row.is_asked} == {Reason.CLOSED}

    def test_shortfall_stands_beside(self, study):
        _, rows = rows_of(study, needs={(2, 9): Need(5, 0, 3)})

        assert [row.short for row in rows if row.bin == "9.0-9.9 in"] == [5, None]

    def test_more_of_the_same_trip_is_worth_less(self, study):
        _, rows = rows_of(study)

        brindle = next(row for row in rows if (row.arm, row.bin) == ("Brindle", "10.0-10.9 in"))
        assert brindle.same_trip < brindle.worth

    def test_more_fish_never_make_it_worse(self, study):
        found, _ = rows_of(study)

        assert found.after.cv_percent < found.before.cv_percent
        assert found.after.half_width_mm < found.before.half_width_mm
        assert found.after.cv_percent <= found.equally.cv_percent
        assert [one.more for one in found.lines] == found.plan.more.sum(axis=1).tolist()

    def test_equal_numbers_need_as_many_at_least_for_the_same_cv(self, study):
        found, _ = rows_of(study)

        assert found.equal_needed >= 20

    def test_nothing_more_changes_nothing(self, study):
        found, rows = rows_of(study, budget=0)

        assert found.before == found.after
        assert {row.read for row in rows} == {0}


class TestWhatIsBorrowed:
    def test_an_arm_without_a_length_sample_is_named(self):
        found = study_of(ARMS, SELECTION, behind(lengths={1: lengths((8, 60), (9, 60))}))

        assert found.without_lengths == [TARROW]
        assert found.arms == [BRINDLE]

    def test_ages_of_an_earlier_season_stand_in_for_none(self):
        before = [(1, 8, 2, 9), (1, 9, 2, 4), (1, 9, 3, 4), (1, 10, 3, 9)]

        found = study_of(ARMS, SELECTION, behind(aged=[], aged_before=before))

        assert found.survey.shares[0, 0, 0] > 0.8
        assert found.each == 1.0

    @pytest.mark.parametrize(
        ("changed", "code"),
        [({"lengths": {}}, "no_measured_fish"), ({"aged": [], "aged_before": []}, "no_fish")],
    )
    def test_without_fish_nothing_is_said(self, changed, code):
        with pytest.raises(CannotEstimate) as refused:
            study_of(ARMS, SELECTION, behind(**changed))
        assert refused.value.code == code

    def test_the_usual_ages_are_those_with_a_tenth_of_the_fish(self, study):
        assert study.ages == Ages(2, 3)


@pytest.mark.parametrize("way", ["worth", "equal", "abundance"])
def test_a_budget_is_given_out_whole_and_within_what_there_is(study, way):
    plan = divided(study, way=way, budget=90, lengths_weight=0.5)

    assert plan.more.sum() == 90
    assert (plan.more <= study.can_be_had).all()


def test_the_curve_stays_on_its_sheet_and_marks_the_choice():
    points = [(n, 30 - n / 20, 30 - n / 40) for n in range(0, 301, 10)]

    curve = curve_of(points, chosen=60, cv=27.0)

    assert TOP < curve.y < BOTTOM
    assert [tick.text for tick in curve.fish_ticks if tick.is_chosen] == ["60"]
    assert curve.cv_ticks[0].at == BOTTOM


KEPT, NO_M = {1: 200.0, 2: 200.0}, {1: (0.3, 0.2), 2: (0.3, 0.2)}


def of_five_ages():
    """Return an arm with ages 1 to 5 over 6 to 12 in, and Tarrow with fish of 9 in alone."""
    ages = {6: (1, 1, 1), 8: (2, 2, 1), 9: (2, 3, 3), 10: (3, 4, 4), 11: (4, 5, 3), 12: (5, 4, 5)}
    aged = [
        AgedFish(1, place, 10 * place + n, age, 1)
        for place, found in ages.items()
        for n, age in enumerate(found)
    ]
    fish = [(6, 90), (8, 80), (9, 60), (10, 40), (11, 20), (12, 10)]
    return behind(aged=aged, lengths={1: lengths(*fish), 2: lengths((9, 60))}, in_hand={})


def test_an_open_arm_is_planned_for_and_its_answer_narrows():
    plain = study_of(ARMS, SELECTION, of_five_ages())
    inputs = LimitInputs(KEPT, NO_M, release_death=0.1, rule_mm=0)

    study, asked = with_limit(plain, 254.0, inputs)
    found = what_if(study, budget=30, lengths_weight=0.5, most=60, limit_weight=1)

    assert asked.open_rows == [0]
    assert found.plan.more[0].sum() == 30
    more = study.each * found.plan.more.astype(float)
    assert asked.half_width(more) < asked.half_width(0 * more)


def test_an_arm_without_an_answer_says_why_and_is_not_planned_for():
    plain = study_of(ARMS, SELECTION, of_five_ages())
    inputs = LimitInputs({1: 200.0}, NO_M, release_death=0.1, rule_mm=0)

    _, asked = with_limit(plain, 254.0, inputs)
    _, in_force = with_limit(plain, 254.0, replace(inputs, rule_mm=254.0))

    assert (asked.reasons[1], asked.answers[1]) == (Unanswered.NO_KEPT_LENGTH, None)
    assert in_force.reasons == [Unanswered.IN_FORCE] * 2
