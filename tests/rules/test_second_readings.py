"""The draw of second readings: the share that was asked for, the same for every vial."""

import pytest

from samples.rules.second_readings import is_drawn, start_of


@pytest.mark.parametrize("percent", [10, 15, 20])
@pytest.mark.parametrize("n", [1, 7, 40, 200])
def test_each_stratum_gives_its_share_within_one(percent, n):
    for seed in range(20):
        start = start_of(seed, 1, 2, 3, 25400)
        drawn = sum(is_drawn(place, percent, start) for place in range(1, n + 1))

        assert abs(drawn - n * percent / 100) < 1


def test_every_place_has_the_same_chance():
    """Of 4,000 seeds 15 % draw each place: 600, with a standard deviation of 22.6."""
    starts = [start_of(seed, 5) for seed in range(4000)]

    for place in (1, 2, 6, 7, 13):
        assert sum(is_drawn(place, 15, start) for start in starts) == pytest.approx(600, abs=91)


def test_the_seed_is_enough_to_draw_again_and_strata_differ():
    assert start_of(9, 1, 2) == start_of(9, 1, 2)
    assert len({start_of(9, 1, 2), start_of(9, 2, 1), start_of(8, 1, 2)}) == 3
