"""Measured fish by arm and method against the lengths of aged fish."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Topic

TOPIC = Topic(
    package=__name__,
    slug="length-samples",
    title="Length samples",
    place=77,
    guess=(0.03, 4),
    reads=frozenset({Part.COUNTED}),
    is_of_one_species=True,
)
