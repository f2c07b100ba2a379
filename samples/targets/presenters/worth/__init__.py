"""What one more aged fish of each cell is worth, and what so many more would tell."""

from samples.targets.presenters.worth.cells import Reason, cell_rows
from samples.targets.presenters.worth.limit import LimitStudy, with_limit
from samples.targets.presenters.worth.study import Study, study_of
from samples.targets.presenters.worth.what_if import divided, what_if

__all__ = [
    "LimitStudy",
    "Reason",
    "Study",
    "cell_rows",
    "divided",
    "study_of",
    "what_if",
    "with_limit",
]
