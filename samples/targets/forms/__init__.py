"""What is chosen and typed on the pages of targets and coverage."""

from samples.targets.forms.filters import CoverageFilters, Filters, FishFilters, LengthFilters
from samples.targets.forms.table import MOST_WANTED, TargetRange, TargetsTable
from samples.targets.forms.worth import WorthFilters

__all__ = [
    "MOST_WANTED",
    "CoverageFilters",
    "Filters",
    "FishFilters",
    "LengthFilters",
    "TargetRange",
    "TargetsTable",
    "WorthFilters",
]
