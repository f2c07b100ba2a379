"""What is said and shown of the sheets before they are printed."""

from __future__ import annotations

import pytest

from samples.vials.geometry import STOCKS, Filling, OffTheSheet, preview

SHEET = STOCKS["sheet-35x15"]
ROLL = STOCKS["roll-38x19"]


def test_preview_shows_used_first_next_and_free_places() -> None:
    numbers = [f"{n:04d}" for n in range(601, 721)]
    filling = Filling(used=frozenset(range(1, 23)))

    picture = preview(SHEET, 23, numbers, filling)

    one, two = picture.sheets
    assert [spot.state for spot in one.places] == ["used"] * 22 + ["first"] + ["next"] * 62
    assert [spot.state for spot in two.places] == ["next"] * 57 + ["free"] * 28
    assert "0601 to 0663" in one.spoken
    assert "0664 to 0720" in two.spoken
    assert all(bool(spot.cross) == (spot.state == "used") for spot in one.places)


def test_preview_of_many_sheets_shows_the_first_and_the_last() -> None:
    picture = preview(ROLL, 1, [f"{n:04d}" for n in range(601, 721)])

    assert [sheet.page for sheet in picture.sheets] == [1, 120]
    assert (picture.sheet_count, picture.not_drawn) == (120, 118)
    assert "0720 to 0720" in picture.sheets[-1].spoken


def test_preview_refuses_a_position_that_the_sheet_lacks() -> None:
    with pytest.raises(OffTheSheet):
        preview(SHEET, 86, ["0601"])
