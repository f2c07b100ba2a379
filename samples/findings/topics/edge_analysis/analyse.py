"""Otoliths by month and age group, and the month in which annuli form."""

from dataclasses import dataclass

import numpy as np

from samples.findings.sample import Margins
from samples.science.edge import (
    EdgeOfMonth,
    FormationWindow,
    edge_by_month,
    formation_window,
    month_of_formation,
)
from samples.science.errors import CannotEstimate

# Otoliths of a month and age group below which nothing is said of it.
FEWEST_A_MONTH = 15
# Otoliths of two annuli stand apart from those of more; of one there is nothing to compare.
YOUNG = 2


@dataclass(frozen=True, slots=True)
class AgeGroup:
    """Otoliths of one age group by month; the month of formation where one stands out, and
    the months about it in which annuli form.
    """

    is_young: bool
    months: list[EdgeOfMonth]
    formed_in: EdgeOfMonth | None
    window: FormationWindow | None

    @property
    def n(self) -> int:
        return sum(one.n for one in self.months)

    @property
    def told(self) -> list[int]:
        """Return the months of which there are enough otoliths."""
        return [one.month for one in self.months if one.n >= FEWEST_A_MONTH]


def analyse(margins: Margins) -> list[AgeGroup]:
    """Count margins by month, young fish apart from older ones; a group of none is left out."""
    annuli = np.array(margins.annuli, dtype=np.int64)
    months, codes = np.array(margins.month), np.array(margins.code)
    found = []
    for is_young, mask in ((True, annuli == YOUNG), (False, annuli > YOUNG)):
        try:
            by_month = edge_by_month(months[mask].tolist(), codes[mask].tolist())
        except CannotEstimate:
            continue
        window = formation_window(by_month, fewest=FEWEST_A_MONTH)
        found.append(AgeGroup(is_young, by_month, _formed_in(by_month), window))
    return found


def window_of(groups: list[AgeGroup]) -> FormationWindow | None:
    """Return the months in which annuli form in any age group.

    None where either group shows no such months, or where they cross New Year: ages turn then.
    """
    windows = [one.window for one in groups if one.window is not None]
    if len(windows) < 2 or any(one.first > one.last for one in windows):
        return None
    missing = sorted({month for one in windows for month in one.missing})
    return FormationWindow(
        min(one.first for one in windows), max(one.last for one in windows), tuple(missing)
    )


def _formed_in(months: list[EdgeOfMonth]) -> EdgeOfMonth | None:
    month = month_of_formation(months, fewest=FEWEST_A_MONTH)
    return next((one for one in months if one.month == month), None)


def count_too_young(margins: Margins) -> int:
    """Count fish with no earlier increment to compare the margin with."""
    return sum(one < YOUNG for one in margins.annuli)
