"""The looks of a printed report: sizes in points, black on white."""

from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import inch
from reportlab.platypus import Paragraph

from samples.reports.writers.fonts import BOLD, REGULAR
from samples.reports.writers.signs import printable

PAPERS: dict[str, tuple[float, float]] = {"letter": LETTER, "a4": A4}
SIDE, TOP, BOTTOM = 0.8 * inch, 0.85 * inch, 0.8 * inch
SOFT, RULE, EDGE = HexColor("#333333"), HexColor("#b8b8b8"), HexColor("#555555")


def _style(name: str, size: float, leading: float, **more: Any) -> ParagraphStyle:
    usual: dict[str, Any] = {
        "fontName": REGULAR,
        "fontSize": size,
        "leading": leading,
        "spaceAfter": 6,
    }
    return ParagraphStyle(name, **{**usual, **more})


BODY = _style("body", 9.5, 13.5, allowWidows=0, allowOrphans=0)
BULLET = _style("bullet", 9.5, 13.5, leftIndent=11, bulletIndent=0, spaceAfter=3)
ANSWER = _style("answer", 11, 15, fontName=BOLD, spaceAfter=7)
OWN = _style("own", 9.5, 13.5)
CAPTION = _style("caption", 8, 10.8, spaceAfter=4)
NOTE = _style("note", 7.5, 10, textColor=SOFT, spaceBefore=3, spaceAfter=9)
CHOICE = _style("choice", 8.5, 11.5, textColor=SOFT, spaceAfter=6)
HEADING = _style("heading", 15, 19, fontName=BOLD, spaceBefore=14, spaceAfter=5, keepWithNext=1)
SMALL_HEADING = _style(
    "small-heading", 10, 13, fontName=BOLD, spaceBefore=8, spaceAfter=3, keepWithNext=1
)
TITLE = _style("title", 24, 29, fontName=BOLD, spaceBefore=30, spaceAfter=8)
SUBTITLE = _style("subtitle", 11, 15, textColor=SOFT, spaceAfter=4)
CONTENTS = _style("contents", 10, 16, spaceAfter=0)
MISSING = _style("missing", 9.5, 13.5, leftIndent=9, rightIndent=9, fontName=BOLD)


def clean(text: str) -> str:
    """Return a text as a paragraph takes it: its signs are signs, and no control goes in."""
    return escape(printable(text))


def paragraph(
    text: str, style: ParagraphStyle, *, strong: str = "", bullet: str | None = None
) -> Paragraph:
    """Return a text as a paragraph, after a bullet and strong words if there are any."""
    before = f"<b>{clean(strong)}</b> " if strong else ""
    return Paragraph(before + clean(text).replace("\n", "<br/>"), style, bulletText=bullet)
