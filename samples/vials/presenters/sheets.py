"""Sheets as they will print: pictures of the PDF's own pages, and what stands over them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from samples.models import Lake
from samples.vials import pdf, queries
from samples.vials.geometry import (
    FULL_SHEETS,
    CannotPrint,
    Filling,
    Label,
    LabelStock,
    Preview,
    place,
    preview,
    symbol_for,
)

SHEET_DPI = 110


@dataclass(frozen=True, slots=True)
class PrintPlan:
    """Labels that are not printed yet: their numbers, and where they go."""

    lake: Lake
    stock: LabelStock
    labels: Sequence[Label]
    first_position: int
    filling: Filling

    @property
    def names(self) -> list[str]:
        """Return what names each label in short: its place in the year."""
        return [label.grouped.split(" ")[1] for label in self.labels]


@dataclass(frozen=True, slots=True)
class Sheets:
    """The sheets as they would print, and what is to be said of one label."""

    first: str
    last: str
    count: int
    pictures: Preview
    symbol: str
    has_symbol: bool


def sheets_of(plan: PrintPlan) -> Sheets:
    """Describe the sheets of a plan.

    :raises CannotPrint: if a label's words do not fit, or a position is not there
    """
    arrangement = pdf.arrange_label(plan.labels[0], plan.stock)
    return Sheets(
        first=plan.labels[0].grouped,
        last=plan.labels[-1].grouped,
        count=len(plan.labels),
        pictures=preview(plan.stock, plan.first_position, plan.names, plan.filling),
        symbol=about_symbol(plan.labels[0].link, plan.stock),
        has_symbol=arrangement.symbol is not None,
    )


def about_symbol(link: str | None, stock: LabelStock) -> str:
    """Return what symbol a stock has room for, or why none is printed."""
    if link is None:
        return ""
    try:
        return symbol_for(link, stock).description
    except CannotPrint as why:
        return str(why)


def sheet_png(plan: PrintPlan, page: int) -> bytes:
    """Return one sheet of a plan as it prints.

    :raises CannotPrint: if it can't be printed, or there is no such sheet
    """
    return pdf.page_png(_page_pdf(plan, page), dots_per_inch=SHEET_DPI)


def label_png(plan: PrintPlan) -> bytes:
    """Return the first label of a plan, a pixel for each dot of its printer, a huge one coarser.

    :raises CannotPrint: if it can't be printed
    """
    nudge = queries.nudge_for(plan.lake, plan.stock.code)
    [placed, *_] = place(plan.stock, 1, plan.first_position, nudge, plan.filling)
    cutting = pdf.Cutting(
        placed.x_mm, placed.y_mm, plan.stock.label_width_mm, plan.stock.label_height_mm
    )
    whole = _page_pdf(plan, 1)
    return pdf.page_png(whole, dots_per_inch=plan.stock.dots_per_inch, cutting=cutting)


def _page_pdf(plan: PrintPlan, page: int) -> bytes:
    """Draw one sheet alone: its first position is that of its first label."""
    placed = place(plan.stock, len(plan.labels), plan.first_position, filling=plan.filling)
    copies = plan.filling.copies
    here = [(index // copies, one) for index, one in enumerate(placed) if one.page == page]
    if not here:
        raise pdf.NothingToPrint("There is no such sheet.")
    (first, begin), (last, _) = here[0], here[-1]
    later = Filling(runs_down=plan.filling.runs_down, twins=plan.filling.twins)
    filling = plan.filling if page == 1 else later
    return pdf.labels_pdf(
        plan.labels[first : last + 1],
        plan.stock,
        begin.position,
        queries.nudge_for(plan.lake, plan.stock.code),
        filling,
    )


def sample_plan(lake: Lake, stock: LabelStock, label: Label) -> PrintPlan:
    """Return a sheet full of one label, to look at a stock."""
    return PrintPlan(lake, stock, [label] * stock.per_page, 1, FULL_SHEETS)
