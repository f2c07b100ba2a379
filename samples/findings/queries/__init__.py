"""Fish of a choice as arrays, readings of readers side by side, figures from elsewhere."""

from samples.findings.queries.choice import (
    AGREED,
    ALL,
    ARMS,
    GROUP,
    SEXES,
    SINGLE,
    TOGETHER,
    FindingsOptions,
    FindingsSelection,
    options_of,
)
from samples.findings.queries.loaded import Loaded, load_parts
from samples.findings.queries.sample import (
    LargeShare,
    calendar_of,
    count,
    donor_names,
    large_share,
    load,
)
from samples.findings.queries.snapshot import snapshot

__all__ = [
    "AGREED",
    "ALL",
    "ARMS",
    "GROUP",
    "SEXES",
    "SINGLE",
    "TOGETHER",
    "FindingsOptions",
    "FindingsSelection",
    "LargeShare",
    "Loaded",
    "calendar_of",
    "count",
    "donor_names",
    "large_share",
    "load",
    "load_parts",
    "options_of",
    "snapshot",
]
