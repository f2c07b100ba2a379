"""Label stocks by their measurements, in millimetres from the top left of the sheet."""

from __future__ import annotations

from dataclasses import dataclass

MM_PER_INCH = 25.4

# Sums of tenths of a millimetre miss each other by far less than this, in millimetres.
SLACK_MM = 1e-6

# Seven lines to write on by hand, 5 mm apart, below number and symbol, and two cautions:
# common practice, no source.
LEAST_ENVELOPE_MM = 70.0

# Sheets that offices know by name. ISO 216 for A4; ANSI/ASME Y14.1 for Letter (8.5 x 11 in).
PAGE_NAMES = {(215.9, 279.4): "Letter", (210.0, 297.0): "A4"}


class CannotPrint(Exception):
    """Base of all refusals of the label page; the message is fit to show."""

    code = "cannot_print"


class StockDoesNotFit(CannotPrint):
    """The measurements of a label stock contradict each other; `field` is the one to change."""

    code = "stock_does_not_fit"

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field


@dataclass(frozen=True, kw_only=True, slots=True)
class LabelStock:
    """One kind of label sheet, roll or envelope.

    The pitch runs from the edge of one label to the same edge of the next. It is kept
    instead of the gap because a small error in a gap adds up from row to row.
    ``vial_diameter_mm`` is None where the label lies flat: a cap, a box, an envelope.
    ``margin_mm`` is the rim of each label that stays free of ink, ``strip_mm`` the width of the
    part at its right end that is left to write on.
    """

    code: str
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
    corner_radius_mm: float = 0.0
    is_round: bool = False
    strip_mm: float = 0.0
    has_pencil_lines: bool = False
    advice: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        """Refuse a stock whose labels overlap or leave the sheet."""
        _check_sizes(self)
        _check_shape(self)
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
    def printed_width_mm(self) -> float:
        """Return the width of the part that is printed on; the rest is written on by hand."""
        return self.label_width_mm - self.strip_mm

    @property
    def rounding_mm(self) -> float:
        """Return the radius of the label's corners, of a round one half its height."""
        return self.label_height_mm / 2 if self.is_round else self.corner_radius_mm

    @property
    def page_name(self) -> str:
        """Return what the paper is called."""
        if self.has_pencil_lines:
            return "Envelope"
        if self.per_page == 1:
            return "Roll label"
        size = (self.page_width_mm, self.page_height_mm)
        return f"{PAGE_NAMES[size]} sheet" if size in PAGE_NAMES else "Sheet"

    @property
    def description(self) -> str:
        """Return the stock's name in a list: its measurements."""
        size = f"{self.label_width_mm:g} x {self.label_height_mm:g} mm"
        if self.is_round:
            size = f"{self.label_width_mm:g} mm round"
        if self.has_pencil_lines:
            return self._noted(f"Envelope, {size}, with lines for a pencil")
        if self.strip_mm:
            size = f"{size} with write-on strip"
        if self.per_page == 1:
            return self._noted(f"{size}, one at a time from a roll")
        paper = PAGE_NAMES.get((self.page_width_mm, self.page_height_mm))
        on = f" on {paper}" if paper else ""
        return self._noted(f"{size}{on}, {self.columns} across, {self.rows} down")

    def _noted(self, text: str) -> str:
        return f"{text} ({self.note})" if self.note else text

    @property
    def hint(self) -> str:
        """Return where the labels lie, and what printer and vial the stock is for."""
        page = f"{self.page_name}, {self.page_width_mm:g} x {self.page_height_mm:g} mm."
        printer = f"Printer of {self.dots_per_inch} dots an inch, {self._lies_on()}."
        if self.per_page == 1:
            return f"{page} {printer}"
        return (
            f"{page} First label {self.left_mm:g} mm from the left, {self.top_mm:g} mm from "
            f"the top; next label every {self.pitch_across_mm:g} mm across, "
            f"{self.pitch_down_mm:g} mm down. {printer}"
        )

    def _lies_on(self) -> str:
        if self.vial_diameter_mm is None:
            return "to lie flat"
        return f"vials of {self.vial_diameter_mm:g} mm"


