"""What one more aged fish of each cell is worth, and what so many more would tell."""

from samples.targets.presenters.worth.cells import NoWorth, Reason, WorthRow, cell_rows
from samples.targets.presenters.worth.study import Study, study_of
from samples.targets.presenters.worth.what_if import ArmLine, WhatIf, divided, what_if

__all__ = [
    "ArmLine",
    "NoWorth",
    "Reason",
    "Study",
    "WhatIf",
    "WorthRow",
    "cell_rows",
    "divided",
    "study_of",
    "what_if",
]
