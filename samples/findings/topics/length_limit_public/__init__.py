"""One page for the public: why there is no length limit here, or why there is."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Asks, Topic

TOPIC = Topic(
    package=__name__,
    slug="length-limit-public",
    title="Length limit",
    place=110,
    guess=(0.5, 100),
    asks=Asks.LIMITS,
    reads=frozenset({Part.ENTERED}),
    public_of="length-limit",
)
