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
from samples.vials.geometry.preview import PlacePicture, Preview, SheetPicture, preview
from samples.vials.geometry.stock import (
    NO_NUDGE,
    STOCKS,
    CannotPrint,
    LabelPlace,
    LabelStock,
    Nudge,
    OffTheSheet,
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
    "preview",
    "symbol_for",
]
