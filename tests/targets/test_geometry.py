"""The coverage mark: as many rings as fish, the same ink for each, and nothing hidden."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.targets.geometry import MOST_RINGS, area, outline, outlines, rings


def corners(path):
    numbers = [float(number) for number in re.findall(r"-?\d+\.?\d*", path)]
    points = list(zip(numbers[::2], numbers[1::2], strict=True))
    return points[:1] + points[3:-1:3]


def kinds(drawn):
    return [ring.state for ring in drawn]


class TestOutlines:
    def test_every_ring_adds_the_same_area(self):
        areas = [area(corners(path)) for _, path in outlines(5)]
        steps = [b - a for a, b in zip([0, *areas], areas, strict=False)]

        assert steps == pytest.approx([areas[-1] / 5] * 5, rel=0.02)

    def test_each_lies_inside_the_window(self):
        for x, y in corners(outline(10, 10)):
            assert 0 <= x <= 60
            assert 0 <= y <= 38


class TestRings:
    def test_an_aged_fish_is_a_ring_from_the_core_outward(self):
        drawn = rings(5, 2, 1, 5)

        assert kinds(drawn) == ["missing", "hand", "aged", "aged"]
        assert [ring.outline for ring in drawn] == [5, 3, 2, 1]

    def test_a_stone_that_lacks_nothing_has_a_whole_edge(self):
        assert [ring.whole for ring in rings(3, 4, 0, 5)] == [True, False, False]

    def test_none_aged_is_solid(self):
        assert kinds(rings(5, 0, 0, 5)) == ["missing"]

    def test_no_floor_draws_nothing(self):
        assert rings(0, 3, 0, 5) == ()

    @given(st.integers(1, 60), st.integers(0, 80), st.integers(0, 80), st.integers(1, 80))
    def test_hides_no_fish_that_is_missing_and_shows_those_that_are_there(
        self, wanted, counted, waiting, most
    ):
        short = max(0, wanted - counted)
        in_hand = min(short, waiting)
        drawn = rings(wanted, counted, in_hand, most)

        assert max(ring.outline for ring in drawn) <= MOST_RINGS
        assert ("missing" in kinds(drawn)) == (short > in_hand)
        assert any(ring.whole for ring in drawn) == (short == 0)
        if counted and drawn[0].outline > 1:
            assert "aged" in kinds(drawn)
        if max(most, wanted) <= MOST_RINGS:
            assert kinds(drawn).count("aged") == min(counted, wanted)
            assert kinds(drawn).count("hand") == in_hand
