"""The page: words first, figures second, what it rests on third."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Asks, Topic

TOPIC = Topic(
    package=__name__,
    slug="length-limit",
    title="Length limit",
    place=90,
    guess=(1.0, 250),
    asks=Asks.LIMITS,
    reads=frozenset({Part.ENTERED}),
)
