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
    method=(
        "Margin codes of otoliths by month of capture show when annuli form (Campana 2001). "
        "Edge analysis supports the aging rule; it does not validate ages."
    ),
    sources=("Campana, S. E. 2001. Journal of Fish Biology 59:197-242.",),
)
