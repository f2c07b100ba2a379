"""How far every two readers, and every two methods, agree on the fish that both read."""

from dataclasses import dataclass
from datetime import date

from samples.findings.sample import METHODS, Pair
from samples.science.agreement import Agreement, AtAge, agreement
from samples.science.agreement_trend import (
    AgreementOfDay,
    AgreementTrend,
    agreement_by_day,
    agreement_trend,
)
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


@dataclass(frozen=True, slots=True)
class OverTime:
    """Two readers day by day. ``days`` count from ``since``; no ``trend`` tells ``why`` not.

    ``pooled`` are consecutive days taken together until they hold some fish, for a figure.
    """

    names: tuple[str, str]
    since: date
    days: tuple[AgreementOfDay, ...]
    pooled: tuple[AgreementOfDay, ...]
    trend: AgreementTrend | None
    why: str = ""


def analyse_over_time(pairs: list[Pair]) -> list[OverTime]:
    """Follow every two readers over the days on which they read the same fish.

    Days of all pairs count from the same one. Two methods are compared fish by fish alone.
    """
    readers = [one for one in pairs if one.names[0] not in METHODS and len(one.first) >= FEWEST]
    if not readers:
        return []
    since = min(day for one in readers for day in one.read_on)
    return [_over_time(one, since) for one in readers]


def _over_time(pair: Pair, since: date) -> OverTime:
    days = [(day - since).days for day in pair.read_on]
    same = [int(one == other) for one, other in zip(pair.first, pair.second, strict=True)]
    told = agreement_by_day(days, pair.first, pair.second)
    pooled = agreement_by_day(pool_days(days, FEWEST), pair.first, pair.second)
    try:
        return OverTime(pair.names, since, told, pooled, agreement_trend(days, same))
    except CannotEstimate as problem:
        return OverTime(pair.names, since, told, pooled, None, problem.sentence)


def pool_days(days: list[int], fewest: int) -> list[int]:
    """Return for each fish the rounded mean day of its run of days with at least so many fish.

    What is left at the end belongs to the run before it.
    """
    runs: list[list[int]] = [[]]
    for day in sorted(set(days)):
        runs[-1] += [day] * days.count(day)
        if len(runs[-1]) >= fewest:
            runs.append([])
    last = runs.pop()
    if runs:
        runs[-1] += last
    else:
        runs = [last]
    middle = {day: round(sum(run) / len(run)) for run in runs for day in run}
    return [middle[day] for day in days]
