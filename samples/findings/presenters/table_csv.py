"""A table as comma-separated values, for whatever reads them next."""

import csv
import io

from samples.findings.page_model import Scalar, Table
from samples.findings.presenters.file_columns import DIGITS, file_columns
from samples.rules.csv_text import plain_cell


def as_csv(table: Table) -> str:
    """Return a table as CSV: numbers as they were computed, a missing one as an empty cell."""
    columns = file_columns(table)
    out = io.StringIO()
    write = csv.writer(out)
    write.writerow([plain_cell(column.head) for column in columns])
    for row in zip(*(column.values for column in columns), strict=True):
        write.writerow([_cell(value) for value in row])
    return out.getvalue()


def _cell(value: Scalar | None) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return plain_cell(value)
    return f"{value:.{DIGITS}g}" if isinstance(value, float) else str(value)
