"""Codes of every stock are read as printed, and worn: curved, tilted, blurred and damaged."""

from __future__ import annotations

import dataclasses

import cv2
import numpy as np
import numpy.typing as npt
import pytest
import zxingcpp

from samples.vials import pdf
from samples.vials.geometry import STOCKS, LabelStock, Symbol, SymbolWillNotRead, symbol_for
from tests.vials.test_pdf import first_label, label, read_by_other_means

Picture = npt.NDArray[np.uint8]
# Printers of labels, in dots an inch.
PRINTERS = (203, 300, 600)
# A phone at a hand's breadth sees a module of 0.25 mm with 2.5 pixels at 15 cm (its own optics:
# common practice, no source); this is 10 cm.
PIXELS_A_MM = 15.0
TILT_DEGREES = 3.0
LINK = label(147).link or ""


def printable() -> list[tuple[LabelStock, Symbol]]:
    """Return each stock at each printer that makes a code on it."""
    found = []
    for stock in STOCKS.values():
        for dots in PRINTERS:
            printed = dataclasses.replace(stock, dots_per_inch=dots)
            try:
                found.append((printed, symbol_for(LINK, printed)))
            except SymbolWillNotRead:
                continue
    return found


PRINTED = printable()


def around_a_vial(image: Picture, diameter_mm: float) -> Picture:
    """Lay a code round a vial that is turned towards the phone: its sides crowd together."""
    height, width = image.shape
    radius = diameter_mm / 2 * PIXELS_A_MM
    half = min(width / 2, radius * 1.35)
    across = np.arange(-int(radius * np.sin(half / radius)), int(radius * np.sin(half / radius)))
    source = (radius * np.arcsin(across / radius) + width / 2).astype(np.float32)
    map_x = np.tile(source, (height, 1))
    map_y = np.tile(np.arange(height, dtype=np.float32)[:, None], (1, len(source)))
    turned = cv2.remap(image, map_x, map_y, cv2.INTER_LINEAR, borderValue=255)
    return np.asarray(turned, dtype=np.uint8)


def damaged(image: Picture, symbol: Symbol, stock: LabelStock) -> Picture:
    """Turn one module of the data light or dark, the other of what it is."""
    found = zxingcpp.read_barcodes(np.ascontiguousarray(image))[0].position
    dots = symbol.module_dots
    x = found.top_left.x + (symbol.modules // 2) * dots
    y = found.top_left.y + (symbol.modules // 2 + 2) * dots
    image = image.copy()
    image[y : y + dots, x : x + dots] = 255 - image[y + dots // 2, x + dots // 2]
    return image


def code_alone(image: Picture, symbol: Symbol) -> Picture:
    """Cut the code with its quiet zone out of a label: what a phone is held over."""
    at = zxingcpp.read_barcodes(np.ascontiguousarray(image))[0].position
    rim = 4 * symbol.module_dots
    left, top = max(0, at.top_left.x - rim), max(0, at.top_left.y - rim)
    side = symbol.modules * symbol.module_dots + 2 * rim
    return image[top : top + side, left : left + side]


def as_a_phone_sees(image: Picture, stock: LabelStock, symbol: Symbol) -> Picture:
    """Damage, curve, tilt and blur a printed code."""
    worn = code_alone(damaged(image, symbol, stock), symbol)
    scale = PIXELS_A_MM * stock.dot_mm
    how = cv2.INTER_AREA if scale < 1 else cv2.INTER_LINEAR
    seen = np.asarray(cv2.resize(worn, None, fx=scale, fy=scale, interpolation=how), dtype=np.uint8)
    if stock.vial_diameter_mm is not None:
        seen = around_a_vial(seen, stock.vial_diameter_mm)
    seen = np.asarray(cv2.copyMakeBorder(seen, 24, 24, 24, 24, cv2.BORDER_CONSTANT, value=255))
    height, width = seen.shape
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), TILT_DEGREES, 1.0)
    seen = np.asarray(cv2.warpAffine(seen, turn, (width, height), borderValue=255))
    return np.asarray(cv2.GaussianBlur(seen, (0, 0), 1.0), dtype=np.uint8)


def test_every_stock_but_the_smallest_dot_has_a_printer_that_makes_its_code() -> None:
    assert {stock.code for stock in STOCKS.values()} - {stock.code for stock, _ in PRINTED} == {
        "letter-dot-9-5",
        "a4-dot-9-5",
    }


@pytest.mark.parametrize(
    ("stock", "symbol"), PRINTED, ids=lambda one: getattr(one, "code", None) or str(one.module_dots)
)
def test_a_worn_code_is_read(stock: LabelStock, symbol: Symbol) -> None:
    image = first_label(pdf.labels_pdf([label(147)], stock), stock)

    seen = as_a_phone_sees(image, stock, symbol)

    assert symbol.module_dots >= 3
    assert [found.text for found in zxingcpp.read_barcodes(seen)] == [LINK]
    # By a reader of other authors, as it comes from the printer.
    assert read_by_other_means(code_alone(image, symbol)) == LINK
