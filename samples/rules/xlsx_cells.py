"""Cells of a workbook that a spreadsheet will not take for a formula."""

import re
from typing import Any

from openpyxl.cell import WriteOnlyCell

GENERAL, AS_TEXT = "General", "@"
# Control characters that no sheet may hold.
_FORBIDDEN = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")


def xlsx_cell(sheet: Any, value: Any, number_format: str = GENERAL) -> Any:
    """Return a cell of a sheet. Words that look like a formula are words, and stay so."""
    if not isinstance(value, str):
        cell = WriteOnlyCell(sheet, value)
        cell.number_format = number_format
        return cell
    cell = WriteOnlyCell(sheet, _FORBIDDEN.sub("", value))
    if cell.data_type != "s":
        cell.data_type, cell.number_format = "s", AS_TEXT
    return cell
