"""Cells in the order of what one more fish of each is worth, with the reason in a sentence."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from samples.science.arguments import Floats
from samples.targets.presenters.still_needed import chance_text
from samples.targets.presenters.worth.study import Study
from samples.targets.rules import Need

# Two ages overlap in a bin where the second has at least this share of its fish.
OVERLAP = 0.25
# A bin is of one age, for this purpose, where that age has at least this share of its fish.
MOSTLY = 0.85
# A length is common in an arm where one fish in so many is of it.
COMMON = 20


class Reason(StrEnum):
    """Why one more fish of a cell is worth what it is."""

    NOT_THERE = "not_there"
    CLOSED = "closed"
    NONE_AGED = "none_aged"
    OVERLAP = "overlap"
    FEW_AGED = "few_aged"
    ONE_AGE = "one_age"
    RARE = "rare"


@dataclass(frozen=True, slots=True)
class WorthRow:
    """One cell: what one more fish takes off, in percent, and what the plan asks for.

    ``same_trip`` is what it takes off where it comes from the trip that brought most already.
    ``short`` is none where the arm has no minimum for the bin.
    """

    arm: str
    bin: str
    worth: float
    same_trip: float
    bar: int
    aged: int
    in_hand: int
    short: int | None
    read: int
    collect: int
    chance: str
    reason: Reason
    why: str

    @property
    def is_asked(self) -> bool:
        return self.reason not in {Reason.NOT_THERE, Reason.CLOSED}


def cell_rows(
    study: Study,
    more: Floats | np.ndarray,
    needs: Mapping[tuple[int, int], Need],
    *,
    lengths_weight: float,
    bar: int,
    limit_weight: float = 0.0,
) -> list[WorthRow]:
    """Return a row for each cell with measured fish, the most worth first.

    Cells that the arm hardly has come last: what one more would be worth there is no matter.

    :param needs: arm minimums, by key of the arm and number of the bin
    :param bar: length of the bar of the first row
    """
    weights = {"lengths_weight": lengths_weight, "limit_weight": limit_weight}
    new = study.worth.taken_off(study.from_new_trip, **weights)
    same = study.worth.taken_off(study.from_same_trip, **weights)
    rows = [
        _row(study, more, needs, (row, column), float(new[row, column]), float(same[row, column]))
        for row in range(len(study.arms))
        for column in range(len(study.columns))
        if study.of_length[row, column] or study.in_hand[row, column]
    ]
    rows.sort(key=lambda one: (not one.is_asked, -one.worth))
    most = max((one.worth for one in rows if one.is_asked), default=0.0)
    return [_with_bar(one, bar, most) for one in rows]


def _row(
    study: Study,
    more: Floats | np.ndarray,
    needs: Mapping[tuple[int, int], Need],
    cell: tuple[int, int],
    worth: float,
    same: float,
) -> WorthRow:
    row, column = cell
    arm, length_bin = study.arms[row], study.columns[column]
    aged = int(study.counts[row, column].sum())
    in_hand = int(study.in_hand[row, column])
    read = int(more[row, column])
    need = needs.get((arm.pk, length_bin.place))
    reason, why = _reason(study, row, column, aged)
    return WorthRow(
        arm=arm.name,
        bin=length_bin.name,
        worth=100 * worth,
        same_trip=100 * min(same, worth),
        bar=0,
        aged=aged,
        in_hand=in_hand,
        short=need.short if need else None,
        read=read,
        collect=max(0, read - in_hand),
        chance=chance_text(int(study.of_length[row, column]), int(study.of_length[row].sum())),
        reason=reason,
        why=why,
    )


def _with_bar(row: WorthRow, bar: int, most: float) -> WorthRow:
    length = round(bar * row.worth / most) if most and row.is_asked else 0
    return replace(row, bar=length)


def _reason(study: Study, row: int, column: int, aged: int) -> tuple[Reason, str]:
    """Say what makes the cell worth much or little, in a sentence."""
    sample = study.sample(row, column)
    if study.closed and not study.in_hand[row, column]:
        return Reason.CLOSED, f"{aged} aged, none in hand" if aged else "None aged or in hand"
    if not study.can_be_had[row, column]:
        return Reason.NOT_THERE, f"Not asked: {sample.this_long} of {sample.measured} are this long"
    if not aged:
        return Reason.NONE_AGED, "None aged"
    here = int(study.of_length[row, column])
    shares = study.survey.shares[row, column]
    common = np.argsort(-shares)[:2]
    ages = [int(age) for age in study.survey.ages[common]]
    if shares[common[-1]] >= OVERLAP and len(ages) > 1:
        young, old = sorted(ages)
        return Reason.OVERLAP, f"Ages {young} and {old} overlap; {aged} aged"
    if here * COMMON < sample.measured:
        return Reason.RARE, f"Few fish are this long; {aged} aged"
    if shares[common[0]] >= MOSTLY:
        return Reason.ONE_AGE, f"Mostly age {ages[0]}; {aged} aged"
    return Reason.FEW_AGED, f"{aged} aged of {here} measured"
