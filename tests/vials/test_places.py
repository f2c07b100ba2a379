"""Labels fill the free places of a part-used sheet, across or down, one by one or in pairs."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.vials.geometry import (
    STOCKS,
    Filling,
    LabelPlace,
    OffTheSheet,
    place,
    positions_before,
    used_after,
)

SHEET = STOCKS["sheet-35x15"]
ROLL = STOCKS["roll-38x19"]
# Three across, two down: 1 2 3 above 4 5 6.
SMALL = dataclasses.replace(SHEET, columns=3, rows=2)

fillings = st.builds(
    Filling,
    used=st.frozensets(st.integers(1, 85), max_size=60),
    runs_down=st.booleans(),
    twins=st.booleans(),
)


def positions(placed: list[LabelPlace]) -> list[tuple[int, int]]:
    return [(one.page, one.position) for one in placed]


@given(filling=fillings, count=st.integers(1, 200), first=st.integers(1, 85))
def test_no_place_is_used_twice(filling: Filling, count: int, first: int) -> None:
    filling = dataclasses.replace(filling, used=filling.used - {first}, twins=False)

    taken = positions(place(SHEET, count, first, filling=filling))

    assert len(taken) == len(set(taken)) == count
    assert not {(1, position) for position in filling.used} & set(taken)
    assert {page for page, _ in taken} == set(range(1, taken[-1][0] + 1))


@given(filling=fillings, count=st.integers(1, 60), first=st.integers(1, 85))
def test_twins_lie_side_by_side(filling: Filling, count: int, first: int) -> None:
    filling = dataclasses.replace(filling, twins=True)
    try:
        placed = place(SHEET, count, first, filling=filling)
    except OffTheSheet:
        return

    assert len(set(positions(placed))) == 2 * count
    for one, other in zip(placed[::2], placed[1::2], strict=True):
        assert one.page == other.page
        steps = (other.column - one.column, other.row - one.row)
        assert steps == ((0, 1) if filling.runs_down else (1, 0))


def test_free_places_are_filled_around_the_used_ones() -> None:
    filling = Filling(used=frozenset({1, 3}))

    assert positions(place(SMALL, 6, 2, filling=filling)) == [
        *((1, position) for position in (2, 4, 5, 6)),
        (2, 1),
        (2, 2),
    ]


def test_down_goes_column_by_column() -> None:
    down = Filling(runs_down=True)

    assert [at for _, at in positions(place(SMALL, 6, filling=down))] == [1, 4, 2, 5, 3, 6]
    assert positions_before(SMALL, 2, runs_down=True) == {1, 4}


def test_a_used_place_is_refused_as_a_start() -> None:
    with pytest.raises(OffTheSheet, match="such as 2"):
        place(SMALL, 1, 1, filling=Filling(used=frozenset({1})))


def test_twins_need_neighbors() -> None:
    column = dataclasses.replace(SMALL, columns=1)
    with pytest.raises(OffTheSheet):
        place(column, 1, filling=Filling(twins=True))
    assert positions(place(column, 1, filling=Filling(twins=True, runs_down=True))) == [
        (1, 1),
        (1, 2),
    ]
    # On a roll the twin is the next label.
    assert positions(place(ROLL, 1, filling=Filling(twins=True))) == [(1, 1), (2, 1)]


def test_what_is_left_of_the_last_sheet() -> None:
    used = frozenset({1, 3})
    filling = Filling(used=used)

    def left(count: int) -> frozenset[int]:
        return used_after(SMALL, place(SMALL, count, 2, filling=filling), used)

    assert left(1) == {1, 2, 3}
    assert left(4) == frozenset()
    assert left(6) == {1, 2}
    # Passed over is not used.
    assert used_after(SMALL, place(SMALL, 1, 5, filling=filling), used) == {1, 3, 5}
