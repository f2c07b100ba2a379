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

# In the order of the tabs; the address, what the tab says, and who makes the page.
TOPICS: dict[str, tuple[str, Topic]] = {
    "length-at-age": ("Length at age", length_at_age.topic),
    "ages": ("Age-length key", key.topic),
    "growth": ("Growth", growth.topic),
    "readers": ("Reader agreement", agreement.topic),
    "deaths": ("Mortality", mortality.topic),
    "year-classes": ("Year classes", year_classes.topic),
    "sizes": ("Size structure", sizes.topic),
    "by-year": ("Growth by calendar year", rings.topic),
    "length-limit": ("Length limit", limit.topic),
    "edge": ("Edge analysis", edge.topic),
}
# Of the chosen species and all its fish together, whatever is set side by side elsewhere.
TAKEN_TOGETHER = {"readers", "year-classes", "by-year", "edge"}
# Told over seasons: all that have begun, unless others are chosen.
OVER_SEASONS = {"growth", "deaths", "year-classes", "edge"}
# Asked about limits too, with a form of their own.
ABOUT_LIMITS = {"length-limit", "length-limit-public"}
# Every page by its address: those of the tabs, and the one to print for the public.
PAGES: dict[str, Topic] = {name: made for name, (_, made) in TOPICS.items()} | {
    "length-limit-public": limit.public
}
# What is read for a page beside its sample. What is not named here is not there to be asked for.
READS: dict[str, frozenset[Part]] = dict.fromkeys(PAGES, frozenset()) | {
    "ages": frozenset({Part.PAIRS, Part.AGREED}),
    "readers": frozenset({Part.PAIRS}),
    "deaths": frozenset({Part.ENTERED}),
    "year-classes": frozenset({Part.PAIRS}),
    "by-year": frozenset({Part.RINGS}),
    "length-limit": frozenset({Part.ENTERED, Part.SEASON_OF_CATCH}),
    "length-limit-public": frozenset({Part.ENTERED, Part.SEASON_OF_CATCH}),
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
