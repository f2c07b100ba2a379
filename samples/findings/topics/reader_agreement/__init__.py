"""How far readers, and ways of reading, agree."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Topic

TOPIC = Topic(
    package=__name__,
    slug="readers",
    title="Reader agreement",
    place=40,
    guess=(0.03, 16),
    reads=frozenset({Part.PAIRS}),
    is_of_one_species=True,
)
