"""A page of a PDF as a picture: what is shown before printing is the page itself."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from threading import Lock

import pypdfium2

from samples.vials.pdf.page import POINTS_PER_MM

# A label as large as a hand, at a printer of 2400 dots, would take a gigabyte.
MOST_PIXELS = 4_000_000
# The library that draws is not made for two threads at once.
_ONE_AT_A_TIME = Lock()


@dataclass(frozen=True, slots=True)
class Cutting:
    """A part of a page, in mm from its top left."""

    left: float
    top: float
    width: float
    height: float


def page_png(
    data: bytes, *, dots_per_inch: float, page: int = 0, cutting: Cutting | None = None
) -> bytes:
    """Return one page of a PDF, or a part of it, as a PNG; a large one coarser than asked for."""
    with _ONE_AT_A_TIME:
        document = pypdfium2.PdfDocument(data)
        try:
            drawn = document[page]
            crop = (0.0, 0.0, 0.0, 0.0) if cutting is None else _margins(drawn.get_size(), cutting)
            scale = min(dots_per_inch / 72, _largest_scale(drawn.get_size(), crop))
            picture = drawn.render(scale=scale, crop=crop, grayscale=True).to_pil()
        finally:
            document.close()
    out = io.BytesIO()
    picture.save(out, "PNG", compress_level=4)
    return out.getvalue()


def _largest_scale(size: tuple[float, float], crop: tuple[float, float, float, float]) -> float:
    left, bottom, right, top = crop
    width, height = size[0] - left - right, size[1] - bottom - top
    # A pixel a side may be added where the ends are rounded up.
    most = MOST_PIXELS - 2 * math.isqrt(MOST_PIXELS)
    return math.sqrt(most / max(width * height, 1.0))


def _margins(size: tuple[float, float], cutting: Cutting) -> tuple[float, float, float, float]:
    """Return what is cut off at the left, bottom, right and top, in points."""
    width, height = size
    left, top = cutting.left * POINTS_PER_MM, cutting.top * POINTS_PER_MM
    right = width - left - cutting.width * POINTS_PER_MM
    bottom = height - top - cutting.height * POINTS_PER_MM
    return tuple(max(0.0, margin) for margin in (left, bottom, right, top))  # type: ignore[return-value]
