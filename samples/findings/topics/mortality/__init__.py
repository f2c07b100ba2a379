"""Total mortality from the ages of the measured fish, and what it leaves to fishing."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Asks, Topic

TOPIC = Topic(
    package=__name__,
    slug="deaths",
    title="Mortality",
    place=50,
    guess=(0.15, 80),
    asks=Asks.ALL_SEASONS,
    reads=frozenset({Part.ENTERED}),
)
