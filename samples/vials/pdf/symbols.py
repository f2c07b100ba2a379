"""The dark modules of a QR symbol, by an encoder that weighs the eight masks of ISO/IEC 18004."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
import zxingcpp

from samples.vials.geometry import CannotPrint, Symbol


class SymbolNotMade(CannotPrint):
    """The encoder made another symbol than the label has room for."""

    code = "symbol_not_made"


def dark_modules(link: str, symbol: Symbol | None = None) -> np.ndarray:
    """Return a square of truth values, dark ones true; the quiet zone is left out.

    Without `symbol` the smallest version is taken that holds the link at level M.

    :raises SymbolNotMade: if the encoder does not keep to the symbol's version and level
    """
    wanted = f"version={symbol.version},ecLevel={symbol.error}" if symbol else "ecLevel=M"
    made = zxingcpp.create_barcode(link, zxingcpp.BarcodeFormat.QRCode, options=wanted)
    drawn = zxingcpp.write_barcode_to_image(made, scale=1, add_quiet_zones=False)
    dark = np.asarray(drawn) < 128
    if symbol and (dark.shape[0] != symbol.modules or made.ec_level != symbol.error):
        raise SymbolNotMade("The code of a label could not be made. Tell your administrator.")
    return dark


def symbol_path(link: str, symbol: Symbol | None = None) -> str:
    """Return the dark modules of a link's QR symbol as an SVG path, one unit a module."""
    runs = _runs(dark_modules(link, symbol))
    return "".join(f"M{x} {y}h{width}v1h-{width}z" for x, y, width in runs)


def stencil(dark: np.ndarray) -> bytes:
    """Return an inline image through which the dark modules are painted in a square of 1 by 1.

    A pixel a module: 100 bytes a symbol of version 2, where its outline takes three times as many.
    """
    side = len(dark)
    # Bits are light where they are 1; a row is filled up to whole bytes.
    bits = np.packbits(~dark, axis=1).tobytes()
    shape = b"BI/W %d/H %d/IM true" % (side, side)
    if b"EI" in bits:
        # A reader that looks for the end of the image would find it here.
        return b"%s/F/AHx ID %s>\nEI" % (shape, bits.hex().encode())
    return b"%s ID %s\nEI" % (shape, bits)


def _runs(dark: np.ndarray) -> Iterator[tuple[int, int, int]]:
    """Return column, row and width of each run of dark modules in a row."""
    for y, row in enumerate(dark.tolist()):
        x = 0
        for is_dark, modules in itertools.groupby(row):
            width = len(list(modules))
            if is_dark:
                yield x, y, width
            x += width
