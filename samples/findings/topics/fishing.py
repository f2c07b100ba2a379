"""Fishing beside total and natural mortality: what Z leaves to it, and what tags say of it."""

import numpy as np

from samples.findings.entered import NaturalInput, TagInput
from samples.findings.sample import Floats
from samples.findings.topics.died import Died
from samples.findings.topics.study import Study
from samples.science.errors import CannotEstimate
from samples.science.length_limit.inputs import Tags, natural_from_shares, taken_by_tags
from samples.science.tags import FishingCompared, compare_fishing


def m_of(share: float) -> float:
    """Return M, per year, of the share that dies of natural causes in a year."""
    return -float(np.log1p(-share))


def fishing_by_difference(total: Died, entered: NaturalInput) -> float:
    """Return F = Z - M of the estimates themselves, as every page gives it."""
    return total.curve.z - m_of(entered.middle)


def draw_natural(study: Study, entered: NaturalInput, draws: int) -> Floats:
    """Draw M within the range that was entered."""
    return natural_from_shares(
        study.rng, draws, least=entered.least, middle=entered.middle, most=entered.most
    )


def tags_of(row: TagInput) -> Tags:
    """Return the tags of one season as the estimators take them."""
    return Tags(
        row.tags_out,
        row.returned,
        row.reporting_least,
        row.reporting_most,
        row.tags_kept,
        row.survived_tagging,
        row.returned_released,
        row.high_reward_out,
        row.high_reward_returned,
    )


def compare_ways(
    study: Study, natural: Floats, total: Died, rows: list[TagInput]
) -> FishingCompared | None:
    """Set F by tags beside F = Z - M; nothing where either cannot be drawn."""
    rng = study.rng
    try:
        taken = taken_by_tags(rng, natural.size, [tags_of(one) for one in rows])
        return compare_fishing(rng.choice(total.drawn, natural.size), natural, taken)
    except CannotEstimate:
        return None
