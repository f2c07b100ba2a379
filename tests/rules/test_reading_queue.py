"""The queue: short cells first, each otolith taken as read before the next is chosen."""

from datetime import date

from samples.rules.reading_queue import WaitingOtolith, in_order_of_worth

BRINDLE_10, CUTBANK_10, LAKE_10, LAKE_11 = 1, 2, 3, 4


def waiting(number, *, day=1, floors=(), lake=()):
    return WaitingOtolith(int(number), number, date(2026, 5, day), tuple(floors), tuple(lake))


def order(otoliths, wanted, counted):
    queued = in_order_of_worth(otoliths, wanted=wanted, counted=counted)
    return [int(one.otolith.number) for one in queued]


def test_an_arm_that_is_short_comes_before_the_lake_and_both_before_what_is_met():
    otoliths = [
        waiting("1", day=1),
        waiting("2", day=2, lake=[LAKE_11]),
        waiting("3", day=3, floors=[BRINDLE_10], lake=[LAKE_10]),
    ]

    assert order(otoliths, {BRINDLE_10: 2, LAKE_10: 10, LAKE_11: 10}, {LAKE_10: 9}) == [3, 2, 1]


def test_a_cell_gives_no_more_than_it_is_short_of_before_the_next():
    brindle = [waiting(str(n), floors=[BRINDLE_10]) for n in (1, 2, 3)]
    cutbank = [waiting(str(n), day=9, floors=[CUTBANK_10]) for n in (4, 5, 6)]

    found = order([*brindle, *cutbank], {BRINDLE_10: 2, CUTBANK_10: 2}, {})

    # Two of each arm by turns; what is left waits by its day.
    assert set(found[:4]) == {1, 2, 4, 5}
    assert found[4:] == [3, 6]


def test_within_a_cell_the_one_that_waited_longest_comes_first():
    otoliths = [waiting("1", day=3), waiting("2", day=1), waiting("3", day=2)]

    assert order(otoliths, {}, {}) == [2, 3, 1]


def test_what_each_counts_toward_is_said_as_it_stands_then():
    otoliths = [waiting(str(n), floors=[BRINDLE_10], lake=[LAKE_10]) for n in (1, 2)]

    queued = in_order_of_worth(
        otoliths, wanted={BRINDLE_10: 1, LAKE_10: 2}, counted={LAKE_10: 0, BRINDLE_10: 0}
    )

    assert [(one.fills_floor, one.fills_lake_wide) for one in queued] == [
        (True, True),
        (False, True),
    ]
