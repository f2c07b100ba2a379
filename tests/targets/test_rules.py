"""What is short, what is in hand, what is asked for, and where most of the gap is."""

import pytest

from samples.targets.rules import BinNeed, Gap, Need, floor_from_each, most_of_the_gap, proposed


class TestNeed:
    def test_what_is_short_and_in_hand_is_not_asked_for(self):
        need = Need(wanted=5, counted=2, waiting=1)

        assert (need.short, need.in_hand, need.to_collect, need.met) == (3, 1, 2, 2)

    def test_more_in_hand_than_short_asks_for_none(self):
        need = Need(wanted=5, counted=3, waiting=7)

        assert (need.short, need.in_hand, need.to_collect) == (2, 2, 0)

    def test_more_than_wanted_is_short_of_nothing(self):
        need = Need(wanted=5, counted=7, waiting=2)

        assert (need.short, need.in_hand, need.to_collect, need.met) == (0, 0, 0, 5)


class TestBinNeed:
    def test_floors_can_ask_for_more_than_the_lake(self):
        # 8 of 10 aged, all from one of five arms that owe 2 each.
        one = BinNeed(Need(10, 8, 0), (Need(2, 8, 0), *[Need(2, 0, 0)] * 4))

        assert one.short == 8
        assert one.short_beyond_lake_wide == 6
        assert one.to_collect_in_any_arm == 0

    def test_the_lake_can_ask_for_more_than_the_floors(self):
        one = BinNeed(Need(10, 3, 1), (Need(2, 3, 0), Need(2, 0, 1)))

        assert (one.short, one.to_collect) == (7, 6)
        assert one.to_collect_in_any_arm == 5


class TestProposal:
    @pytest.mark.parametrize(("arms", "floor"), [(0, 0), (1, 2), (5, 2), (6, 1), (10, 1), (11, 0)])
    def test_floors_never_add_up_to_more_than_a_bin(self, arms, floor):
        assert floor_from_each(arms) == floor
        assert arms * floor_from_each(arms) <= 10

    def test_names_every_bin_lake_wide_and_by_arm(self):
        assert proposed([2540, 5080], [7]) == {
            (None, 2540): 10,
            (7, 2540): 2,
            (None, 5080): 10,
            (7, 5080): 2,
        }


class TestMostOfTheGap:
    def test_nothing_short_has_no_gap(self):
        assert most_of_the_gap({(1, 5): 0, (2, 6): 0}) is None

    def test_names_the_arm_and_the_upper_bins(self):
        short = {(1, place): 0 for place in range(5, 13)} | {(2, 11): 5, (2, 12): 5, (1, 5): 1}

        assert most_of_the_gap(short) == Gap(arms=(2,), from_bin=11, below_bin=None)

    def test_names_the_lower_bins(self):
        short = {(arm, place): 0 for arm in (1, 2, 3) for place in range(5, 13)} | {(3, 5): 9}

        assert most_of_the_gap(short) == Gap(arms=(3,), from_bin=None, below_bin=6)

    def test_names_no_arm_where_all_are_needed_for_half(self):
        short = {(arm, 5): 2 for arm in (1, 2, 3, 4, 5)} | {(arm, 9): 0 for arm in range(1, 6)}

        gap = most_of_the_gap(short)

        assert gap is not None
        assert gap.arms == ()
        assert gap.below_bin == 6
