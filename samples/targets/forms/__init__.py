"""What is chosen and typed on the pages of targets and coverage."""

from samples.targets.forms.budget import BudgetForm
from samples.targets.forms.by_rule import RulesForm, has_rules
from samples.targets.forms.filters import CoverageFilters, Filters, FishFilters, LengthFilters
from samples.targets.forms.table import MOST_WANTED, PartsTable, TargetRange, TargetsTable
from samples.targets.forms.worth import WorthFilters

__all__ = [
    "MOST_WANTED",
    "BudgetForm",
    "CoverageFilters",
    "Filters",
    "FishFilters",
    "LengthFilters",
    "PartsTable",
    "RulesForm",
    "TargetRange",
    "TargetsTable",
    "WorthFilters",
    "has_rules",
]
