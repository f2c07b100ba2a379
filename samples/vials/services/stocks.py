"""Label stocks that an office measured, and how far its printer is off on each."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from samples.models import Lake, LakeStock, Printer, User
from samples.vials import pdf, queries
from samples.vials.geometry import CannotPrint, Label, Nudge, StockDoesNotFit, TextTooLong, place
from samples.vials.services.errors import CannotKeepStock, CannotSetPrinter

# The longest number of a year that starts with four digits: what every stock must have room for.
_SAMPLE = Label("2699991", "26 9999 1", None, "Lake", "2026")


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

    :raises CannotKeepStock: if its measurements contradict each other, or no number fits
    """
    kept = row or LakeStock(lake=lake)
    for name, value in measurements.items():
        setattr(kept, name, value)
    kept.changed_by, kept.changed_at = actor, now
    check_stock(kept)
    kept.save()
    return kept


def check_stock(row: LakeStock) -> None:
    """See that labels can be printed on a stock.

    :raises CannotKeepStock: if not, with the field to change
    """
    try:
        pdf.arrange_label(_SAMPLE, queries.stock_of(row))
    except StockDoesNotFit as problem:
        field = problem.field.removesuffix("_mm")
        raise CannotKeepStock(problem.code, str(problem), field) from problem
    except TextTooLong as problem:
        sentence = "A vial number does not fit on this label. Enter a wider label or less rim."
        raise CannotKeepStock(problem.code, sentence, "label_width") from problem


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
