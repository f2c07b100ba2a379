"""A table as an Excel workbook: the same columns as the CSV, shown rounded, kept in full."""

import io
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter

from samples.findings.page_model import Part, Table
from samples.findings.presenters.file_columns import FileColumn, file_columns
from samples.rules.xlsx_cells import GENERAL, xlsx_cell

NARROWEST, WIDEST, OF_WORDS = 9, 48, 100
TOP = Alignment(wrap_text=True, vertical="top")


def as_xlsx(table: Table) -> bytes:
    """Return a table as a workbook: its values, and a sheet of what explains them."""
    book = Workbook(write_only=True)
    columns = file_columns(table)
    sheet = book.create_sheet("Table")
    sheet.freeze_panes = "B2"
    for place, column in enumerate(columns, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = _width(column)
    sheet.append([_head(sheet, column.head) for column in columns])
    formats = [_format(column.like) for column in columns]
    for row in zip(*(column.values for column in columns), strict=True):
        sheet.append([xlsx_cell(sheet, *one) for one in zip(row, formats, strict=True)])
    about = book.create_sheet("About")
    about.column_dimensions["A"].width = OF_WORDS
    for words in filter(None, (table.caption, table.note)):
        cell = xlsx_cell(about, words)
        cell.alignment = TOP
        about.append([cell])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _head(sheet: Any, words: str) -> Any:
    cell = xlsx_cell(sheet, words)
    cell.font, cell.alignment = Font(bold=True), TOP
    return cell


def _format(like: Part | None) -> str:
    if like is None or like.decimals is None:
        return GENERAL
    number = f"0.{'0' * like.decimals}" if like.decimals else "0"
    return f"+{number};-{number};{number}" if like.signed else number


def _width(column: FileColumn) -> int:
    longest = max((len(one) for one in column.values if isinstance(one, str)), default=0)
    return min(WIDEST, max(NARROWEST, longest + 2, len(column.head) // 2 + 2))
