"""What a finding costs, in CPU seconds: guessed the first time, known from the last time after."""

from dataclasses import dataclass

from samples.computations.results import load_cost

# A page may take so long by itself; what takes longer is done beside it.
ON_PAGE_S = 0.2
# By topic: seconds of itself, and microseconds a fish of the choice. Measured on the invented
# reservoir (1,465 and 4,746 fish) on one core of a small server.
GUESSES = {
    "length-at-age": (0.02, 6),
    "ages": (0.05, 80),
    "growth": (0.15, 75),
    "readers": (0.03, 16),
    "deaths": (0.15, 80),
    "year-classes": (0.15, 110),
    "sizes": (0.02, 9),
    "by-year": (0.02, 14),
    "edge": (0.02, 6),
    "length-limit": (1.0, 250),
    "length-limit-public": (0.5, 100),
}
UNKNOWN = (1.0, 200)
FIGURE_S = 0.4


@dataclass(frozen=True, slots=True)
class Cost:
    """CPU seconds."""

    seconds: float

    @property
    def fits_on_page(self) -> bool:
        """Return whether a page may do it by itself."""
        return self.seconds <= ON_PAGE_S


def expected_cost(topic: str, key: str, size: int) -> Cost:
    """Return what a question will cost of so many fish."""
    if not size:
        return Cost(0.0)
    last = load_cost(key)
    if last is not None:
        return Cost(last.seconds * max(1.0, size / max(last.size, 1)))
    fixed, each = GUESSES.get(topic, UNKNOWN)
    return Cost(fixed + each * size / 1e6)
