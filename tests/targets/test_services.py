"""Targets are proposed, copied and saved; every change is in the history."""

import pytest

from samples.models import Target
from samples.targets.queries.wanted import saved_targets
from samples.targets.services import propose_targets, save_targets
from tests.people import NOW
from tests.targets.fish import INCH

TEN, ELEVEN = 10 * INCH, 11 * INCH


@pytest.fixture
def save(season, white, biologist):
    def save_(wanted, *, width=INCH):
        return save_targets(season, white, wanted=wanted, width=width, actor=biologist, now=NOW)

    return save_


def now_set():
    return {
        (one.arm_id, one.from_hundredths_mm, one.below_hundredths_mm): one.wanted
        for one in Target.objects.all()
    }


@pytest.mark.django_db
class TestSaving:
    def test_makes_changes_and_takes_away(self, save, brindle):
        assert save({(None, TEN): 10, (brindle.pk, TEN): 2, (None, ELEVEN): 10}) == 3

        assert save({(None, TEN): 12, (brindle.pk, TEN): None, (None, ELEVEN): 10}) == 2

        assert now_set() == {(None, TEN, ELEVEN): 12, (None, ELEVEN, 12 * INCH): 10}

    def test_writes_down_who_changed_what(self, save, biologist):
        save({(None, TEN): 10})
        save({(None, TEN): 12})
        save({(None, TEN): 0})

        history = Target.history.order_by("history_id")
        assert [(one.history_type, one.wanted) for one in history] == [
            ("+", 10),
            ("~", 12),
            ("-", 12),
        ]
        assert {one.history_user for one in history} == {biologist}
        assert {one.history_date for one in history} == {NOW}

    def test_saving_twice_changes_nothing(self, save):
        save({(None, TEN): 10})

        assert save({(None, TEN): 10}) == 0
        assert Target.history.count() == 1

    def test_leaves_other_lengths_alone(self, save):
        save({(None, TEN): 10})

        save({(None, ELEVEN): 7})

        assert now_set() == {(None, TEN, ELEVEN): 10, (None, ELEVEN, 12 * INCH): 7}

    def test_targets_of_other_bins_give_way_where_they_overlap(self, save):
        save({(None, TEN): 10}, width=2 * INCH)
        save({(None, 20 * INCH): 4}, width=2 * INCH)

        save({(None, ELEVEN): 5})

        assert now_set() == {
            (None, ELEVEN, 12 * INCH): 5,
            (None, 20 * INCH, 22 * INCH): 4,
        }

    def test_leaves_other_species_and_seasons_alone(self, save, season, black, biologist):
        save_targets(season, black, wanted={(None, TEN): 3}, width=INCH, actor=biologist, now=NOW)

        save({(None, TEN): None})

        assert now_set() == {(None, TEN, ELEVEN): 3}


@pytest.mark.django_db
class TestStarting:
    def test_proposes_ten_a_bin_and_two_from_each_arm(self, lake):
        proposal = propose_targets([TEN], list(lake.arms.all()))

        assert sorted(proposal.wanted.values()) == [2, 2, 2, 10]
        assert Target.objects.count() == 0

    def test_asks_no_floor_of_fish_from_no_arm_known(self, lake):
        lake.arms.filter(name="Hobbin").update(whole_lake=True)

        proposal = propose_targets([TEN], list(lake.arms.all()))

        assert sorted(proposal.wanted.values()) == [2, 2, 10]

    def test_reads_what_fits_the_bins_and_counts_the_others(self, save, season, white, brindle):
        save({(None, TEN): 10, (brindle.pk, TEN): 2})
        save({(None, 20 * INCH): 4}, width=2 * INCH)

        found = saved_targets(season, white, INCH)

        assert found.wanted == {(None, TEN): 10, (brindle.pk, TEN): 2}
        assert found.for_other_bins == 1
