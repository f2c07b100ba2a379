"""How large a QR symbol must be printed to be read by a phone, and when it will not be."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

import segno

from samples.vials.geometry.stock import SLACK_MM, CannotPrint, LabelStock

# ISO/IEC 18004: four modules of white on every side.
QUIET_MODULES = 4

# 41 modules a side; the next would be finer than labels of ours print.
MOST_VERSION = 6

# A module of fewer dots prints ragged; the inventor of the symbol advises 4 at a coarse printer.
LEAST_DOTS = 3

# A phone's camera needs about 2.5 pixels a module: 0.25 mm at 15 cm. Phones focus from 10 cm.
TARGET_MODULE_MM = 0.25
TARGET_DISTANCE_CM = 15
LEAST_MODULE_MM = TARGET_MODULE_MM * 10 / TARGET_DISTANCE_CM

# 6.4 mm on a vial of 12 mm, 60.6 degrees of arc, read best; a larger symbol turns its edges away.
MOST_ARC_DEGREES = 61.0

# What the number needs beside the symbol, set in the smallest type allowed for it.
LEAST_NUMBER_WIDTH_MM = 13.2
GAP_MM = 0.4

# The number goes above and below the symbol of a round label: two lines of the smallest type that
# is set there, and the round's narrowing.
ROUND_NUMBER_ROOM_MM = 2.9

# The part of an envelope's top that its symbol may take.
ENVELOPE_ROOM_MM = 17.0


class SymbolWillNotRead(CannotPrint):
    """A phone would not read the symbol on this label; print the number alone."""

    code = "symbol_will_not_read"


@dataclass(frozen=True, slots=True)
class Symbol:
    """One QR symbol's size. `modules` leaves out the quiet zone, `side_mm` includes it."""

    version: int
    error: str
    modules: int
    module_dots: int
    module_mm: float
    side_mm: float

    @property
    def quiet_mm(self) -> float:
        """Return the white border on each side."""
        return QUIET_MODULES * self.module_mm

    @property
    def phone_cm(self) -> float:
        """Return how far away a phone can be held and still read it."""
        return TARGET_DISTANCE_CM * self.module_mm / TARGET_MODULE_MM

    @property
    def description(self) -> str:
        """Return what will be printed, for the label page."""
        return (
            f"QR code, version {self.version}, level {self.error}: {self.modules} x {self.modules} "
            f"modules of {self.module_mm:.2f} mm ({self.module_dots} dots), {self.side_mm:.1f} mm "
            f"with its white border. A phone reads it from {math.floor(self.phone_cm)} cm."
        )


def symbol_for(link: str, stock: LabelStock) -> Symbol:
    """Find the largest symbol of whole dots that the label and its vial allow.

    :raises SymbolWillNotRead: if none is large enough to be read, or the vial turns it away
    """
    version, error = _version_and_level(_link_of_length(link))
    modules = 17 + 4 * version
    across = modules + 2 * QUIET_MODULES
    least = max(LEAST_DOTS, math.ceil(LEAST_MODULE_MM / stock.dot_mm - SLACK_MM))
    room = _room_mm(stock)
    fits = math.floor(room / (across * stock.dot_mm) + SLACK_MM)
    if fits < least:
        raise SymbolWillNotRead(
            f"Number only: a QR code needs {across * least * stock.dot_mm:.1f} mm with its white "
            f"border, and this label has {max(room, 0):.1f} mm for it."
        )
    dots = min(fits, _dots_in_sight(modules, stock, fits))
    if dots < least:
        raise SymbolWillNotRead(_turned_away(modules * least * stock.dot_mm, stock))
    module = dots * stock.dot_mm
    return Symbol(version, error, modules, dots, module, across * module)


def _link_of_length(link: str) -> str:
    """Return a link that takes the same room: digits are as long as any, in every mode used."""
    head, slash, number = link.rpartition("/")
    return head + slash + "0" * len(number) if number.isdecimal() else link


@functools.lru_cache(maxsize=64)
def _version_and_level(link: str) -> tuple[int, str]:
    """Return the smallest version that holds `link`, and the highest level it leaves room for."""
    if not link or not link.isascii():
        raise SymbolWillNotRead(
            "The link has characters that no web address can have. Only the number is printed."
        )
    try:
        # Any one mask: all are of a size, and trying them out is for what is drawn.
        code = segno.make_qr(link, mask=0, boost_error=True)
    except segno.DataOverflowError as problem:
        raise _too_long(link) from problem
    version = int(code.version)
    if version > MOST_VERSION:
        raise _too_long(link)
    return version, code.error


def _too_long(link: str) -> SymbolWillNotRead:
    return SymbolWillNotRead(
        f"The link has {len(link)} characters, too many for a symbol on a label. "
        "Use a shorter web address. Only the number is printed."
    )


def _room_mm(stock: LabelStock) -> float:
    if stock.has_pencil_lines:
        return min(ENVELOPE_ROOM_MM, stock.label_width_mm / 2)
    inside = 2 * stock.margin_mm
    if stock.is_round:
        return stock.label_height_mm - inside - 2 * ROUND_NUMBER_ROOM_MM
    beside_number = stock.printed_width_mm - inside - GAP_MM - LEAST_NUMBER_WIDTH_MM
    return min(stock.label_height_mm - inside, beside_number)


def _dots_in_sight(modules: int, stock: LabelStock, flat: int) -> int:
    """Count the dots a module may have before the vial turns the symbol's edges away."""
    if stock.vial_diameter_mm is None:
        return flat
    arc_mm = math.pi * stock.vial_diameter_mm * MOST_ARC_DEGREES / 360
    return math.floor(arc_mm / (modules * stock.dot_mm) + SLACK_MM)


def _turned_away(width_mm: float, stock: LabelStock) -> str:
    diameter = stock.vial_diameter_mm or math.inf
    degrees = 360 * width_mm / (math.pi * diameter)
    return (
        f"Number only: on a vial of {diameter:g} mm the smallest QR code this printer can make, "
        f"{width_mm:.1f} mm, goes round {degrees:.0f} degrees; past about 60 a phone loses it. "
        "Use a finer printer, a wider vial, or label the cap."
    )
