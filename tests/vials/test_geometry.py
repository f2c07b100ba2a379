"""Labels stay on their sheet, apart from each other, and their symbols can be read."""

from __future__ import annotations

import dataclasses
import itertools
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples.vials.geometry import (
    STOCKS,
    Label,
    LabelPlace,
    LabelStock,
    Nudge,
    OffTheSheet,
    StockDoesNotFit,
    Symbol,
    SymbolWillNotRead,
    TextTooLong,
    arrange,
    place,
    symbol_for,
)

SHEET = STOCKS["sheet-35x15"]
ROLL = STOCKS["roll-38x19"]
ENVELOPE = STOCKS["envelope-57x89"]
LINK = "HTTPS://EARSTONE.EXAMPLE/V/2601473"
LABEL = Label("2601473", "26 0147 3", LINK, "Lake Orrinbeck", "2026")

any_stock = st.sampled_from(list(STOCKS.values()))


@st.composite
def stocks(draw: st.DrawFn) -> LabelStock:
    """Make any stock whose labels fit their page, some with no gap between them."""
    columns, rows = draw(st.integers(1, 8)), draw(st.integers(1, 20))
    tenths = st.integers(0, 60).map(lambda n: n / 10)
    width, height = draw(st.integers(40, 900)) / 10, draw(st.integers(40, 900)) / 10
    across, down = width + draw(tenths), height + draw(tenths)
    left, top = draw(tenths), draw(tenths)
    return dataclasses.replace(
        SHEET,
        page_width_mm=left + (columns - 1) * across + width + draw(tenths),
        page_height_mm=top + (rows - 1) * down + height + draw(tenths),
        label_width_mm=width,
        label_height_mm=height,
        columns=columns,
        rows=rows,
        left_mm=left,
        top_mm=top,
        pitch_across_mm=across,
        pitch_down_mm=down,
    )


def by_characters(text: str, bold: bool, size_mm: float) -> float:
    """Stand in for a typeface: every character of it is equally wide."""
    return len(text) * (0.556 if bold else 0.48) * size_mm


def overlap(one: LabelPlace, other: LabelPlace, stock: LabelStock) -> bool:
    return (
        abs(one.x_mm - other.x_mm) < stock.label_width_mm - 1e-6
        and abs(one.y_mm - other.y_mm) < stock.label_height_mm - 1e-6
    )


@given(stock=stocks(), count=st.integers(0, 200), data=st.data())
def test_no_label_leaves_the_sheet(stock: LabelStock, count: int, data: st.DataObject) -> None:
    first = data.draw(st.integers(1, stock.per_page))

    placed = place(stock, count, first)

    assert len(placed) == count
    for label in placed:
        assert -1e-6 <= label.x_mm <= stock.page_width_mm - stock.label_width_mm + 1e-6
        assert -1e-6 <= label.y_mm <= stock.page_height_mm - stock.label_height_mm + 1e-6


@given(stock=stocks(), count=st.integers(2, 60), data=st.data())
def test_no_two_labels_overlap(stock: LabelStock, count: int, data: st.DataObject) -> None:
    first = data.draw(st.integers(1, stock.per_page))

    pairs = itertools.combinations(place(stock, count, first), 2)
    on_one_page = [pair for pair in pairs if pair[0].page == pair[1].page]

    assert [pair for pair in on_one_page if overlap(*pair, stock)] == []


@given(stock=any_stock, count=st.integers(1, 300), data=st.data())
def test_places_follow_each_other_from_the_first(
    stock: LabelStock, count: int, data: st.DataObject
) -> None:
    first = data.draw(st.integers(1, stock.per_page))

    placed = place(stock, count, first)

    order = [(label.page - 1) * stock.per_page + label.position for label in placed]
    assert order == list(range(first, first + count))
    assert all(label.position == (label.row - 1) * stock.columns + label.column for label in placed)


def test_pitch_adds_up_to_the_last_label() -> None:
    last = place(SHEET, 85)[-1]

    assert (last.column, last.row) == (5, 17)
    assert last.x_mm == pytest.approx(166.5)
    assert last.y_mm == pytest.approx(256.2)


