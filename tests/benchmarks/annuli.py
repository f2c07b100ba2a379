"""Suggested annuli, held against drawn otoliths whose annuli are known.

Two hundred otoliths at each of three difficulties, twenty of each age from 1 to 10. The seeds from
40,000 on are for this alone: whoever tunes the suggestion draws from 700,000 on, and takes a fresh
block here for the next figures that are published.
"""

from samples.management.timing import BenchmarkResult
from tests.benchmarks._annuli_outcomes import outcomes_of
from tests.benchmarks._drawn_otoliths import DIFFICULTIES

NAME = "annuli"
OTOLITHS = 200
FIRST_SEED = 40_000
YOUNG, OLD = range(1, 7), range(7, 11)
LEAST_EXACT, LEAST_WITHIN_1 = 80, 97
EXACT_GOAL = f"exact for {LEAST_EXACT} % of all otoliths of ages 1-6"
WITHIN_GOAL = f"within 1 for {LEAST_WITHIN_1} % of those answered"


def run():
    return [result for name in DIFFICULTIES for result in _results(name)]


def _results(difficulty):
    outcomes = outcomes_of(OTOLITHS, DIFFICULTIES[difficulty], first_seed=FIRST_SEED)
    for ages in (YOUNG, OLD):
        rows = [one for one in outcomes if one.age in ages]
        words = f"{NAME}: {difficulty} noise, ages {ages[0]}-{ages[-1]}: {told(rows)}"
        yield _result(f"{words}: exact", exact_of_all(rows), LEAST_EXACT, EXACT_GOAL)
        yield _result(f"{words}: within 1", within_1(rows), LEAST_WITHIN_1, WITHIN_GOAL)
    for age in (*YOUNG, *OLD):
        rows = [one for one in outcomes if one.age == age]
        words = f"{NAME}: {difficulty} noise, age {age}: {told(rows)}"
        yield _result(f"{words}: exact", exact_of_all(rows), LEAST_EXACT, EXACT_GOAL)


def exact_of_all(rows):
    """Return in percent how many counts are right; "cannot tell" is none."""
    return percent(sum(one.answered and one.off_by == 0 for one in rows), len(rows))


def within_1(rows):
    """Return in percent how many answers are at most one off."""
    answered = [one for one in rows if one.answered]
    return percent(sum(one.off_by <= 1 for one in answered), len(answered))


def told(rows):
    """Say what became of otoliths, in counts."""
    answered = [one for one in rows if one.answered]
    exact = sum(one.off_by == 0 for one in answered)
    within = sum(one.off_by <= 1 for one in answered)
    annuli, found = sum(one.age for one in answered), sum(one.found for one in answered)
    false = sum(one.suggested - one.found for one in answered)
    return (
        f"{len(rows)} otoliths, {len(answered)} answered, {len(rows) - len(answered)} cannot tell; "
        f"{exact} exact, {within} within 1; {found} of {annuli} annuli found, {false} false"
    )


def percent(part, whole):
    return 100 * part / max(whole, 1)


def _result(name, ours, floor, goal):
    return BenchmarkResult(name, ours, floor, "%", goal, met=ours >= floor)
