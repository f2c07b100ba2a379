"""Fish of a choice as arrays, readings of readers side by side, figures from elsewhere."""

from samples.findings.queries.choice import (
    AGREED,
    ALL,
    ARMS,
    GROUP,
    SEXES,
    SINGLE,
    TOGETHER,
    Choice,
    Options,
    options_of,
)
from samples.findings.queries.readings import Pair, Rings, pairs_of, rings_of
from samples.findings.queries.sample import (
    KEPT_BY_ANGLERS,
    NETS,
    NO_AGE,
    PICKED,
    LargeShare,
    Sample,
    calendar_of,
    fingerprint,
    large_share,
    load,
)

__all__ = [
    "AGREED",
    "ALL",
    "ARMS",
    "GROUP",
    "KEPT_BY_ANGLERS",
    "NETS",
    "NO_AGE",
    "PICKED",
    "SEXES",
    "SINGLE",
    "TOGETHER",
    "Choice",
    "LargeShare",
    "Options",
    "Pair",
    "Rings",
    "Sample",
    "calendar_of",
    "fingerprint",
    "large_share",
    "load",
    "options_of",
    "pairs_of",
    "rings_of",
]
