"""QR symbols as they are drawn on labels, through a stencil."""

from __future__ import annotations

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


def _drawn(made: zxingcpp.Barcode) -> Image.Image:
    """Draw a symbol, a pixel a module, without its quiet zone."""
    drawn = zxingcpp.write_barcode_to_image(made, scale=1, add_quiet_zones=False)
    height, width = drawn.shape
    return Image.frombuffer("L", (width, height), drawn, "raw", "L", 0, 1)
