"""Growth curves side by side over the seasons, their intervals, and how groups differ."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Asks, Topic

TOPIC = Topic(
    package=__name__,
    slug="growth",
    title="Growth",
    place=30,
    guess=(0.15, 75),
    asks=Asks.ALL_SEASONS,
    reads=frozenset({Part.ENTERED}),
    more_filters=("true_ages",),
)
