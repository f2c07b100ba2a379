"""Label stocks that an office measured, and how far its printer is off on each."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from samples.models import Lake, LakeStock, PartSheet, Printer, User
from samples.vials import pdf, queries
from samples.vials.geometry import (
    NO_NUDGE,
    CannotPrint,
    Label,
    Nudge,
    OffTheSheet,
    StockDoesNotFit,
    TextTooLong,
    place,
)
from samples.vials.services.errors import CannotKeepStock, CannotSetPrinter

# The longest number of a year that starts with four digits: what every stock must have room for.
_SAMPLE = Label("2699991", "26 9999 1", None, "Lake", "2026")
_OFFSET_TOO_FAR = "The printer offset of this stock is too far for these measurements."


@transaction.atomic
def keep_stock(
    *,
    lake: Lake,
    measurements: Mapping[str, Any],
    actor: User,
    now: datetime,
    row: LakeStock | None = None,
) -> LakeStock:
    """Keep a stock that was measured, or change one.

    What was printed on a stock prints again as it was: one of which labels were made is retired,
    and the change is another stock. A stock that the list has already is not kept twice.

    :raises CannotKeepStock: if its measurements contradict each other, or no number fits
    """
    # Two people, or two taps: the second waits here, and then finds what the first one kept.
    Lake.objects.select_for_update(no_key=True).get(pk=lake.pk)
    asked = LakeStock(lake=lake, changed_by=actor, changed_at=now, **measurements)
    check_stock(asked, queries.nudge_for(lake, row.code) if row else NO_NUDGE)
    if row is not None and not _would_move_labels(row, measurements):
        for name, value in measurements.items():
            setattr(row, name, value)
        row.changed_by, row.changed_at = actor, now
        row.save()
        return row
    listed = LakeStock.objects.filter(lake=lake, is_retired=False, **measurements)
    kept = listed.order_by("pk").first()
    if kept is None:
        asked.save()
        kept = asked
    if row is not None:
        _replace(row, kept, actor, now)
    return kept


def _would_move_labels(row: LakeStock, measurements: Mapping[str, Any]) -> bool:
    """Return whether labels that were made on a stock would print otherwise."""
    moves = any(getattr(row, name) != measurements[name] for name in measurements.keys() - {"note"})
    return moves and queries.was_printed_on(row)


def _replace(row: LakeStock, kept: LakeStock, actor: User, now: datetime) -> None:
    """Retire a stock; its sheet and the printer's offset go on with the one in its place."""
    if row.is_retired:
        return
    retire_stock(row=row, actor=actor, now=now)
    if not Printer.objects.filter(lake=row.lake, stock=kept.code).exists():
        for printer in Printer.objects.filter(lake=row.lake, stock=row.code):
            printer.pk, printer.stock, printer._state.adding = None, kept.code, True
            printer.save()
    is_same_sheet = (row.columns, row.rows) == (kept.columns, kept.rows)
    if is_same_sheet and not PartSheet.objects.filter(lake=row.lake, stock=kept.code).exists():
        PartSheet.objects.filter(lake=row.lake, stock=row.code).update(stock=kept.code)


def check_stock(row: LakeStock, nudge: Nudge = NO_NUDGE) -> None:
    """See that labels can be printed on a stock, by a printer that is off by so much.

    :raises CannotKeepStock: if not, with the field to change
    """
    try:
        stock = queries.stock_of(row)
        pdf.arrange_label(_SAMPLE, stock)
        place(stock, stock.per_page, 1, nudge)
    except StockDoesNotFit as problem:
        field = problem.field.removesuffix("_mm")
        raise CannotKeepStock(problem.code, str(problem), field) from problem
    except TextTooLong as problem:
        sentence = "A vial number does not fit on this label. Enter a wider label or less rim."
        if row.has_pencil_lines:
            sentence = "The words on an envelope do not fit. Enter a wider one, such as 57 mm."
        raise CannotKeepStock(problem.code, sentence, "label_width") from problem
    except OffTheSheet as problem:
        raise CannotKeepStock(problem.code, f"{_OFFSET_TOO_FAR} {problem}") from problem


def retire_stock(*, row: LakeStock, actor: User, now: datetime) -> None:
    """Take a stock off the list; labels that were printed on it can be printed again."""
    row.is_retired, row.changed_by, row.changed_at = True, actor, now
    row.save(update_fields=["is_retired", "changed_by", "changed_at"])


def set_printer(*, lake: Lake, stock: str, nudge: Nudge) -> Printer:
    """Keep how far the printer is off on one stock.

    :raises CannotSetPrinter: if a label would leave its sheet
    """
    sheet = queries.find_stock(lake, stock)
    if sheet is None:
        raise CannotSetPrinter("unknown_stock", "This stock is not there any more.")
    try:
        place(sheet, sheet.per_page, 1, nudge)
    except CannotPrint as problem:
        raise CannotSetPrinter(problem.code, str(problem)) from problem
    printer, _ = Printer.objects.update_or_create(
        lake=lake,
        stock=stock,
        defaults={
            "right_tenths_mm": round(nudge.right_mm * 10),
            "down_tenths_mm": round(nudge.down_mm * 10),
            "scale_across_per_mille": round(nudge.scale_across * 1000),
            "scale_down_per_mille": round(nudge.scale_down * 1000),
        },
    )
    return printer
