"""What is short of the targets, in sum, without the page that shows it bin by bin."""

from collections.abc import Mapping
from dataclasses import dataclass

from samples.targets.presenters.shaping import NOTHING
from samples.targets.queries.counts import Tally
from samples.targets.queries.set_targets import WantedByBin
from samples.targets.rules import BinNeed, Need


@dataclass(frozen=True, slots=True)
class Shortfall:
    """How many aged fish are short, and how many of them still have to be caught."""

    short: int
    to_collect: int


def shortfall(
    counted: Mapping[tuple[int, int], Tally], wanted: WantedByBin, level: int
) -> Shortfall:
    """Hold counted fish against the targets of their bins, as the page of coverage does."""
    in_bin: dict[int, list[Tally]] = {}
    for (_, place), tally in counted.items():
        in_bin.setdefault(place, []).append(tally)
    bins = [
        BinNeed(
            _need(wanted.get((None, place), 0), in_bin.get(place, []), level),
            tuple(
                _need(n, [counted.get((arm, place), NOTHING)], level)
                for (arm, other), n in wanted.items()
                if arm is not None and other == place
            ),
        )
        for place in {place for _, place in wanted}
    ]
    return Shortfall(sum(one.short for one in bins), sum(one.to_collect for one in bins))


def _need(wanted: int, here: list[Tally], level: int) -> Need:
    counted = sum(tally.at_least(level) for tally in here)
    return Need(wanted, counted, sum(tally.waiting(level) for tally in here))
