"""Label stocks and where things go on them, in millimetres from the top left. No drawing."""

from samples.vials.geometry.arrangement import (
    Arrangement,
    Label,
    Measure,
    Rule,
    TextLine,
    TextTooLong,
    arrange,
)
from samples.vials.geometry.preview import PlacePicture, Preview, SheetPicture, preview
from samples.vials.geometry.stock import (
    NO_NUDGE,
    STOCKS,
    CannotPrint,
    Nudge,
    OffTheSheet,
    Placed,
    Stock,
    StockDoesNotFit,
    place,
    places,
)
from samples.vials.geometry.symbol import Symbol, SymbolWillNotRead, symbol_for

__all__ = [
    "NO_NUDGE",
    "STOCKS",
    "Arrangement",
    "CannotPrint",
    "Label",
    "Measure",
    "Nudge",
    "OffTheSheet",
    "PlacePicture",
    "Placed",
    "Preview",
    "Rule",
    "SheetPicture",
    "Stock",
    "StockDoesNotFit",
    "Symbol",
    "SymbolWillNotRead",
    "TextLine",
    "TextTooLong",
    "arrange",
    "place",
    "places",
    "preview",
    "symbol_for",
]