def test_part_used_sheet_goes_on_to_a_fresh_one() -> None:
    placed = place(SHEET, 120, 23)

    assert (placed[0].page, placed[0].column, placed[0].row) == (1, 3, 5)
    assert sum(label.page == 1 for label in placed) == 63
    assert (placed[-1].page, placed[-1].position) == (2, 57)


def test_nudge_moves_and_scale_stretches_from_the_corner() -> None:
    last = place(SHEET, 85, 1, Nudge(0.3, -0.5, scale_across=1.01, scale_down=0.99))[-1]

    assert last.x_mm == pytest.approx(166.5 * 1.01 + 0.3)
    assert last.y_mm == pytest.approx(256.2 * 0.99 - 0.5)


@given(
    stock=any_stock,
    right=st.floats(-30, 30),
    down=st.floats(-30, 30),
    scale=st.floats(0.95, 1.05),
)
def test_nudged_ink_is_on_the_sheet_or_refused(
    stock: LabelStock, right: float, down: float, scale: float
) -> None:
    nudge = Nudge(right, down, scale, scale)
    try:
        placed = place(stock, stock.per_page, 1, nudge)
    except OffTheSheet:
        # A sheet that is moved by a millimetre at most and not scaled is never refused.
        assert max(abs(right), abs(down), 1000 * abs(scale - 1)) > 1
        return
    rim = stock.margin_mm + 1e-5
    for label in placed:
        assert -rim <= label.x_mm <= stock.page_width_mm - stock.label_width_mm + rim
        assert -rim <= label.y_mm <= stock.page_height_mm - stock.label_height_mm + rim


def test_label_off_the_sheet_is_named_with_its_side() -> None:
    with pytest.raises(OffTheSheet, match=r"row 1, column 1 .* left .*1\.5 mm"):
        place(SHEET, 1, 1, Nudge(right_mm=-17.0))


def test_small_nudge_of_a_roll_label_stays_within_its_rim() -> None:
    assert place(ROLL, 1, 1, Nudge(0.3, -0.5))[0].y_mm == pytest.approx(-0.5)
    with pytest.raises(OffTheSheet, match="top"):
        place(ROLL, 1, 1, Nudge(0.0, -1.2))


@pytest.mark.parametrize("position", [0, -1, 86])
def test_position_that_the_sheet_lacks_is_refused(position: int) -> None:
    with pytest.raises(OffTheSheet, match="count from 1 to 85"):
        place(SHEET, 1, position)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"columns": 6}, "columns"),
        ({"rows": 18}, "rows"),
        ({"pitch_across_mm": 34.9}, "pitch_across_mm"),
        ({"pitch_down_mm": 14.0}, "pitch_down_mm"),
        ({"left_mm": -1.0}, "left_mm"),
        ({"columns": 1, "page_width_mm": 49.0}, "page_width_mm"),
        ({"label_height_mm": 1.5}, "label_height_mm"),
        ({"columns": 0}, "columns"),
        ({"margin_mm": -0.1}, "margin_mm"),
        ({"corner_radius_mm": 7.6}, "corner_radius_mm"),
        ({"is_round": True}, "label_height_mm"),
        ({"strip_mm": 33.0}, "strip_mm"),
        ({"dots_per_inch": 0}, "dots_per_inch"),
        ({"vial_diameter_mm": 0.0}, "vial_diameter_mm"),
    ],
)
def test_stock_that_contradicts_itself_is_refused(change: dict[str, Any], field: str) -> None:
    with pytest.raises(StockDoesNotFit) as refused:
        dataclasses.replace(SHEET, **change)
    assert refused.value.field == field


def test_stock_is_named_by_its_measurements() -> None:
    assert SHEET.description == "35 x 15 mm on Letter, 5 across, 17 down"
    assert "every 38 mm across, 15.5 mm down" in SHEET.hint
    assert len({stock.description for stock in STOCKS.values()}) == len(STOCKS)