def _check_sizes(stock: LabelStock) -> None:
    if stock.columns < 1 or stock.rows < 1:
        field = "columns" if stock.columns < 1 else "rows"
        raise StockDoesNotFit(field, "A sheet has at least one label.")
    if stock.dots_per_inch < 1:
        raise StockDoesNotFit("dots_per_inch", "A printer has at least one dot an inch.")
    if stock.margin_mm < 0:
        raise StockDoesNotFit("margin_mm", "The rim of a label is 0 mm or more.")
    shorter = min(stock.label_width_mm, stock.label_height_mm)
    if shorter <= 2 * stock.margin_mm:
        narrow = stock.label_width_mm < stock.label_height_mm
        raise StockDoesNotFit(
            "label_width_mm" if narrow else "label_height_mm",
            f"A label of {stock.label_width_mm:g} x {stock.label_height_mm:g} mm has no room "
            f"inside a rim of {stock.margin_mm:g} mm.",
        )
    if stock.vial_diameter_mm is not None and stock.vial_diameter_mm <= 0:
        raise StockDoesNotFit("vial_diameter_mm", "The vial's diameter must be more than 0 mm.")


def _check_shape(stock: LabelStock) -> None:
    """See that corners, roundness and strip go with the label's size."""
    width, height = stock.label_width_mm, stock.label_height_mm
    if stock.is_round and abs(width - height) > SLACK_MM:
        raise StockDoesNotFit(
            "label_height_mm",
            f"A round label is as high as it is wide: enter {width:g} mm, not {height:g} mm.",
        )
    most = min(width, height) / 2
    if not 0 <= stock.corner_radius_mm <= most + SLACK_MM:
        raise StockDoesNotFit(
            "corner_radius_mm",
            f"The corners of a label of {width:g} x {height:g} mm have a radius of 0 to {most:g} "
            "mm.",
        )
    if stock.has_pencil_lines and height < LEAST_ENVELOPE_MM:
        raise StockDoesNotFit(
            "label_height_mm",
            f"The lines to write on need an envelope at least {LEAST_ENVELOPE_MM:g} mm high, not "
            f"{height:g} mm.",
        )
    if stock.strip_mm and stock.is_round:
        raise StockDoesNotFit("strip_mm", "A round label has no strip to write on. Enter 0.")
    if not 0 <= stock.strip_mm < width - 2 * stock.margin_mm:
        raise StockDoesNotFit(
            "strip_mm",
            f"A strip of {stock.strip_mm:g} mm leaves nothing of a label {width:g} mm wide.",
        )


_FIELDS = {
    "across": ("left_mm", "pitch_across_mm", "columns", "page_width_mm"),
    "down": ("top_mm", "pitch_down_mm", "rows", "page_height_mm"),
}


def _check_direction(
    direction: str, *, page: float, label: float, count: int, start: float, pitch: float
) -> None:
    """See that a row or a column of labels fits its page and that none overlap."""
    start_field, pitch_field, count_field, page_field = _FIELDS[direction]
    if start < 0:
        raise StockDoesNotFit(start_field, f"The first label lies {-start:g} mm outside the sheet.")
    if count > 1 and pitch < label - SLACK_MM:
        raise StockDoesNotFit(
            pitch_field,
            f"Labels of {label:g} mm every {pitch:g} mm {direction} would overlap. "
            "Measure from the edge of one label to the same edge of the next.",
        )
    end = start + (count - 1) * pitch + label
    if end <= page + SLACK_MM:
        return
    if count == 1:
        raise StockDoesNotFit(
            page_field, f"The label ends at {end:.5g} mm, and the sheet at {page:g} mm."
        )
    raise StockDoesNotFit(
        count_field,
        f"{count} labels {direction} end at {end:.5g} mm, and the sheet at {page:g} mm.",
    )
