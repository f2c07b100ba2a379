"""Pages of coverage: what is short, its fish, the targets, and what one more fish is worth."""

from samples.targets.views.coverage_page import (
    coverage,
    coverage_csv,
    fish,
    fish_csv,
    fish_xlsx,
    needed,
)
from samples.targets.views.targets_page import targets
from samples.targets.views.worth_door import worth

__all__ = [
    "coverage",
    "coverage_csv",
    "fish",
    "fish_csv",
    "fish_xlsx",
    "needed",
    "targets",
    "worth",
]
