"""In which order otoliths are read: what coverage is short of first, then what waited longest."""

from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

Cell = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class WaitingOtolith:
    """An otolith that can be read now, and the targets that it counts toward if it is aged.

    ``floors`` and ``lake_wide`` are keys of targets: of its arm, and of the whole lake.
    """

    vial_id: int
    number: str
    since: date
    floors: tuple[int, ...] = ()
    lake_wide: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class QueuedOtolith:
    """An otolith with its place in the queue and what it counts toward there."""

    otolith: WaitingOtolith
    fills_floor: bool
    fills_lake_wide: bool


@dataclass(slots=True)
class _Short:
    """What targets are still short of while the queue is being laid out."""

    wanted: Mapping[int, int]
    left: dict[int, int] = field(default_factory=dict)

    def worth(self, keys: tuple[int, ...]) -> float:
        """Return the largest share that is missing of one of these targets; 0 if none is short."""
        return max((max(self.left[key], 0) / self.wanted[key] for key in keys), default=0.0)


def in_order_of_worth(
    waiting: Iterable[WaitingOtolith], *, wanted: Mapping[int, int], counted: Mapping[int, int]
) -> Iterator[QueuedOtolith]:
    """Yield otoliths one after another, each taken as read before the next is chosen.

    An arm's minimum that is short comes before the lake's target, the emptier target before the
    fuller, and within one cell the otolith that has waited longest. So a queue does not spend
    itself on one cell that needs only two more.

    :param wanted: fish wanted by key of target, above 0
    :param counted: fish aged by key of target
    """
    short = _Short(wanted, {key: n - counted.get(key, 0) for key, n in wanted.items()})
    cells: dict[Cell, deque[WaitingOtolith]] = {}
    for one in sorted(waiting, key=lambda one: (one.since, one.number)):
        cells.setdefault((one.floors, one.lake_wide), deque()).append(one)
    while cells:
        cell = min(cells, key=lambda cell: _rank(short, cells[cell][0]))
        chosen = cells[cell].popleft()
        if not cells[cell]:
            del cells[cell]
        floor_worth, lake_worth = short.worth(chosen.floors), short.worth(chosen.lake_wide)
        for key in (*chosen.floors, *chosen.lake_wide):
            short.left[key] -= 1
        yield QueuedOtolith(chosen, floor_worth > 0, lake_worth > 0)


def _rank(short: _Short, one: WaitingOtolith) -> tuple[float, float, date, str]:
    return (-short.worth(one.floors), -short.worth(one.lake_wide), one.since, one.number)
