"""Year classes: which are strong or weak over the seasons, and who makes up a season's fish."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Asks, Topic

TOPIC = Topic(
    package=__name__,
    slug="year-classes",
    title="Year classes",
    place=60,
    guess=(0.15, 110),
    asks=Asks.ALL_SEASONS,
    reads=frozenset({Part.PAIRS}),
    is_of_one_species=True,
)
