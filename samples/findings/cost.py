"""What a finding costs, in CPU seconds: guessed the first time, known from the last time after.

Drawing is in it, and is most of it for a small sample.
"""

import sys
from dataclasses import dataclass

from samples.computations.results import load_cost
from samples.findings.topics import Topic

# A page may take so long by itself; what takes longer is done beside it.
ON_PAGE_S = 0.2
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


def expected_cost(topic: Topic, key: str, size: int) -> Cost:
    """Return what a question will cost of so many fish."""
    if not size:
        return Cost(0.0, draws=False)
    last = load_cost(key)
    if last is not None:
        return Cost(last.seconds * max(1.0, size / max(last.size, 1)), last.draws)
    fixed, each = topic.guess
    return Cost(fixed + each * size / 1e6)
