"""QR symbols as they are drawn: through a stencil on a label, as a path on a page."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np
import zxingcpp

from samples.vials.geometry import Symbol
from samples.vials.pdf.masks import Modules, best_symbols


def stencils(links: Sequence[str], symbol: Symbol) -> list[bytes]:
    """Return inline images through which the dark modules are painted in squares of 1 by 1.

    A pixel a module: 100 bytes a symbol of version 2, where its outline takes three times as many.

    :raises SymbolNotMade: if the encoder does not keep to the symbol's version and level
    """
    # Bits are light where they are 1; a row is filled up to whole bytes.
    packed = np.packbits(~best_symbols(links, symbol), axis=2)
    return [_stencil(bits.tobytes(), symbol.modules) for bits in packed]


def _stencil(bits: bytes, side: int) -> bytes:
    shape = b"BI/W %d/H %d/IM true" % (side, side)
    if b"EI" in bits:
        # A reader that looks for the end of the image would find it here.
        return b"%s/F/AHx ID %s>\nEI" % (shape, bits.hex().encode())
    return b"%s ID %s\nEI" % (shape, bits)


def symbol_path(link: str) -> str:
    """Return the dark modules of a link's QR symbol as an SVG path, one unit a module.

    The smallest version is taken that holds the link at level M; the quiet zone is left out.
    """
    made = zxingcpp.create_barcode(link, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    drawn = zxingcpp.write_barcode_to_image(made, scale=1, add_quiet_zones=False)
    return "".join(
        f"M{x} {y}h{width}v1h-{width}z" for x, y, width in _runs(np.asarray(drawn) < 128)
    )


def _runs(dark: Modules) -> Iterator[tuple[int, int, int]]:
    """Return column, row and width of each run of dark modules in a row."""
    for y, row in enumerate(dark.tolist()):
        x = 0
        for is_dark, modules in itertools.groupby(row):
            width = len(list(modules))
            if is_dark:
                yield x, y, width
            x += width
