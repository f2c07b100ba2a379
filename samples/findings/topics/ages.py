"""Where the ages of a page come from: structure, rule, and what whole years blur."""

from collections import Counter

import numpy as np

from samples.findings.page_model import Sentence
from samples.findings.sample import KEPT_BY_ANGLERS, Sample
from samples.findings.topics.query import TopicQuery

OTOLITH = "otolith"
STRUCTURES = {OTOLITH: "otoliths"}


def ages_text(sample: Sample) -> str:
    """Return what the ages were read from, and that the January 1 rule made them where it did."""
    aged = sample.where(sample.aged)
    kinds = Counter(zip(aged.structure, aged.as_given, strict=True))
    if not kinds:
        return ""
    said = []
    for (structure, as_given), count in sorted(kinds.items(), key=lambda one: -one[1]):
        named = STRUCTURES.get(structure, structure)
        words = f"{named}, as given" if as_given else f"{named}, by the January 1 rule"
        said.append(words if len(kinds) == 1 else f"{words} ({count:,} fish)")
    return f"Ages from {'; '.join(said)}."


def whole_years_warning(sample: Sample) -> list[Sentence]:
    """Return what age in whole years blurs, where most fish have no catch date."""
    if not sample.whole_years:
        return []
    return [
        Sentence(
            "whole_years",
            "Most aged fish have no catch date, so ages are whole years. Fish caught in spring and "
            "in fall count as one age: the curve may be off by up to one growing season, and "
            "lengths at one age spread more.",
        )
    ]


def mixed_warnings(query: TopicQuery) -> list[Sentence]:
    """Return where the ages of one key are of fish that differ by season or way of capture."""
    said = []
    if len(query.choice.seasons) > 1:
        words = "A key holds for one season: seasons pooled mix year classes. Choose one season."
        said.append(Sentence("seasons_mixed", words))
    clocks = query.sample.clock - np.floor(query.sample.clock)
    growing = np.isfinite(clocks) & (clocks > 0) & (clocks < 1)
    if np.any(growing) and np.any(np.isfinite(clocks) & ~growing):
        words = (
            "Fish caught while they grow and fish caught in winter are in one key: a length then "
            "means another age. Choose methods or seasons of one phase of growth."
        )
        said.append(Sentence("growing_and_winter", words))
    kept = np.mean([method in KEPT_BY_ANGLERS for method in query.sample.method] or [False])
    if kept > 0.5:
        words = (
            "Most of the measured fish were kept by anglers: these are the ages of the harvest, "
            "not of the fish in the lake."
        )
        said.append(Sentence("ages_of_harvest", words))
    return said
