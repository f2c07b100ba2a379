"""QR symbols as they are drawn: through a stencil on a label, as a path on a page."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import zxingcpp
from PIL import Image

from samples.vials.geometry import Symbol


def stencil(link: str, symbol: Symbol) -> str:
    """Return an inline image through which the dark modules are painted in a square of 1 by 1.

    A pixel a module takes a third of what its outline takes (ISO 32000-1, 8.9.7). In hexadecimal
    digits it never holds the letters that end it.

    :raises ValueError: if the symbol's version and level do not hold the link
    """
    made = zxingcpp.create_barcode(
        link, zxingcpp.BarcodeFormat.QRCode, version=symbol.version, ec_level=symbol.error
    )
    # Light modules are 1, and a row is filled up to whole bytes.
    bits = _drawn(made).convert("1", dither=Image.Dither.NONE).tobytes()
    side = symbol.modules
    return f"BI/W {side}/H {side}/IM true/F/AHx ID {bits.hex()}>\nEI"


def symbol_path(link: str) -> str:
    """Return the dark modules of a link's QR symbol as an SVG path, one unit a module.

    The smallest version is taken that holds the link at level M; the quiet zone is left out.
    """
    made = zxingcpp.create_barcode(link, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    return "".join(f"M{x} {y}h{width}v1h-{width}z" for x, y, width in _runs(_drawn(made)))


def _drawn(made: zxingcpp.Barcode) -> Image.Image:
    """Draw a symbol, a pixel a module, without its quiet zone."""
    drawn = zxingcpp.write_barcode_to_image(made, scale=1, add_quiet_zones=False)
    height, width = drawn.shape
    return Image.frombuffer("L", (width, height), drawn, "raw", "L", 0, 1)


def _runs(drawn: Image.Image) -> Iterator[tuple[int, int, int]]:
    """Return column, row and width of each run of dark modules in a row."""
    pixels = drawn.tobytes()
    for y in range(drawn.height):
        x = 0
        for shade, modules in itertools.groupby(pixels[y * drawn.width : (y + 1) * drawn.width]):
            width = len(list(modules))
            if shade < 128:
                yield x, y, width
            x += width
