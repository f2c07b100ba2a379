"""Where each label of a run lies: place after place, sheet after sheet."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from samples.vials.geometry.stock import SLACK_MM, CannotPrint, LabelStock


class OffTheSheet(CannotPrint):
    """A label would leave its sheet, or the sheet has no such place, or it is used."""

    code = "off_the_sheet"


@dataclass(frozen=True, slots=True)
class Nudge:
    """What one printer is off by; right and down are positive.

    The scale stretches the distances between labels, never the labels themselves: the
    modules of a symbol must stay whole printer dots.
    """

    right_mm: float = 0.0
    down_mm: float = 0.0
    scale_across: float = 1.0
    scale_down: float = 1.0


NO_NUDGE = Nudge()


@dataclass(frozen=True, slots=True)
class Filling:
    """How sheets are filled: `used` are the places of the first sheet that are gone.

    Twins are two labels of one number side by side, or one below the other where labels run
    down: for a vial and its cap, or a vial and its envelope.
    """

    used: frozenset[int] = frozenset()
    runs_down: bool = False
    twins: bool = False

    @property
    def copies(self) -> int:
        return 2 if self.twins else 1


FULL_SHEETS = Filling()


@dataclass(frozen=True, slots=True)
class LabelPlace:
    """One label's top left corner. Pages, columns, rows and positions count from 1."""

    page: int
    column: int
    row: int
    position: int
    x_mm: float
    y_mm: float


def positions_in_order(stock: LabelStock, *, runs_down: bool) -> list[int]:
    """Return the positions of a sheet in the order they are filled; each row is counted across."""
    if not runs_down:
        return list(range(1, stock.per_page + 1))
    return [
        row * stock.columns + column + 1
        for column in range(stock.columns)
        for row in range(stock.rows)
    ]


def positions_before(stock: LabelStock, first_position: int, *, runs_down: bool) -> frozenset[int]:
    """Return the positions that come before one on a sheet: those taken to be used.

    :raises OffTheSheet: if the sheet has no such position
    """
    _check_position(stock, first_position)
    order = positions_in_order(stock, runs_down=runs_down)
    return frozenset(order[: order.index(first_position)])


def places(
    stock: LabelStock,
    first_position: int = 1,
    nudge: Nudge = NO_NUDGE,
    filling: Filling = FULL_SHEETS,
) -> Iterator[LabelPlace]:
    """Return the free places from `first_position`, sheet after sheet, without end.

    Twins come in pairs that lie side by side; a place with no free neighbor is passed over.

    :raises OffTheSheet: if the sheet has no such position, or a label would leave it
    """
    _check_position(stock, first_position)
    if first_position in filling.used:
        raise OffTheSheet(
            f"Position {first_position} of the part-used sheet is used. "
            f"{_free_position(stock, filling)}"
        )
    order = positions_in_order(stock, runs_down=filling.runs_down)
    rest = order[order.index(first_position) :]
    first_sheet = [position for position in rest if position not in filling.used]
    # On a roll the twin is the next label.
    if filling.twins and stock.per_page > 1:
        first_sheet, order = (
            _pairs(stock, sheet, runs_down=filling.runs_down) for sheet in (first_sheet, order)
        )
        _check_pairs(first_sheet, order, filling)
    for page, sheet in enumerate(itertools.chain([first_sheet], itertools.repeat(order)), 1):
        for position in sheet:
            placed = _place_at(stock, page, position, nudge)
            _check_on_sheet(stock, placed)
            yield placed


def place(
    stock: LabelStock,
    count: int,
    first_position: int = 1,
    nudge: Nudge = NO_NUDGE,
    filling: Filling = FULL_SHEETS,
) -> list[LabelPlace]:
    """Place `count` labels, the first at `first_position` of a part-used sheet.

    Of twins both are returned, one after the other.

    :raises OffTheSheet: if the sheet has no such position, or a label would leave it
    """
    found = places(stock, first_position, nudge, filling)
    return list(itertools.islice(found, count * filling.copies))


def used_after(
    stock: LabelStock, placed: Iterable[LabelPlace], used_before: frozenset[int]
) -> frozenset[int]:
    """Return the used positions of the last sheet once `placed` are printed; none if it is full."""
    last_page, used = 1, set(used_before)
    for one in placed:
        if one.page != last_page:
            last_page, used = one.page, set()
        used.add(one.position)
    return frozenset() if len(used) >= stock.per_page else frozenset(used)


def _place_at(stock: LabelStock, page: int, position: int, nudge: Nudge) -> LabelPlace:
    row, column = divmod(position - 1, stock.columns)
    return LabelPlace(
        page=page,
        column=column + 1,
        row=row + 1,
        position=position,
        x_mm=nudge.right_mm + nudge.scale_across * (stock.left_mm + column * stock.pitch_across_mm),
        y_mm=nudge.down_mm + nudge.scale_down * (stock.top_mm + row * stock.pitch_down_mm),
    )


def _pairs(stock: LabelStock, positions: list[int], *, runs_down: bool) -> list[int]:
    """Leave of free positions, in their order, those that have a free neighbor to pair with."""
    step = stock.columns if runs_down else 1
    paired: list[int] = []
    waiting: int | None = None
    for position in positions:
        if (
            waiting is not None
            and position == waiting + step
            and _same_line(stock, waiting, position, runs_down=runs_down)
        ):
            paired += [waiting, position]
            waiting = None
        else:
            waiting = position
    return paired


def _same_line(stock: LabelStock, one: int, other: int, *, runs_down: bool) -> bool:
    return runs_down or (one - 1) // stock.columns == (other - 1) // stock.columns


def _check_position(stock: LabelStock, position: int) -> None:
    if not 1 <= position <= stock.per_page:
        raise OffTheSheet(
            f"This stock has no position {position}: count from 1 to {stock.per_page}."
        )


def _free_position(stock: LabelStock, filling: Filling) -> str:
    order = positions_in_order(stock, runs_down=filling.runs_down)
    free = next((p for p in order if p not in filling.used), None)
    return f"Start at a free one, such as {free}." if free else "Take a new sheet."


def _check_pairs(first_sheet: list[int], full_sheet: list[int], filling: Filling) -> None:
    if not full_sheet:
        where = "below another" if filling.runs_down else "beside another"
        raise OffTheSheet(f"No label of this stock lies {where}. Print one label each.")
    if not first_sheet:
        where = "one below the other" if filling.runs_down else "side by side"
        raise OffTheSheet(
            f"From here on the sheet has no two free positions {where}. Take a new sheet."
        )


def _check_on_sheet(stock: LabelStock, placed: LabelPlace) -> None:
    """Compare what is printed of a label, its rim left out, with the sheet."""
    rim = stock.margin_mm
    excess, side = max(
        (-(placed.x_mm + rim), "left"),
        (placed.x_mm + stock.label_width_mm - rim - stock.page_width_mm, "right"),
        (-(placed.y_mm + rim), "top"),
        (placed.y_mm + stock.label_height_mm - rim - stock.page_height_mm, "bottom"),
    )
    if excess > SLACK_MM:
        raise OffTheSheet(
            f"The label in row {placed.row}, column {placed.column} would leave the sheet at the "
            f"{side} by {max(excess, 0.1):.1f} mm. Move it less."
        )
