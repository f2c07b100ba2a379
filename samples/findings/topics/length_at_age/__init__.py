"""Mean length at age, weighted by measured fish where aged ones were picked by length."""

from samples.findings.topics.topic import Topic

TOPIC = Topic(
    package=__name__,
    slug="length-at-age",
    title="Length at age",
    place=10,
    guess=(0.02, 6),
)
