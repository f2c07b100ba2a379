"""What a topic may read beside the fish of a choice."""

from enum import StrEnum


class Part(StrEnum):
    """Something that a topic reads: it names its parts, and no other is read for it."""

    PAIRS = "pairs"
    MARGINS = "margins"
    RINGS = "rings"
    ENTERED = "entered"
    NET_SETS = "net_sets"
    COUNTED = "counted"
