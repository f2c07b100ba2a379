"""Edge analysis: in which month annuli form here, by the margins of otoliths."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Asks, Topic

TOPIC = Topic(
    package=__name__,
    slug="edge",
    title="Edge analysis",
    place=100,
    guess=(0.02, 6),
    asks=Asks.ALL_SEASONS,
    reads=frozenset({Part.MARGINS}),
    is_of_one_species=True,
)
