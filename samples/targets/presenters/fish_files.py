"""The list of fish as files: the columns and the order of the page, every fish of the choice.

Fish come from the database in portions, so that a list of any length needs little memory.
"""

import csv
import tempfile
from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

from samples.models import Fish
from samples.rules.csv_text import plain_cell
from samples.targets.presenters.fish_table import FishColumn, Value
from samples.units import LengthUnit

# Above this size a workbook lies in a file of its own instead of in memory.
MOST_BYTES_IN_MEMORY = 1_000_000
CHUNK = 65_536
WIDTHS = {"species": 20, "status": 20, "method": 20, "logged_by": 24, "note": 40, "donor": 24}


class _Line:
    """Takes a line from the writer of CSV and hands it on."""

    def write(self, line: str) -> str:
        return line


def csv_lines(fish: Iterable[Fish], columns: list[FishColumn], unit: LengthUnit) -> Iterator[str]:
    """Yield the lines of a CSV file, heads first."""
    writer: Any = csv.writer(_Line())
    yield writer.writerow([one.head_in(unit) for one in columns])
    for one in fish:
        yield writer.writerow([_csv_cell(column.value_of(one, unit)) for column in columns])


def _csv_cell(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return plain_cell(value)
    return value.isoformat() if isinstance(value, date) else str(value)


def xlsx_chunks(
    fish: Iterable[Fish], columns: list[FishColumn], unit: LengthUnit
) -> Iterator[bytes]:
    """Yield a workbook: numbers as numbers, dates as dates, everything else as text."""
    # Slow to load, and needed here alone.
    from openpyxl import Workbook
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    from samples.rules.xlsx_cells import GENERAL, xlsx_cell

    formats = {"length": "0.0" if unit is LengthUnit.INCH else "0", "caught": "yyyy-mm-dd"}
    number_formats = [formats.get(one.key, GENERAL) for one in columns]
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Fish")
    sheet.freeze_panes = "B2"
    for place, column in enumerate(columns, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = WIDTHS.get(column.key, 12)
    heads = [xlsx_cell(sheet, one.head_in(unit)) for one in columns]
    for head in heads:
        head.font = Font(bold=True)
    sheet.append(heads)
    for one in fish:
        values = [column.value_of(one, unit) for column in columns]
        sheet.append([xlsx_cell(sheet, *cell) for cell in zip(values, number_formats, strict=True)])
    with tempfile.SpooledTemporaryFile(max_size=MOST_BYTES_IN_MEMORY) as out:
        book.save(out)
        out.seek(0)
        while chunk := out.read(CHUNK):
            yield chunk