@given(
    link=st.text("ABCDEFGHIJ0123456789:/.-", min_size=7, max_size=60),
    dots=st.sampled_from([203, 300, 600, 1200]),
    vial=st.sampled_from([None, 8.0, 12.0, 17.0, 28.0]),
    stock=any_stock,
)
def test_symbol_is_of_whole_dots_and_can_be_read(
    link: str, dots: int, vial: float | None, stock: LabelStock
) -> None:
    stock = dataclasses.replace(stock, dots_per_inch=dots, vial_diameter_mm=vial)
    try:
        symbol = symbol_for(link, stock)
    except SymbolWillNotRead:
        # Paper lying flat, with a fine printer and a wide label, is never refused.
        easy = vial is None and dots >= 600 and stock.code == ENVELOPE.code and len(link) <= 47
        assert not easy
        return
    assert symbol.module_dots >= 3
    assert symbol.module_mm == pytest.approx(symbol.module_dots * 25.4 / dots)
    assert symbol.module_mm > 0.166
    assert symbol.side_mm == pytest.approx((symbol.modules + 2 * 4) * symbol.module_mm)
    assert symbol.side_mm <= stock.label_height_mm - 2 * stock.margin_mm + 1e-6
    if vial is not None:
        assert 360 * symbol.modules * symbol.module_mm / (math.pi * vial) <= 61.01


VERY_WIDE = dataclasses.replace(ENVELOPE, dots_per_inch=2400)
# ISO/IEC 18004, table of capacities: upper-case characters that versions 1 to 6 hold at each level
# of error correction. From memory, and consistent with its data codewords: 11 bits for two.
CAPACITY = [
    {"L": 25, "M": 20, "Q": 16, "H": 10},
    {"L": 47, "M": 38, "Q": 29, "H": 20},
    {"L": 77, "M": 61, "Q": 47, "H": 35},
    {"L": 114, "M": 90, "Q": 67, "H": 50},
    {"L": 154, "M": 122, "Q": 87, "H": 64},
    {"L": 195, "M": 154, "Q": 108, "H": 84},
]


def test_smallest_version_and_then_the_highest_level_that_the_standard_allows() -> None:
    for length in range(9, 196):
        version, levels = next(
            (version, held) for version, held in enumerate(CAPACITY, 1) if length <= held["L"]
        )
        highest = max((level for level in levels if length <= levels[level]), key="LMQH".index)

        symbol = symbol_for(f"HTTPS://{'A' * (length - 8)}", VERY_WIDE)

        assert (length, symbol.version, symbol.error) == (length, version, highest)
        assert symbol.modules == 17 + 4 * version


@pytest.mark.parametrize(
    ("stock", "dots", "side"), [(SHEET, 6, 8.382), (ROLL, 4, 11.176), (ENVELOPE, 12, 16.764)]
)
def test_sizes_of_the_stocks_symbols(stock: LabelStock, dots: int, side: float) -> None:
    symbol = symbol_for(LINK, stock)

    assert (symbol.version, symbol.error, symbol.modules) == (2, "M", 25)
    assert symbol.module_dots == dots
    assert symbol.side_mm == pytest.approx(side)


def test_upper_case_link_takes_a_smaller_version() -> None:
    assert symbol_for(LINK.lower(), ENVELOPE).version == 3


def test_coarse_printer_on_a_narrow_vial_gives_no_symbol() -> None:
    with pytest.raises(SymbolWillNotRead, match=r"vial of 10 mm .* 73 degrees"):
        symbol_for(LINK, dataclasses.replace(ROLL, vial_diameter_mm=10.0))


def test_small_label_gives_no_symbol() -> None:
    small = dataclasses.replace(SHEET, label_height_mm=7.0, vial_diameter_mm=None)
    with pytest.raises(SymbolWillNotRead, match=r"5\.0 mm"):
        symbol_for(LINK, small)


@pytest.mark.parametrize("link", ["", "HTTPS://ÖRRINBECK/V/1", "HTTPS://" + "A" * 200])
def test_link_that_no_label_symbol_holds_is_refused(link: str) -> None:
    with pytest.raises(SymbolWillNotRead):
        symbol_for(link, ENVELOPE)


any_printed = pytest.mark.parametrize("stock", STOCKS.values(), ids=STOCKS.keys())


def symbol_or_none(stock: LabelStock) -> Symbol | None:
    try:
        return symbol_for(LINK, stock)
    except SymbolWillNotRead:
        return None


