"""How rare a length is that is still needed."""

from types import SimpleNamespace
from typing import Any

import pytest

from samples.targets.presenters.coverage import StillNeeded
from samples.targets.presenters.still_needed import needed_rows
from samples.targets.rules import Count, LengthSample, Need


def chance_of(of_length: int, measured: int) -> str:
    need, sample = Need(10, 0, 0), LengthSample(measured, of_length)
    line = StillNeeded("Brindle", "9.0-9.9 in", need, 10, sample, of_length)
    coverage: Any = SimpleNamespace(
        still_needed=[line], hardly_reached=[], selection=SimpleNamespace(count=Count.AGED)
    )
    [row] = needed_rows(coverage)
    return row.chance


@pytest.mark.parametrize(
    ("of_length", "measured", "chance"),
    [
        (3, 204, "1 in 68"),
        (20, 200, "1 in 10"),
        # Rounded to one in so many these would be far off: 1 in 2 and 1 in 1.
        (60, 150, "60 of 150"),
        (108, 120, "108 of 120"),
        (0, 120, "0 of 120"),
        (9, 99, "\u2013"),
    ],
)
def test_a_chance_is_as_many_as_were_met(of_length: int, measured: int, chance: str) -> None:
    assert chance_of(of_length, measured) == chance
