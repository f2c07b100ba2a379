"""The sheet that labels are printed on: where they begin, and what is left of it."""

from dataclasses import dataclass
from datetime import datetime

from samples.models import Lake, PartSheet
from samples.vials import queries
from samples.vials.geometry import (
    CannotPrint,
    Filling,
    LabelStock,
    place,
    positions_before,
    used_after,
)
from samples.vials.services.errors import VialsRefused


@dataclass(frozen=True, slots=True)
class SheetStart:
    """Where labels begin: on the part-used sheet as it stood at `version`, else on another."""

    first_position: int
    version: int | None = None
    runs_down: bool = False
    twins: bool = False


def begin_sheet(
    lake: Lake, stock: LabelStock, start: SheetStart, refusal: type[VialsRefused]
) -> Filling:
    """Return how the sheets are filled; the part-used sheet is locked until the labels are made.

    :raises VialsRefused: if the sheet has no such free position, or was printed on meanwhile
    """
    used: frozenset[int]
    if start.version is None:
        try:
            used = positions_before(stock, start.first_position, runs_down=start.runs_down)
        except CannotPrint as problem:
            raise refusal(problem.code, str(problem), "first_position") from problem
    else:
        used = _used_on_part_sheet(lake, stock, start.version, refusal)
    filling = Filling(used, runs_down=start.runs_down, twins=start.twins)
    try:
        place(stock, 1, start.first_position, filling=filling)
    except CannotPrint as problem:
        raise refusal(problem.code, str(problem), "first_position") from problem
    _check_offset(lake, stock, refusal)
    return filling


def _check_offset(lake: Lake, stock: LabelStock, refusal: type[VialsRefused]) -> None:
    """See that the printer's offset leaves every label on its sheet before one is made."""
    try:
        place(stock, stock.per_page, 1, queries.nudge_for(lake, stock.code))
    except CannotPrint as problem:
        sentence = f"{problem} Set the printer offset of this stock again."
        raise refusal("offset_off_the_sheet", sentence, "stock") from problem


def _used_on_part_sheet(
    lake: Lake, stock: LabelStock, version: int, refusal: type[VialsRefused]
) -> frozenset[int]:
    sheets = PartSheet.objects.select_for_update().filter(lake=lake, stock=stock.code)
    sheet = sheets.first()
    if sheet is None or sheet.version != version or queries.part_sheet(lake, stock) is None:
        raise refusal(
            "sheet_changed",
            "Somebody printed on the part-used sheet since you opened this page. "
            "Check the preview, then print.",
            "sheet",
        )
    return frozenset(sheet.used)


def leave_sheet(
    lake: Lake,
    stock: LabelStock,
    first_position: int,
    filling: Filling,
    count: int,
    *,
    went_on: bool,
    now: datetime,
) -> None:
    """Note what is left of the last sheet; nothing is kept of single labels and of full sheets.

    `went_on`: the labels began on the sheet that was left before.
    """
    if stock.per_page == 1:
        return
    placed = place(stock, count, first_position, filling=filling)
    used = sorted(used_after(stock, placed, filling.used))
    # Locked: two people on new sheets of one stock must not both give it the next version.
    sheet, is_first = PartSheet.objects.select_for_update().get_or_create(
        lake=lake, stock=stock.code, defaults={"used": [], "version": 0, "left_at": now}
    )
    if not used and not went_on and not is_first:
        # New sheets were used up, and the one that was begun before still lies there.
        return
    # Of a full sheet the row stays: its version must never be that of another sheet.
    sheet.used, sheet.version, sheet.left_at = used, sheet.version + 1, now
    sheet.save(update_fields=["used", "version", "left_at"])