@any_printed
@pytest.mark.parametrize("with_symbol", [True, False])
def test_everything_stands_inside_the_label(stock: LabelStock, with_symbol: bool) -> None:
    symbol = symbol_or_none(stock) if with_symbol else None

    arrangement = arrange(LABEL, stock, symbol, by_characters)

    number = [line for line in arrangement.lines if line.bold]
    rest = [line for line in arrangement.lines if not line.bold]
    assert " ".join(line.text for line in number) == "26 0147 3"
    assert all(number[0].size_mm > line.size_mm for line in rest)
    for line in arrangement.lines:
        end = line.x_mm + by_characters(line.text, line.bold, line.size_mm)
        top = line.baseline_mm - 0.72 * line.size_mm
        assert stock.margin_mm - 1e-6 <= line.x_mm
        assert end <= stock.printed_width_mm - stock.margin_mm + 1e-6
        assert top >= stock.margin_mm
        assert line.baseline_mm <= stock.label_height_mm - stock.margin_mm
        if stock.is_round:
            middle = stock.label_height_mm / 2
            corners = itertools.product((line.x_mm, end), (top, line.baseline_mm))
            farthest = max(math.hypot(x - middle, y - middle) for x, y in corners)
            assert farthest <= middle - stock.margin_mm + 1e-6
    if symbol is not None:
        assert arrangement.symbol_x_mm >= 0
        assert arrangement.symbol_x_mm + symbol.side_mm <= stock.printed_width_mm
        assert arrangement.symbol_y_mm >= 0


WITH_SYMBOL = [stock for stock in STOCKS.values() if symbol_or_none(stock)]


def test_only_the_small_cap_dots_have_no_room_for_a_symbol() -> None:
    assert {code for code, stock in STOCKS.items() if stock not in WITH_SYMBOL} == {
        "letter-dot-9-5",
        "a4-dot-9-5",
    }


@pytest.mark.parametrize("stock", WITH_SYMBOL, ids=lambda stock: stock.code)
def test_no_text_stands_in_the_quiet_zone(stock: LabelStock) -> None:
    symbol = symbol_for(LINK, stock)
    arrangement = arrange(LABEL, stock, symbol, by_characters)
    left, top = arrangement.symbol_x_mm, arrangement.symbol_y_mm

    for line in arrangement.lines:
        end = line.x_mm + by_characters(line.text, line.bold, line.size_mm)
        gaps = (
            left - end,
            line.x_mm - (left + symbol.side_mm),
            line.baseline_mm - 0.72 * line.size_mm - (top + symbol.side_mm),
            top - line.baseline_mm,
        )
        assert max(gaps) >= -1e-6


def test_long_lake_takes_a_line_of_its_own() -> None:
    long = dataclasses.replace(LABEL, lake="Upper Orrinbeck North Arm")

    lines = arrange(long, SHEET, symbol_for(LINK, SHEET), by_characters).lines

    assert [line.text for line in lines] == ["26 0147 3", "Upper Orrinbeck North Arm", "2026"]


def test_text_that_is_too_long_stops_and_is_named() -> None:
    name = "The Great Long Water of Lake Orrinbeck"
    with pytest.raises(TextTooLong, match=name) as refusal:
        arrange(
            dataclasses.replace(LABEL, lake=name), SHEET, symbol_for(LINK, SHEET), by_characters
        )
    assert refusal.value.text == name
    with pytest.raises(TextTooLong, match="26 000000000147 3"):
        arrange(
            dataclasses.replace(LABEL, grouped="26 000000000147 3"),
            SHEET,
            symbol_for(LINK, SHEET),
            by_characters,
        )


def test_envelope_has_a_line_to_write_on_for_each_fact() -> None:
    arrangement = arrange(LABEL, ENVELOPE, symbol_for(LINK, ENVELOPE), by_characters)

    words = [line.text for line in arrangement.lines]
    for word in ("Species", "Sex", "Total length", "Arm", "Date", "Method", "Guide"):
        assert word in words
    heights = [rule.y_mm for rule in arrangement.rules]
    assert len(heights) == 7
    assert all(low - high >= 7 for high, low in itertools.pairwise(heights))
    assert all(rule.right_mm - rule.left_mm >= 25 for rule in arrangement.rules)
    assert any("Possession limits" in word for word in words)
