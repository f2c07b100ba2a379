"""The styles of a Word report: black on white, changed once; no paragraph has looks of its own."""

from typing import Any

from docx.enum.style import WD_STYLE_TYPE
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Pt, RGBColor

TABLE_TEXT, NOTE = "Table Text", "Table Note"
TABLE_TEXT_ID = TABLE_TEXT.replace(" ", "")
FONT, TABLE_SIZE = "Calibri", 8.5
_BLACK, _SOFT = RGBColor(0, 0, 0), RGBColor(0x33, 0x33, 0x33)
# Size, bold, points before and after.
_LOOKS = {
    "Normal": (10.5, False, 0, 6),
    "Title": (26, True, 24, 6),
    "Subtitle": (12, False, 0, 3),
    "Heading 1": (16, True, 20, 6),
    "Heading 2": (12, True, 12, 4),
    "TOC Heading": (12, True, 18, 4),
    "Body Text": (10.5, False, 0, 6),
    "Body Text 2": (12, True, 0, 6),
    "Body Text 3": (9.5, False, 0, 6),
    "List Bullet": (10.5, False, 0, 3),
    "List Paragraph": (10.5, False, 0, 2),
    "Caption": (9, False, 4, 6),
    "Quote": (10.5, False, 0, 6),
    "Intense Quote": (10.5, True, 6, 10),
    "Header": (8.5, False, 0, 0),
    "Footer": (8.5, False, 0, 0),
    TABLE_TEXT: (TABLE_SIZE, False, 1, 1),
    NOTE: (8.5, False, 3, 10),
}
_SOFT_STYLES = {"Subtitle", "Body Text 3", "Header", "Footer", NOTE}


def set_styles(file: Any, language: str) -> None:
    """Give every style that a report uses its looks, and the file its language."""
    for name in (TABLE_TEXT, NOTE):
        file.styles.add_style(name, WD_STYLE_TYPE.PARAGRAPH).base_style = file.styles["Normal"]
    for name, (size, bold, before, after) in _LOOKS.items():
        style = file.styles[name]
        _set_font(style, size, bold=bold, color=_SOFT if name in _SOFT_STYLES else _BLACK)
        form = style.paragraph_format
        form.space_before, form.space_after = Pt(before), Pt(after)
        form.line_spacing = 1.15 if name.startswith(("Body", "List", "Quote")) else 1.0
    for name in ("List Paragraph", "Intense Quote", "Quote"):
        form = file.styles[name].paragraph_format
        form.left_indent = form.right_indent = Pt(9 if "Quote" in name else 0)
    # Own words stand beside a line, so that nobody takes them for the program's.
    _set_border(file.styles["Quote"], "left")
    _set_border(file.styles["Intense Quote"], *("top", "left", "bottom", "right"))
    _remove_border(file.styles["Title"])
    _set_language(file, language)


def _set_font(style: Any, size: float, *, bold: bool, color: RGBColor) -> None:
    font = style.font
    font.name, font.size, font.bold, font.italic = FONT, Pt(size), bold, False
    font.color.rgb = color
    letters = style.element.get_or_add_rPr()
    for apart in letters.findall(qn("w:spacing")):
        letters.remove(apart)
    fonts = letters.get_or_add_rFonts()
    for script in ("asciiTheme", "hAnsiTheme", "eastAsiaTheme", "cstheme"):
        fonts.attrib.pop(qn(f"w:{script}"), None)


def _set_border(style: Any, *sides: str) -> None:
    _remove_border(style)
    border = OxmlElement("w:pBdr")
    for side in sides:
        line = OxmlElement(f"w:{side}")
        for name, value in (("val", "single"), ("sz", "12"), ("space", "6"), ("color", "000000")):
            line.set(qn(f"w:{name}"), value)
        border.append(line)
    properties = style.element.get_or_add_pPr()
    properties.insert_element_before(border, *("w:shd", "w:tabs", "w:spacing", "w:ind", "w:jc"))


def _remove_border(style: Any) -> None:
    properties = style.element.get_or_add_pPr()
    for old in properties.findall(qn("w:pBdr")):
        properties.remove(old)


def _set_language(file: Any, language: str) -> None:
    [defaults] = file.styles.element.xpath("w:docDefaults/w:rPrDefault/w:rPr")
    for old in defaults.findall(qn("w:lang")):
        defaults.remove(old)
    said = OxmlElement("w:lang")
    said.set(qn("w:val"), language)
    defaults.append(said)
