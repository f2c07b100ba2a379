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
from samples.findings.queries.readings import (
    METHODS,
    Margins,
    Pair,
    Rings,
)
from samples.findings.queries.sample import (
    BY_SIZE,
    KEPT_BY_ANGLERS,
    NETS,
    NO_AGE,
    PICKED,
    LargeShare,
    Sample,
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
    "BY_SIZE",
    "GROUP",
    "KEPT_BY_ANGLERS",
    "METHODS",
    "NETS",
    "NO_AGE",
    "PICKED",
    "SEXES",
    "SINGLE",
    "TOGETHER",
    "FindingsOptions",
    "FindingsSelection",
    "LargeShare",
    "Loaded",
    "Margins",
    "Pair",
    "Rings",
    "Sample",
    "calendar_of",
    "count",
    "donor_names",
    "large_share",
    "load",
    "load_parts",
    "options_of",
    "snapshot",
]
