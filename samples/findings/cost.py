"""What a finding costs, in CPU seconds: guessed the first time, known from the last time after.

Drawing is in it, and is most of it for a small sample.
"""

import sys
from dataclasses import dataclass

from samples.computations.results import load_cost

# A page may take so long by itself; what takes longer is done beside it.
ON_PAGE_S = 0.2
# By topic, with its figures: seconds of themselves, and microseconds a fish of the choice. Measured
# on the invented reservoir (1,465 and 4,746 fish) on one core of a small server.
GUESSES = {
    "length-at-age": (0.25, 20),
    "ages": (0.5, 70),
    "growth": (0.5, 150),
    "readers": (0.07, 10),
    "deaths": (0.25, 120),
    "year-classes": (0.3, 110),
    "sizes": (0.35, 15),
    "by-year": (0.07, 15),
    "edge": (0.1, 10),
    "length-limit": (1.5, 450),
    "length-limit-public": (0.8, 120),
}
UNKNOWN = (1.0, 200)
FIGURE_S = 0.4
DRAWING = "matplotlib.figure"


@dataclass(frozen=True, slots=True)
class Cost:
    """CPU seconds, and whether there is anything to draw."""

    seconds: float
    draws: bool = True

    @property
    def fits_on_page(self) -> bool:
        """Return whether a page may do it: those that serve phones never load the drawing."""
        return self.seconds <= ON_PAGE_S and not (self.draws and DRAWING not in sys.modules)


def expected_cost(topic: str, key: str, size: int) -> Cost:
    """Return what a question will cost of so many fish."""
    if not size:
        return Cost(0.0, draws=False)
    last = load_cost(key)
    if last is not None:
        return Cost(last.seconds * max(1.0, size / max(last.size, 1)), last.draws)
    fixed, each = GUESSES.get(topic, UNKNOWN)
    return Cost(fixed + each * size / 1e6)
