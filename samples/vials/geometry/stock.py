"""Label stocks by their measurements, and where each label lies on its sheet."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

MM_PER_INCH = 25.4

# Sums of tenths of a millimetre miss each other by far less than this, in millimetres.
SLACK_MM = 1e-6


class CannotPrint(Exception):
    """Base of all refusals of the label page; the message is fit to show."""

    code = "cannot_print"


class StockDoesNotFit(CannotPrint):
    """The measurements of a label stock contradict each other."""

    code = "stock_does_not_fit"


class OffTheSheet(CannotPrint):
    """A label would leave its sheet, or the sheet has no such place."""

    code = "off_the_sheet"


@dataclass(frozen=True, kw_only=True, slots=True)
class LabelStock:
    """One kind of label sheet, roll or envelope.

    The pitch runs from the edge of one label to the same edge of the next. It is kept
    instead of the gap because a small error in a gap adds up from row to row.
    ``vial_diameter_mm`` is None where the label lies flat: a cap, a box, an envelope.
    ``margin_mm`` is the rim of each label that stays free of ink.
    """

    code: str
    page_name: str
    page_width_mm: float
    page_height_mm: float
    label_width_mm: float
    label_height_mm: float
    columns: int
    rows: int
    left_mm: float
    top_mm: float
    pitch_across_mm: float
    pitch_down_mm: float
    dots_per_inch: int
    vial_diameter_mm: float | None
    margin_mm: float = 1.0
    has_pencil_lines: bool = False
    advice: str = ""

    def __post_init__(self) -> None:
        """Refuse a stock whose labels overlap or leave the sheet."""
        _check_sizes(self)
        _check_direction(
            "across",
            page=self.page_width_mm,
            label=self.label_width_mm,
            count=self.columns,
            start=self.left_mm,
            pitch=self.pitch_across_mm,
        )
        _check_direction(
            "down",
            page=self.page_height_mm,
            label=self.label_height_mm,
            count=self.rows,
            start=self.top_mm,
            pitch=self.pitch_down_mm,
        )

    @property
    def per_page(self) -> int:
        """Return how many labels a sheet holds."""
        return self.columns * self.rows

    @property
    def dot_mm(self) -> float:
        """Return the side of one printer dot."""
        return MM_PER_INCH / self.dots_per_inch

    @property
    def description(self) -> str:
        """Return the stock's name in a list: its measurements."""
        size = f"{self.label_width_mm:.1f} x {self.label_height_mm:.1f} mm"
        if self.has_pencil_lines:
            return f"Envelope, {size}, with lines for a pencil"
        if self.per_page == 1:
            return f"{size}, one at a time from a roll"
        return f"{size}, {self.columns} across, {self.rows} down"

    @property
    def hint(self) -> str:
        """Return where the labels lie, and what printer and vial the stock is for."""
        page = f"{self.page_name}, {self.page_width_mm:.1f} x {self.page_height_mm:.1f} mm."
        printer = f"Printer of {self.dots_per_inch} dots an inch, {self._lies_on()}."
        if self.per_page == 1:
            return f"{page} {printer}"
        return (
            f"{page} First label {self.left_mm:.1f} mm from the left, {self.top_mm:.1f} mm from "
            f"the top; next label every {self.pitch_across_mm:.1f} mm across, "
            f"{self.pitch_down_mm:.1f} mm down. {printer}"
        )

    def _lies_on(self) -> str:
        if self.vial_diameter_mm is None:
            return "to lie flat"
        return f"vials of {self.vial_diameter_mm:g} mm"


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
class LabelPlace:
    """One label's top left corner. Pages, columns, rows and positions count from 1."""

    page: int
    column: int
    row: int
    position: int
    x_mm: float
    y_mm: float


def places(
    stock: LabelStock, first_position: int = 1, nudge: Nudge = NO_NUDGE
) -> Iterator[LabelPlace]:
    """Return the places along each row from `first_position`, sheet after sheet, without end.

    :raises OffTheSheet: if the sheet has no such position, or a label would leave it
    """
    if not 1 <= first_position <= stock.per_page:
        raise OffTheSheet(
            f"This stock has no position {first_position}: count from 1 to {stock.per_page}."
        )
    for index in itertools.count(first_position - 1):
        page, on_page = divmod(index, stock.per_page)
        row, column = divmod(on_page, stock.columns)
        placed = LabelPlace(
            page=page + 1,
            column=column + 1,
            row=row + 1,
            position=on_page + 1,
            x_mm=nudge.right_mm
            + nudge.scale_across * (stock.left_mm + column * stock.pitch_across_mm),
            y_mm=nudge.down_mm + nudge.scale_down * (stock.top_mm + row * stock.pitch_down_mm),
        )
        _check_on_sheet(stock, placed)
        yield placed


