"""What a finding costs, in CPU seconds: guessed the first time, known from the last time after."""

from dataclasses import dataclass

from samples.computations.results import load_cost
from samples.findings.topics import Topic

# A page may take so long by itself; what takes longer is done beside it.
ON_PAGE_S = 0.2
FIGURE_S = 0.4


@dataclass(frozen=True, slots=True)
class Cost:
    """CPU seconds."""

    seconds: float

    @property
    def fits_on_page(self) -> bool:
        """Return whether a page may do it by itself."""
        return self.seconds <= ON_PAGE_S


def expected_cost(topic: Topic, key: str, size: int) -> Cost:
    """Return what a question will cost of so many fish."""
    if not size:
        return Cost(0.0)
    last = load_cost(key)
    if last is not None:
        return Cost(last.seconds * max(1.0, size / max(last.size, 1)))
    fixed, each = topic.guess
    return Cost(fixed + each * size / 1e6)
