"""Printed labels are read back from the page as a printer would make it."""

from __future__ import annotations

import dataclasses
import io
import re
from collections.abc import Sequence
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt
import pikepdf
import pypdfium2
import pytest
import zxingcpp
from stdnum.iso7064 import mod_11_10

from samples.vials import pdf
from samples.vials.geometry import (
    NO_NUDGE,
    STOCKS,
    Label,
    LabelStock,
    Nudge,
    OffTheSheet,
    TextTooLong,
    place,
    symbol_for,
)

SHEET = STOCKS["sheet-35x15"]
ROLL = STOCKS["roll-38x19"]
ENVELOPE = STOCKS["envelope-57x89"]

# Caps of 9.5 mm carry the number alone.
WITH_SYMBOL = [stock for stock in STOCKS.values() if stock.label_width_mm > 10]

Picture = npt.NDArray[np.uint8]


def label(sequence: int) -> Label:
    body = f"26{sequence:04d}"
    check = mod_11_10.calc_check_digit(body)
    return Label(
        number=body + check,
        grouped=f"26 {sequence:04d} {check}",
        link=f"HTTPS://EARSTONE.EXAMPLE/V/{body}{check}",
        lake="Lake Orrinbeck",
        season="2026",
    )


def labels(first: int, count: int) -> list[Label]:
    return [label(sequence) for sequence in range(first, first + count)]


def open_pdf(data: bytes) -> Any:
    return pypdfium2.PdfDocument(data)


def page_count(data: bytes) -> int:
    return len(open_pdf(data))


def picture(data: bytes, dots_per_inch: int, page: int = 0) -> Picture:
    """Print one page: grey values, one pixel a dot."""
    # A hair less, for the renderer adds a row where rounding leaves it a sliver of one.
    scale = dots_per_inch / 72 - 1e-6
    image = open_pdf(data)[page].render(scale=scale).to_pil().convert("L")
    return np.asarray(image)


def text_of(data: bytes, page: int = 0) -> str:
    return str(open_pdf(data)[page].get_textpage().get_text_bounded())


def cut_out(page: Picture, stock: LabelStock, corner: tuple[float, float]) -> Picture:
    """Cut one label out of its sheet."""
    dot = stock.dot_mm
    left, top = (max(0, round(mm / dot)) for mm in corner)
    width, height = round(stock.label_width_mm / dot), round(stock.label_height_mm / dot)
    return page[top : top + height, left : left + width]


def first_label(data: bytes, stock: LabelStock) -> Picture:
    """Print the first label of a first sheet, and no more of it."""
    [placed] = place(stock, 1)
    per_mm, page = 72 / 25.4, open_pdf(data)[0]
    width, height = page.get_size()
    left, top = placed.x_mm * per_mm, placed.y_mm * per_mm
    right = max(0.0, width - left - stock.label_width_mm * per_mm)
    bottom = max(0.0, height - top - stock.label_height_mm * per_mm)
    # From a whole dot on, as the printer would.
    dot = 72 / stock.dots_per_inch
    left, top = (int(edge / dot) * dot for edge in (left, top))
    image = page.render(
        scale=stock.dots_per_inch / 72 - 1e-6, crop=(left, bottom, right, top)
    ).to_pil()
    return np.asarray(image.convert("L"))


def cut_labels(data: bytes, stock: LabelStock, count: int, first: int = 1) -> list[Picture]:
    pages = [picture(data, stock.dots_per_inch, n) for n in range(page_count(data))]
    return [
        cut_out(pages[placed.page - 1], stock, (placed.x_mm, placed.y_mm))
        for placed in place(stock, count, first)
    ]


def read(image: Picture) -> list[str]:
    return [found.text for found in zxingcpp.read_barcodes(np.ascontiguousarray(image))]


def read_by_other_means(image: Picture) -> str:
    """Read with a decoder of other authors; it wants some white around a symbol.

    Their other detector overlooks one clean symbol of a hundred, with whatever mask.
    """
    framed = cv2.copyMakeBorder(image, 40, 40, 40, 40, cv2.BORDER_CONSTANT, value=255)
    text, *_ = cv2.QRCodeDetectorAruco().detectAndDecode(framed)
    return str(text)


