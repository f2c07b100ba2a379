"""Catch per net night by arm and season, from the lake's own net sets."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Asks, Topic

TOPIC = Topic(
    package=__name__,
    slug="net-catch",
    title="Net catch",
    place=75,
    guess=(0.05, 2),
    asks=Asks.ALL_SEASONS,
    reads=frozenset({Part.NET_SETS}),
    is_of_one_species=True,
)
