"""How far every two readers, and every two methods, agree on the fish that both read."""

from dataclasses import dataclass

from samples.findings.sample import Pair
from samples.science.agreement import Agreement, AtAge, agreement
from samples.science.errors import CannotEstimate

FEWEST = 10
# Below this share of random second readings alike, everything is read twice. Common practice, no
# publication is known to us as its source.
LEAST_EXACT = 90.0
# An interval of a mean needs some fish.
FEWEST_FOR_AN_INTERVAL = 3


@dataclass(frozen=True, slots=True)
class Compared:
    """Two readers, or two methods, and how far they agree."""

    names: tuple[str, str]
    agreement: Agreement
    is_random: bool = False


def analyse(pairs: list[Pair]) -> list[Compared]:
    """Compare those that read enough of the same fish."""
    found = []
    for pair in pairs:
        if len(pair.first) < FEWEST:
            continue
        try:
            one = agreement(pair.first, pair.second, names=pair.names)
        except CannotEstimate:
            continue
        found.append(Compared(pair.names, one, pair.is_random))
    return found


def should_read_all_twice(compared: list[Compared]) -> bool:
    """Return whether two readers disagree too often on fish that were drawn at random."""
    return any(one.is_random and one.agreement.exact < LEAST_EXACT for one in compared)


def ends_of_mean(row: AtAge) -> tuple[float | None, float | None]:
    """Return the ends of the interval of a mean age; none of too few fish, or of fish all alike."""
    told = row.n >= FEWEST_FOR_AN_INTERVAL
    if not told or row.lower is None:
        return None, None
    return max(row.lower, 0.0), row.upper
