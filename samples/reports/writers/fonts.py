"""The letters of a report: DejaVu Sans, which comes with the library that draws figures.

It has the signs of the trade (minus, Greek, chi squared) that the built-in fonts of PDF lack, and
is embedded, as far as it is used.
"""

from functools import cache
from importlib.util import find_spec
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR, BOLD = "Report", "Report-Bold"
_FILES = {REGULAR: "DejaVuSans.ttf", BOLD: "DejaVuSans-Bold.ttf"}


@cache
def register_fonts() -> None:
    """Make the fonts known; once for each process."""
    spec = find_spec("matplotlib")
    [package] = list(spec.submodule_search_locations or []) if spec else []
    folder = Path(package) / "mpl-data" / "fonts" / "ttf"
    for name, file in _FILES.items():
        pdfmetrics.registerFont(TTFont(name, folder / file))
    pdfmetrics.registerFontFamily(
        REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD
    )


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Return how wide a text is, in points."""
    width: float = pdfmetrics.stringWidth(text, BOLD if bold else REGULAR, size)
    return width
