"""Time two ways of doing a thing in turn, and say how far apart they are."""

import gc
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BenchmarkResult:
    """What a benchmark found: ours against the floor, medians of one run.

    ``met`` says whether the goal was reached; ``goal`` says what it is.
    """

    name: str
    ours: float
    floor: float
    unit: str
    goal: str
    met: bool

    @property
    def ratio(self) -> float:
        return self.ours / self.floor

    def as_dict(self) -> dict[str, str | float | bool]:
        return {
            "name": self.name,
            "ours": round(self.ours, 3),
            "floor": round(self.floor, 3),
            "unit": self.unit,
            "ratio": round(self.ratio, 2),
            "goal": self.goal,
            "met": self.met,
        }


def in_turn(
    ours: Callable[[], object],
    floor: Callable[[], object],
    *,
    rounds: int = 30,
    warm: int = 3,
    clock: Callable[[], float] = time.perf_counter,
) -> tuple[float, float]:
    """Run both in turn and give the median of each, in milliseconds.

    In turn, so that whatever else the machine does falls on both alike.

    :param clock: seconds; `time.thread_time` counts those of the CPU alone
    """
    times: tuple[list[float], list[float]] = ([], [])
    gc.collect()
    for number in range(warm + rounds):
        for place, work in enumerate((ours, floor)):
            start = clock()
            work()
            if number >= warm:
                times[place].append((clock() - start) * 1000)
    return statistics.median(times[0]), statistics.median(times[1])
