"""Label stocks that every lake has: common sizes, named by their measurements.

Whoever has others adds them on the page of label stocks. The code of a stock is kept in runs and
printers: never rename one, and never change what it measures.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from samples.vials.geometry.stock import LabelStock

LETTER_MM = (215.9, 279.4)
A4_MM = (210.0, 297.0)

TONER = "Ethanol smears some toners: cover each label with clear laminate."
RIBBON = "Print by thermal transfer with a resin ribbon: ethanol ruins direct thermal print."
PENCIL = "Fill in with a pencil: ethanol removes ink."
CAP = "A cap lies flat, so its code scans best; keep the number on the vial too."


def _sheet(
    code: str,
    page: tuple[float, float],
    label: tuple[float, float],
    grid: tuple[int, int],
    corner: tuple[float, float],
    pitch: tuple[float, float],
    **more: Any,
) -> LabelStock:
    """Describe a sheet for a laser printer, everything across before down."""
    usual: dict[str, Any] = {"dots_per_inch": 600, "corner_radius_mm": 1.0, "advice": TONER}
    return LabelStock(
        code=code,
        page_width_mm=page[0],
        page_height_mm=page[1],
        label_width_mm=label[0],
        label_height_mm=label[1],
        columns=grid[0],
        rows=grid[1],
        left_mm=corner[0],
        top_mm=corner[1],
        pitch_across_mm=pitch[0],
        pitch_down_mm=pitch[1],
        **usual | more,
    )


def _single(code: str, label: tuple[float, float], **more: Any) -> LabelStock:
    """Describe a label that is a page of its own: from a roll, or an envelope."""
    return _sheet(code, label, label, (1, 1), (0.0, 0.0), label, **more)


_ON_A_CAP = {"is_round": True, "margin_mm": 0.5, "corner_radius_mm": 0.0, "advice": CAP}

_ALL = (
    _sheet(
        "sheet-35x15", LETTER_MM, (35, 15), (5, 17), (14.5, 8.2), (38, 15.5), vial_diameter_mm=12.0
    ),
    _sheet(
        "letter-25x10", LETTER_MM, (25, 10), (7, 21), (11.45, 14.7), (28, 12), vial_diameter_mm=10.0
    ),
    _sheet(
        "letter-33x13", LETTER_MM, (33, 13), (5, 17), (19.45, 13.2), (36, 15), vial_diameter_mm=12.0
    ),
    _sheet(
        "letter-38x12-strip",
        LETTER_MM,
        (38, 12),
        (5, 18),
        (8.95, 14.7),
        (40, 14),
        vial_diameter_mm=12.0,
        strip_mm=12.0,
        advice=PENCIL,
    ),
    _sheet(
        "letter-51x25", LETTER_MM, (51, 25), (3, 9), (28.45, 19.2), (54, 27), vial_diameter_mm=28.0
    ),
    _sheet(
        "letter-dot-9-5",
        LETTER_MM,
        (9.5, 9.5),
        (15, 20),
        (15.7, 16.2),
        (12.5, 12.5),
        vial_diameter_mm=None,
        **_ON_A_CAP,
    ),
    _sheet(
        "letter-dot-13",
        LETTER_MM,
        (13, 13),
        (12, 15),
        (13.45, 21.2),
        (16, 16),
        vial_diameter_mm=None,
        **_ON_A_CAP,
    ),
    _sheet("a4-25x10", A4_MM, (25, 10), (7, 23), (8.5, 11.5), (28, 12), vial_diameter_mm=10.0),
    _sheet("a4-33x13", A4_MM, (33, 13), (5, 18), (16.5, 14.5), (36, 15), vial_diameter_mm=12.0),
    _sheet("a4-35x15", A4_MM, (35, 15), (5, 16), (11.5, 13.5), (38, 17), vial_diameter_mm=12.0),
    _sheet(
        "a4-38x12-strip",
        A4_MM,
        (38, 12),
        (5, 19),
        (6.0, 16.5),
        (40, 14),
        vial_diameter_mm=12.0,
        strip_mm=12.0,
        advice=PENCIL,
    ),
    _sheet("a4-51x25", A4_MM, (51, 25), (3, 10), (25.5, 14.5), (54, 27), vial_diameter_mm=28.0),
    _sheet(
        "a4-dot-9-5",
        A4_MM,
        (9.5, 9.5),
        (15, 21),
        (12.75, 18.75),
        (12.5, 12.5),
        vial_diameter_mm=None,
        **_ON_A_CAP,
    ),
    _sheet(
        "a4-dot-13",
        A4_MM,
        (13, 13),
        (12, 17),
        (10.5, 14),
        (16, 16),
        vial_diameter_mm=None,
        **_ON_A_CAP,
    ),
    _single("roll-38x19", (38, 19), dots_per_inch=300, vial_diameter_mm=17.0, advice=RIBBON),
    _single("roll-33x13", (33, 13), dots_per_inch=300, vial_diameter_mm=12.0, advice=RIBBON),
    _single("roll-51x25", (51, 25), dots_per_inch=203, vial_diameter_mm=28.0, advice=RIBBON),
    _single(
        "envelope-57x89",
        (57, 89),
        vial_diameter_mm=None,
        corner_radius_mm=0.0,
        has_pencil_lines=True,
        advice=PENCIL,
    ),
)

STOCKS: Mapping[str, LabelStock] = MappingProxyType({stock.code: stock for stock in _ALL})
