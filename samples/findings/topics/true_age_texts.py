"""What a page says of true ages: what drawing them back changes, and what it cannot mend."""

import numpy as np

from samples.findings.page_model import Sentence
from samples.findings.sample import Sample
from samples.findings.topics.ageing_error import PRECISION_ONLY
from samples.findings.topics.query import TopicQuery
from samples.findings.topics.reading_error import reading_error_of
from samples.science.age_length_key import AgeStructure
from samples.science.ageing_error import FEWEST_PAIRS, ReadingError

FEWEST_OF_AGE = 10


def error_wanted(query: TopicQuery) -> ReadingError | None:
    """Return the ageing error where true ages are asked for and enough fish were read twice."""
    return reading_error_of(query.loaded.pairs) if query.choice.true_ages else None


def refusal(query: TopicQuery) -> list[Sentence]:
    """Return why ages are as read where true ages are asked for."""
    if not query.choice.true_ages:
        return []
    words = (
        f"True ages need {FEWEST_PAIRS} fish read by two readers, not all of them age 0. Ages are "
        "as read. Have more otoliths read a second time."
    )
    return [Sentence("true_ages_few_pairs", words)]


def shares_text(
    error: ReadingError, before: dict[str, AgeStructure], after: dict[str, AgeStructure]
) -> list[Sentence]:
    """Return the share of an age that changes most, of all groups, and the limits of it."""
    changes = [
        (name, int(age), float(before[name].shares[before[name].ages == age].sum()), float(share))
        for name, structure in after.items()
        if name in before
        for age, share in zip(structure.ages, structure.shares, strict=True)
    ]
    name, age, old, new = max(changes, key=lambda one: abs(one[3] - one[2]))
    words = f"{name}, age {age}, {100 * old:.1f}% as read, {100 * new:.1f}% here"
    return _told(error, f"Largest change: {words}", "The 95% CI holds trips, fish and the CV.")


def lengths_text(query: TopicQuery, error: ReadingError, drawn: Sample) -> list[Sentence]:
    """Return the mean length at age that changes most, and the limits of it."""
    before, after = _means(query.sample), _means(drawn)
    changes = [(age, before[age], after[age]) for age in before.keys() & after.keys()]
    words = "No age has enough fish to compare means"
    if changes:
        age, old, new = max(changes, key=lambda one: (abs(one[2] - one[1]), -one[0]))
        lengths = f"{query.length(old)} as read, {query.with_unit(new)} here"
        words = f"Largest change in mean length, all groups: age {age}, {lengths}"
    limit = "One true age is drawn for each fish, and the 95% CI takes it as known."
    return _told(error, words, limit)


def _told(error: ReadingError, change: str, limit: str) -> list[Sentence]:
    cv = f"CV of one reading {100 * error.cv:.1f}%, {error.pairs} fish read twice"
    return [
        Sentence("true_ages", f"True ages drawn back from the ages read ({cv}). {change}."),
        Sentence("true_ages_limits", f"{PRECISION_ONLY} {limit} Imported ages stay as they are."),
    ]


def _means(sample: Sample) -> dict[int, float]:
    """Return the plain mean length, mm, of each age with enough fish."""
    aged = sample.where(sample.aged)
    ages, counts = np.unique(aged.age, return_counts=True)
    return {
        int(age): float(aged.length_mm[aged.age == age].mean())
        for age in ages[counts >= FEWEST_OF_AGE]
    }
