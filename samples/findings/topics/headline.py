"""The finding in a line, which heads its page: what differs between the groups, and how far."""

from collections.abc import Mapping

from samples.findings.page_model import End, Interval
from samples.findings.queries import GROUP, SEXES
from samples.findings.topics.query import TopicQuery


def in_group(query: TopicQuery, name: str) -> str:
    """Write where something is so: in an arm, in fish of a sex, in a species, in all arms."""
    if query.choice.compare == SEXES:
        return f"in {name.lower()} fish"
    if query.choice.compare == GROUP or name == "All arms":
        return f"in {name.lower()}"
    return f"in {name}"


def extremes(of_group: Mapping[str, float]) -> tuple[str, str]:
    """Return the groups of the highest and of the lowest value."""
    highest = max(of_group, key=lambda name: of_group[name])
    lowest = min(of_group, key=lambda name: of_group[name])
    return highest, lowest


def in_brackets(low: End, high: End) -> str:
    """Write an interval of one decimal behind its value; one that is open in words."""
    if isinstance(low, float) and isinstance(high, float):
        return f"({low:.1f}-{high:.1f})"
    return f"({Interval(low, high).text})"
