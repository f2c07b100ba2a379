"""Targets by rule: what rules make of the saved targets, and what is wrong with a rule."""

import pytest

from samples.models import Arm, LakeSpecies, Species
from samples.targets.forms import RulesForm
from samples.targets.rules import TargetRule, Where, every_fish, wanted_by_rules
from samples.units import LengthUnit
from tests.people import INCH

ARMS = [Arm(pk=1, name="Brindle"), Arm(pk=2, name="Tarrow")]
BINS = [place * INCH for place in range(7, 16)]


def rule(fish, lower, below=None, where=Where.ARMS, arm=None):
    return TargetRule(fish, lower * INCH, below and below * INCH, where, arm)


def wanted(*rules, saved=None, most_logged=None):
    return wanted_by_rules(rules, BINS, [1, 2], most_logged=most_logged or {}, saved=saved or {})


class TestRules:
    def test_set_every_arm_from_one_length_to_below_another(self):
        found = wanted(rule(8, 7, 13))

        assert found == {(arm, place * INCH): 8 for place in range(7, 13) for arm in (1, 2)}

    def test_leave_what_they_do_not_name(self):
        found = wanted(rule(8, 7, 8), saved={(1, 14 * INCH): 3})

        assert found == {(1, 7 * INCH): 8, (2, 7 * INCH): 8, (1, 14 * INCH): 3}

    def test_every_fish_is_more_than_any_season_had(self):
        found = wanted(rule(None, 14), most_logged={(1, 14 * INCH): 21, (2, 14 * INCH): 1})

        assert (found[1, 14 * INCH], found[2, 14 * INCH], found[2, 15 * INCH]) == (32, 10, 10)
        assert every_fish(21) > 21

    def test_for_one_arm_go_before_those_for_all(self):
        found = wanted(rule(15, 9, 10, arm=2), rule(8, 9, 10))

        assert (found[1, 9 * INCH], found[2, 9 * INCH]) == (8, 15)

    def test_raise_a_lake_target_that_minimums_would_exceed(self):
        found = wanted(rule(8, 9, 11), saved={(None, 9 * INCH): 10, (None, 10 * INCH): 40})

        assert (found[None, 9 * INCH], found[None, 10 * INCH]) == (16, 40)

    def test_leave_a_lake_target_that_a_rule_names_to_the_table(self):
        found = wanted(rule(8, 9, 10), rule(5, 9, 10, Where.LAKE))

        assert found[None, 9 * INCH] == 5

    @pytest.mark.parametrize(
        ("one", "other", "overlap"),
        [
            (rule(8, 7, 13), rule(9, 12), True),
            (rule(8, 7, 13), rule(9, 13), False),
            (rule(8, 7), rule(9, 12, 14), True),
            (rule(8, 7, 13), rule(9, 12, where=Where.LAKE), False),
            (rule(8, 7, 13), rule(9, 12, arm=1), False),
        ],
    )
    def test_overlap_where_they_speak_of_the_same_bins(self, one, other, overlap):
        assert one.overlaps(other) is other.overlaps(one) is overlap


def typed(*rows):
    """Return what a page sends of rules: fish, from, below, where."""
    names = ("fish", "from", "below", "where")
    return {
        f"{name}-{row}": value
        for row, values in enumerate(rows)
        for name, value in zip(names, (*values, "arms"), strict=False)
    }


def form_of(*rows):
    species = Species(
        name="White crappie",
        plausible_min_hundredths_mm=INCH,
        plausible_max_hundredths_mm=20 * INCH,
    )
    lake_species = LakeSpecies(species=species, bin_width_hundredths_mm=INCH)
    return RulesForm(typed(*rows), arms=ARMS, lake_species=lake_species, unit=LengthUnit.INCH)


class TestForm:
    def test_reads_numbers_all_and_open_ends(self):
        form = form_of(("8", "7", "13"), ("All", "13.0", ""), ("15", "9", "10 in", "2"))

        assert form.is_valid()
        assert form.made == [rule(8, 7, 13), rule(None, 13), rule(15, 9, 10, arm=2)]

    @pytest.mark.parametrize(
        ("rows", "field", "code"),
        [
            ([("-3", "7", "13")], "fish-0", "not_so_many_fish"),
            ([("1000", "7", "13")], "fish-0", "not_so_many_fish"),
            ([("some", "7", "13")], "fish-0", "not_so_many_fish"),
            ([("", "7", "13")], "fish-0", "fish_missing"),
            ([("", "", "")], "fish-0", "no_rule"),
            ([("8", "7.5", "13")], "from-0", "not_a_bin"),
            ([("8", "7", "30")], "below-0", "not_plausible"),
            ([("8", "13", "7")], "below-0", "not_above_from"),
            ([("8", "7", "13"), ("9", "12", "")], "from-1", "rules_overlap"),
            ([("8", "long", "13")], "from-0", "not_a_length"),
        ],
    )
    def test_says_beside_the_field_what_is_wrong(self, rows, field, code):
        form = form_of(*rows)

        found = {
            name: [one.code for one in errors] for name, errors in form.errors.as_data().items()
        }
        assert found == {field: [code]}