def place(
    stock: LabelStock, count: int, first_position: int = 1, nudge: Nudge = NO_NUDGE
) -> list[LabelPlace]:
    """Place `count` labels, the first at `first_position` of a part-used sheet.

    :raises OffTheSheet: if the sheet has no such position, or a label would leave it
    """
    return list(itertools.islice(places(stock, first_position, nudge), count))


def _check_on_sheet(stock: LabelStock, placed: LabelPlace) -> None:
    """Compare what is printed of a label, its rim left out, with the sheet."""
    rim = stock.margin_mm
    beyond = {
        "left": -(placed.x_mm + rim),
        "right": placed.x_mm + stock.label_width_mm - rim - stock.page_width_mm,
        "top": -(placed.y_mm + rim),
        "bottom": placed.y_mm + stock.label_height_mm - rim - stock.page_height_mm,
    }
    side, excess = max(beyond.items(), key=lambda item: item[1])
    if excess > SLACK_MM:
        raise OffTheSheet(
            f"The label in row {placed.row}, column {placed.column} would leave the sheet at the "
            f"{side} by {max(excess, 0.1):.1f} mm. Move it less."
        )


def _check_sizes(stock: LabelStock) -> None:
    if stock.columns < 1 or stock.rows < 1 or stock.dots_per_inch < 1:
        raise StockDoesNotFit("A sheet has at least one label, and a printer at least one dot.")
    shorter = min(stock.label_width_mm, stock.label_height_mm)
    if stock.margin_mm < 0 or shorter <= 2 * stock.margin_mm:
        raise StockDoesNotFit(
            f"A label of {stock.label_width_mm:.1f} x {stock.label_height_mm:.1f} mm has no room "
            f"inside a rim of {stock.margin_mm:.1f} mm."
        )
    if stock.vial_diameter_mm is not None and stock.vial_diameter_mm <= 0:
        raise StockDoesNotFit("The vial's diameter must be more than 0 mm.")


def _check_direction(
    direction: str, *, page: float, label: float, count: int, start: float, pitch: float
) -> None:
    """See that a row or a column of labels fits its page and that none overlap."""
    if start < 0:
        raise StockDoesNotFit(f"The first label lies {-start:.1f} mm outside the sheet.")
    if count > 1 and pitch < label - SLACK_MM:
        raise StockDoesNotFit(
            f"Labels of {label:.1f} mm every {pitch:.1f} mm {direction} would overlap. "
            "Measure from the edge of one label to the same edge of the next."
        )
    end = start + (count - 1) * pitch + label
    if end > page + SLACK_MM:
        raise StockDoesNotFit(
            f"{count} labels {direction} end at {end:.1f} mm, and the sheet at {page:.1f} mm."
        )


SHEET = LabelStock(
    code="sheet-35x15",
    page_name="Letter sheet",
    page_width_mm=215.9,
    page_height_mm=279.4,
    label_width_mm=35.0,
    label_height_mm=15.0,
    columns=5,
    rows=17,
    left_mm=14.5,
    top_mm=8.2,
    pitch_across_mm=38.0,
    pitch_down_mm=15.5,
    dots_per_inch=600,
    vial_diameter_mm=12.0,
    advice="Ethanol smears some toners: cover each label with clear laminate.",
)

ROLL = LabelStock(
    code="roll-38x19",
    page_name="Roll label",
    page_width_mm=38.0,
    page_height_mm=19.0,
    label_width_mm=38.0,
    label_height_mm=19.0,
    columns=1,
    rows=1,
    left_mm=0.0,
    top_mm=0.0,
    pitch_across_mm=38.0,
    pitch_down_mm=19.0,
    dots_per_inch=300,
    vial_diameter_mm=17.0,
    advice="Print by thermal transfer with a resin ribbon: ethanol ruins direct thermal print.",
)

ENVELOPE = LabelStock(
    code="envelope-57x89",
    page_name="Envelope",
    page_width_mm=57.0,
    page_height_mm=89.0,
    label_width_mm=57.0,
    label_height_mm=89.0,
    columns=1,
    rows=1,
    left_mm=0.0,
    top_mm=0.0,
    pitch_across_mm=57.0,
    pitch_down_mm=89.0,
    dots_per_inch=600,
    vial_diameter_mm=None,
    has_pencil_lines=True,
    advice="Fill in with a pencil: ethanol removes ink.",
)

STOCKS: Mapping[str, LabelStock] = MappingProxyType(
    {stock.code: stock for stock in (SHEET, ROLL, ENVELOPE)}
)
