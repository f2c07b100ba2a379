"""Plain rules of net plans and net sheets."""

import re
from collections.abc import Mapping, Sequence
from typing import TypeVar

Key = TypeVar("Key")
_BETWEEN = re.compile(r"[\s,;]+")


def typed_lengths(text: str) -> list[str]:
    """Return lengths typed one after the other; spaces, commas and lines part them."""
    return [one for one in _BETWEEN.split(text.strip()) if one]


def needs_nets(to_collect: int, donated: int) -> bool:
    """Return whether donors are unlikely to supply a bin.

    ``donated`` is their best season: what they never brought in a season, they hardly will.
    """
    return to_collect > 0 and donated < to_collect


def spread_sets(
    of_arm: Mapping[int, int], lake_wide: int, stations: Mapping[int, Sequence[Key]]
) -> dict[Key, int]:
    """Spread sets over stations: each arm's own, and what the lake needs beyond, in turn.

    Parameters
    ----------
    of_arm : mapping of int to int
        Sets that each arm's own minimums take.
    lake_wide : int
        Sets that all fish of the lake take; those of arms count.
    stations : mapping of int to sequence
        The stations of each arm.
    """
    arms = [arm for arm, there in stations.items() if there]
    sets = {arm: of_arm.get(arm, 0) for arm in arms}
    while arms and sum(sets.values()) < lake_wide:
        sets[min(arms, key=lambda arm: sets[arm])] += 1
    found: dict[Key, int] = {}
    for arm, number in sets.items():
        there = stations[arm]
        for turn in range(number):
            station = there[turn % len(there)]
            found[station] = found.get(station, 0) + 1
    return found
