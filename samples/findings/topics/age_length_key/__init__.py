"""Age-length key: which ages fish of a length have, and what ages the measured fish are."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Topic

TOPIC = Topic(
    package=__name__,
    slug="ages",
    title="Age-length key",
    place=20,
    guess=(0.05, 80),
    reads=frozenset({Part.PAIRS}),
    more_filters=("true_ages",),
)
