"""Plain rules of net plans, and how sets are chosen and counted, without a database."""

import numpy as np
import pytest

from samples.findings.sample import NetSets
from samples.nets.presenters import SPRING, meshes_of, sets_alike
from samples.nets.rules import needs_nets, spread_sets, typed_lengths


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("7.2 7.4\n8.1", ["7.2", "7.4", "8.1"]),
        (" 7.2, 7.4;8.1 ", ["7.2", "7.4", "8.1"]),
        ("", []),
        (" \n", []),
    ],
)
def test_lengths_are_parted_by_spaces_commas_and_lines(text, words):
    assert typed_lengths(text) == words


@pytest.mark.parametrize(("to_collect", "donated", "nets"), [(8, 7, True), (8, 8, False)])
def test_nets_fill_what_donors_never_brought_in_a_season(to_collect, donated, nets):
    assert needs_nets(to_collect, donated) is nets
    assert not needs_nets(0, donated)


def test_sets_of_arms_come_first_and_the_rest_goes_where_fewest_are():
    stations = {1: ["low", "high"], 2: ["mouth"], 3: []}

    assert spread_sets({1: 3}, 5, stations) == {"low": 2, "high": 1, "mouth": 2}
    assert spread_sets({}, 0, stations) == {}
    assert spread_sets({}, 4, {}) == {}


@pytest.fixture
def sets():
    """Three sets: one empty, one counted in bins, one of another mesh in fall."""
    return NetSets(
        arm=np.array([1, 1, 2]),
        season=np.array([9, 9, 9]),
        year=np.array([2026] * 3),
        month=np.array([3, 4, 9]),
        method=np.array(["trap_net"] * 3, dtype=object),
        mesh_mm=np.array([13, 13, 19]),
        nights=np.array([1, 2, 1]),
        unmeasured=np.array([0, 4, 0]),
        set_of=np.array([1, 1, 2]),
        length_mm=np.array([190.5, 215.9, 190.5]),
        fish=np.array([3, 1, 2]),
    )


def test_an_empty_set_stays_and_unmeasured_fish_count(sets):
    assert sets.catch.tolist() == [0, 8, 2]
    assert sets.by_bin([17_780, 20_320], 2540).tolist() == [[0, 0], [3, 1], [2, 0]]


def test_sets_of_one_mesh_and_part_of_the_year_keep_their_own_fish(sets):
    spring = sets_alike(sets, mesh_mm=13, part=SPRING)
    fall = sets_alike(sets, mesh_mm=None, part="fall")

    assert (spring.n, spring.catch.tolist()) == (2, [0, 8])
    assert (fall.n, fall.catch.tolist()) == (1, [2])
    assert meshes_of(sets) == [13, 19]
