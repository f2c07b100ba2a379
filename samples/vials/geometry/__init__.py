"""Label stocks and where things go on them, in millimetres from the top left. No drawing."""

from samples.vials.geometry.arrangement import (
    Arrangement,
    Label,
    Measure,
    TextLine,
    TextTooLong,
    WritingLine,
    arrange,
)
from samples.vials.geometry.catalogue import STOCKS
from samples.vials.geometry.places import (
    FULL_SHEETS,
    NO_NUDGE,
    Filling,
    LabelPlace,
    Nudge,
    OffTheSheet,
    place,
    places,
    positions_before,
    positions_in_order,
    used_after,
)
from samples.vials.geometry.preview import PlacePicture, Preview, SheetPicture, preview
from samples.vials.geometry.stock import (
    CannotPrint,
    LabelStock,
    StockDoesNotFit,
)
from samples.vials.geometry.symbol import Symbol, SymbolWillNotRead, symbol_for

__all__ = [
    "FULL_SHEETS",
    "NO_NUDGE",
    "STOCKS",
    "Arrangement",
    "CannotPrint",
    "Filling",
    "Label",
    "LabelPlace",
    "LabelStock",
    "Measure",
    "Nudge",
    "OffTheSheet",
    "PlacePicture",
    "Preview",
    "SheetPicture",
    "StockDoesNotFit",
    "Symbol",
    "SymbolWillNotRead",
    "TextLine",
    "TextTooLong",
    "WritingLine",
    "arrange",
    "place",
    "places",
    "positions_before",
    "positions_in_order",
    "preview",
    "symbol_for",
    "used_after",
]
