"""Net sets: catch per unit of effort, and how many sets a wanted catch takes."""

from samples.science.net_catch.effort import CatchPerEffort, catch_per_effort
from samples.science.net_catch.plan import (
    FEWEST_TO_RESAMPLE,
    SetsNeeded,
    clumping_likelihood,
    sets_needed,
)

__all__ = [
    "FEWEST_TO_RESAMPLE",
    "CatchPerEffort",
    "SetsNeeded",
    "catch_per_effort",
    "clumping_likelihood",
    "sets_needed",
]