@pytest.mark.parametrize(
    ("stock", "count", "first"),
    [(SHEET, 90, 23), (ROLL, 5, 1), (ENVELOPE, 3, 1)],
    ids=["sheet", "roll", "envelope"],
)
def test_every_symbol_gives_its_own_link(stock: LabelStock, count: int, first: int) -> None:
    wanted = labels(147, count)

    cut = cut_labels(pdf.labels_pdf(wanted, stock, first), stock, count, first)

    assert [read(image) for image in cut] == [[one.link] for one in wanted]
    every = max(1, count // 8)
    assert [read_by_other_means(image) for image in cut[::every]] == [
        one.link for one in wanted[::every]
    ]


@pytest.mark.parametrize("stock", WITH_SYMBOL, ids=lambda stock: stock.code)
def test_modules_are_whole_dots_in_a_quiet_zone(stock: LabelStock) -> None:
    one = label(147)
    assert one.link is not None
    symbol = symbol_for(one.link, stock)
    image = first_label(pdf.labels_pdf([one], stock), stock)
    dark = image < 128
    corners = zxingcpp.read_barcodes(np.ascontiguousarray(image))[0].position
    left, top = corners.top_left.x, corners.top_left.y
    side = symbol.modules * symbol.module_dots

    # The top edge of the first finder pattern: seven modules dark, one white.
    row = dark[top + symbol.module_dots // 2]
    begins = left - 2 + int(np.argmax(row[left - 2 :]))
    run = int(np.argmin(row[begins:]))
    assert run == 7 * symbol.module_dots

    quiet = 4 * symbol.module_dots - 2
    around = dark[max(0, top - quiet) : top + side + quiet, max(0, begins - quiet) :]
    around = around[:, : side + 2 * quiet].copy()
    up, across = min(top, quiet), min(begins, quiet)
    around[max(0, up - 2) : up + side + 2, max(0, across - 2) : across + side + 2] = False
    assert not around.any()


def shades(image: Picture) -> float:
    """Return the share of pixels that are neither ink nor paper, the renderer's rounding aside."""
    return float(((image > 8) & (image < 247)).mean())


@pytest.mark.parametrize("stock", WITH_SYMBOL, ids=lambda stock: stock.code)
def test_symbol_is_black_or_white_without_a_shade(stock: LabelStock) -> None:
    one = label(147)
    assert one.link is not None
    symbol = symbol_for(one.link, stock)
    image = first_label(pdf.labels_pdf([one], stock), stock)
    corners = zxingcpp.read_barcodes(np.ascontiguousarray(image))[0].position
    inner = 3
    side = symbol.modules * symbol.module_dots - 2 * inner
    x, y = corners.top_left.x + inner, corners.top_left.y + inner

    shaded = shades(image[y : y + side, x : x + side])

    assert shaded < 0.01


@pytest.mark.parametrize("stock", STOCKS.values(), ids=STOCKS.keys())
def test_number_and_lake_are_written(stock: LabelStock) -> None:
    text = " ".join(text_of(pdf.labels_pdf([label(147)], stock)).split())

    assert "26 0147 3" in text
    # A cap has no room for more.
    assert ("Lake Orrinbeck" in text) == ("2026" in text) == (not stock.is_round)


def test_no_number_is_left_out_or_doubled() -> None:
    data = pdf.labels_pdf(labels(601, 120), SHEET, 23)

    written = re.findall(r"26 (\d{4}) \d", text_of(data, 0) + text_of(data, 1))

    assert sorted(written) == [f"{n:04d}" for n in range(601, 721)]
    assert page_count(data) == 2


def test_envelope_is_one_page_a_number() -> None:
    data = pdf.labels_pdf(labels(147, 3), ENVELOPE)

    assert page_count(data) == 3
    width, height = open_pdf(data)[0].get_size()
    assert width == pytest.approx(57 / 25.4 * 72, abs=0.07)
    assert height == pytest.approx(89 / 25.4 * 72, abs=0.07)
    for word in ("Species", "Total length", "Guide", "Possession limits"):
        assert word in text_of(data, 2)


@pytest.mark.parametrize("stock", STOCKS.values(), ids=STOCKS.keys())
def test_viewers_may_not_scale(stock: LabelStock) -> None:
    for data in (pdf.labels_pdf([label(147)], stock), pdf.test_page_pdf(stock, NO_NUDGE)):
        with pikepdf.open(io.BytesIO(data)) as document:
            assert document.Root.ViewerPreferences.PrintScaling == "/None"
        assert data.startswith(b"%PDF-1.6")


@pytest.mark.parametrize("stock", STOCKS.values(), ids=STOCKS.keys())
def test_pages_say_their_language_and_what_they_are(stock: LabelStock) -> None:
    for data in (pdf.labels_pdf(labels(147, 2), stock), pdf.test_page_pdf(stock, NO_NUDGE)):
        facts = open_pdf(data).get_metadata_dict()

        with pikepdf.open(io.BytesIO(data)) as document:
            assert document.Root.Lang == "en-US"
        assert facts["Title"]
        assert stock.page_name in facts["Subject"]


def test_outline_leads_to_each_sheet_by_its_numbers() -> None:
    document = open_pdf(pdf.labels_pdf(labels(601, 120), SHEET, 23))

    found = [(entry.get_title(), entry.get_dest().get_index()) for entry in document.get_toc()]

    written = [
        re.findall(r"26 \d{4} \d", page.get_textpage().get_text_bounded()) for page in document
    ]
    assert found == [(f"{page[0]} to {page[-1]}", at) for at, page in enumerate(written)]


def test_labels_are_read_in_the_order_of_their_numbers() -> None:
    data = pdf.labels_pdf(labels(601, 120), SHEET, 23)

    read_out = re.findall(r"26 (\d{4}) \d", text_of(data, 0) + text_of(data, 1))

    assert read_out == [f"{n:04d}" for n in range(601, 721)]


def test_same_labels_give_the_same_bytes() -> None:
    assert pdf.labels_pdf(labels(1, 9), SHEET, 3) == pdf.labels_pdf(labels(1, 9), SHEET, 3)


def test_text_too_long_stops_the_sheet() -> None:
    long = dataclasses.replace(label(149), lake="The Great Long Water of Lake Orrinbeck")

    with pytest.raises(TextTooLong, match="Great Long Water"):
        pdf.labels_pdf([label(147), label(148), long], SHEET)


def test_without_a_link_the_number_stands_alone() -> None:
    alone = dataclasses.replace(label(147), link=None)
    data = pdf.labels_pdf([alone], SHEET)

    image = picture(data, SHEET.dots_per_inch)

    assert read(image) == []
    assert "26 0147 3" in text_of(data)
    with pikepdf.open(io.BytesIO(data)) as document:
        assert b"/IM true" not in document.pages[0].Contents.read_bytes()


def test_symbol_that_would_not_read_is_left_out() -> None:
    narrow = dataclasses.replace(ROLL, vial_diameter_mm=10.0)
    data = pdf.labels_pdf([label(147)], narrow)

    assert read(picture(data, 300)) == []
    assert "26 0147 3" in text_of(data)
    assert pdf.arrange_label(label(147), narrow).symbol is None


def test_nothing_to_print_is_refused() -> None:
    with pytest.raises(pdf.NothingToPrint, match="at least 1"):
        pdf.labels_pdf([], SHEET)


def test_nudge_moves_the_print() -> None:
    def first_ink(nudge: Nudge) -> npt.NDArray[np.intp]:
        dark = picture(pdf.labels_pdf([label(147)], SHEET, 1, nudge), 600) < 128
        return np.argwhere(dark).min(axis=0)

    moved = first_ink(Nudge(right_mm=2.54, down_mm=-1.27)) - first_ink(NO_NUDGE)

    assert moved == pytest.approx([-30, 60], abs=1)
    with pytest.raises(OffTheSheet):
        pdf.labels_pdf([label(147)], SHEET, 1, Nudge(down_mm=-10))


def longest_run(line: Sequence[bool] | npt.NDArray[np.bool_]) -> int:
    """Count the dots of the longest unbroken stretch of ink."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], np.asarray(line, dtype=int), [0]))))
    return int((edges[1::2] - edges[::2]).max(initial=0))


@pytest.mark.parametrize("scale", [1.0, 1.01])
def test_rulers_are_100_mm_each_way(scale: float) -> None:
    nudge = Nudge(scale_across=scale, scale_down=scale)
    dark = picture(pdf.test_page_pdf(SHEET, nudge), 600) < 128

    # The longest lines of the page: a label's outline is 35 mm, a row of them is broken.
    across = max(longest_run(row) for row in dark) * SHEET.dot_mm
    down = max(longest_run(column) for column in dark.T) * SHEET.dot_mm

    # Each ruler ends at the outer edge of its last tick, half a line beyond 100 mm.
    assert across - 0.15 == pytest.approx(100 * scale, abs=0.1)
    assert down - 0.15 == pytest.approx(100 * scale, abs=0.1)


def test_test_page_outlines_every_label() -> None:
    dark = picture(pdf.test_page_pdf(SHEET, NO_NUDGE), 600) < 128
    dot = SHEET.dot_mm

    for placed in place(SHEET, SHEET.per_page):
        y = round((placed.y_mm + SHEET.label_height_mm / 3) / dot)
        for edge in (placed.x_mm, placed.x_mm + SHEET.label_width_mm):
            x = round(edge / dot)
            assert dark[y, x - 3 : x + 4].any()
        x = round((placed.x_mm + SHEET.label_width_mm / 4) / dot)
        for edge in (placed.y_mm, placed.y_mm + SHEET.label_height_mm):
            y = round(edge / dot)
            assert dark[y - 3 : y + 4, x].any()


@pytest.mark.parametrize("stock", STOCKS.values(), ids=STOCKS.keys())
def test_test_page_says_how_to_measure(stock: LabelStock) -> None:
    text = " ".join(text_of(pdf.test_page_pdf(stock, NO_NUDGE)).split())

    assert "100%" in text
    assert "Move right" in text
