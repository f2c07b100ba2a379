"""The findings, one a folder: each turns a sample into a page of words, figures and tables.

A folder with a ``TOPIC`` is a topic; nothing else names it.
"""

from importlib import import_module
from pkgutil import iter_modules

from samples.findings.topics.topic import Asks, Topic


def _find_topics() -> dict[str, Topic]:
    folders = [module.name for module in iter_modules(__path__) if module.ispkg]
    found: list[Topic] = [import_module(f"{__name__}.{name}").TOPIC for name in folders]
    return {topic.slug: topic for topic in sorted(found, key=lambda topic: topic.place)}


# Every page by its address, and those of them that are offered, in order.
TOPICS = _find_topics()
OFFERED = {slug: topic for slug, topic in TOPICS.items() if not topic.public_of}


def public_version(slug: str) -> Topic | None:
    """Return the version of a topic for the public, if it has one."""
    return next((topic for topic in TOPICS.values() if topic.public_of == slug), None)


def poster_topic() -> Topic:
    """Return the topic whose figure stands on the page for anglers."""
    return next(topic for topic in OFFERED.values() if topic.on_poster)


__all__ = ["OFFERED", "TOPICS", "Asks", "Topic", "poster_topic", "public_version"]
