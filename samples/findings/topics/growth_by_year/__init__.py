"""Growth by calendar year, from measured rings: a flood or a drought shows."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Topic

TOPIC = Topic(
    package=__name__,
    slug="by-year",
    title="Growth by calendar year",
    place=80,
    guess=(0.02, 14),
    reads=frozenset({Part.RINGS}),
    is_of_one_species=True,
    more_filters=("intercept",),
)
