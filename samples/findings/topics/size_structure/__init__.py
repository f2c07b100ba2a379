"""Size structure from nets, length frequencies by way of capture, and condition."""

from samples.findings.topics.topic import Topic

TOPIC = Topic(
    package=__name__,
    slug="sizes",
    title="Size structure",
    place=70,
    guess=(0.02, 9),
)
