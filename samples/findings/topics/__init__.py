"""The findings, one a module: each turns a sample into a page of words, figures and tables."""

from collections.abc import Callable

from samples.findings.page_model import Page
from samples.findings.queries import Part
from samples.findings.topics import (
    agreement,
    edge,
    growth,
    key,
    length_at_age,
    limit,
    mortality,
    rings,
    sizes,
    year_classes,
)
from samples.findings.topics.query import TopicQuery

Topic = Callable[[TopicQuery], Page]

# By address, as in TOPIC_LABELS: who makes the page.
TOPICS: dict[str, Topic] = {
    "length-at-age": length_at_age.topic,
    "ages": key.topic,
    "growth": growth.topic,
    "readers": agreement.topic,
    "deaths": mortality.topic,
    "year-classes": year_classes.topic,
    "sizes": sizes.topic,
    "by-year": rings.topic,
    "length-limit": limit.topic,
    "edge": edge.topic,
}
# Of the chosen species and all its fish together, whatever is set side by side elsewhere.
TAKEN_TOGETHER = {"readers", "year-classes", "by-year", "edge"}
# Told over seasons: all that have begun, unless others are chosen.
OVER_SEASONS = {"growth", "deaths", "year-classes", "edge"}
# Asked about limits too, with a form of their own.
ABOUT_LIMITS = {"length-limit", "length-limit-public"}
# Every page by its address: those offered, and the one to print for the public.
PAGES: dict[str, Topic] = TOPICS | {"length-limit-public": limit.public}
# What is read for a page beside its sample. What is not named here is not there to be asked for.
READS: dict[str, frozenset[Part]] = dict.fromkeys(PAGES, frozenset()) | {
    "ages": frozenset({Part.PAIRS}),
    "growth": frozenset({Part.ENTERED}),
    "readers": frozenset({Part.PAIRS}),
    "deaths": frozenset({Part.ENTERED}),
    "year-classes": frozenset({Part.PAIRS}),
    "by-year": frozenset({Part.RINGS}),
    "length-limit": frozenset({Part.ENTERED}),
    "length-limit-public": frozenset({Part.ENTERED}),
    "edge": frozenset({Part.MARGINS}),
}

__all__ = [
    "ABOUT_LIMITS",
    "OVER_SEASONS",
    "PAGES",
    "READS",
    "TAKEN_TOGETHER",
    "TOPICS",
    "Topic",
    "TopicQuery",
]
