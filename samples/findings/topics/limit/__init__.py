"""Would a minimum length limit help here: answered arm by arm, from the lake's own fish."""

from samples.findings.topics.limit.page import topic
from samples.findings.topics.limit.public import public

__all__ = ["public", "topic"]
