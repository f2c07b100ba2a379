"""Reads a spreadsheet from the bytes of a file: rows in words, none judged yet."""

import codecs
import csv
import io
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from samples.exchange.rules import MOST_BYTES, heading_meaning, ring_heading_meaning

DELIMITERS = ",;\t|"
# "Unicode text" of a spreadsheet: two bytes a letter, told by the mark at its beginning.
_WIDE = ((codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))


class CannotReadTable(Exception):
    """A file that is no table of what was asked for; the message says what to do about it."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code


@dataclass(frozen=True, slots=True)
class FileRow:
    """One row: its number in the file (the heading is row 1) and its words by field."""

    number: int
    cells: dict[str, str]

    def get(self, name: str) -> str:
        return self.cells.get(name, "")


@dataclass(frozen=True, slots=True)
class FileTable:
    """The rows of a file, what its columns are called there, and which were not understood."""

    rows: tuple[FileRow, ...]
    columns: dict[str, str]
    units: dict[str, str]
    not_used: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """One kind of spreadsheet: what a row of it is, what its headings mean, what it must have.

    ``needed`` holds a sentence for each field that it cannot do without.
    """

    rows_of: str
    meaning: Callable[[str], tuple[str, str]]
    needed: Mapping[str, str]


FISH = Sheet(
    "fish",
    heading_meaning,
    {"length": "No column of total lengths. Name it length, length_in or length_mm."},
)
RINGS = Sheet(
    "readings",
    ring_heading_meaning,
    {
        "vial": "No column of vial numbers. Name it vial.",
        "annuli": "No column of annulus counts. Name it annuli.",
        "method": "No column of reading methods. Name it method.",
        "read_on": "No column of reading dates. Name it read on.",
        "edge": "No column of edge radii. Name it edge radius.",
        "radius_1": "No columns of annulus radii. Name them radius 1, radius 2 ...",
    },
)


def read_table(content: bytes, sheet: Sheet = FISH) -> FileTable:
    """Read a CSV file with commas, semicolons or tabs, in UTF-8, UTF-16 or Latin-1.

    :raises CannotReadTable: if it is too large, empty, or lacks a column that is needed
    """
    if len(content) > MOST_BYTES:
        size, most = len(content) / 1024 / 1024, MOST_BYTES // 1024 // 1024
        raise CannotReadTable(
            "too_large",
            f"The file is {size:.0f} MB, and at most {most} MB are read at a time. "
            "Split it, for example by season.",
        )
    text = _decode(content)
    lines = list(_records(text))
    if len(lines) < 2:
        raise CannotReadTable(
            "empty",
            f"The file has no row of {sheet.rows_of} below its headings. Export it again as CSV.",
        )
    (_, headings), *records = lines
    columns, units, not_used = _columns(headings, sheet)
    for name, sentence in sheet.needed.items():
        if name not in columns:
            listed = ", ".join(heading or "(empty)" for heading in headings)
            raise CannotReadTable(f"no_{name}", f"{sentence} The headings found are: {listed}.")
    places = {name: headings.index(heading) for name, heading in columns.items()}
    rows = tuple(
        FileRow(number, {n: record[at].strip() for n, at in places.items() if at < len(record)})
        for number, record in records
    )
    return FileTable(rows, columns, units, not_used)


def _decode(content: bytes) -> str:
    for mark, encoding in _WIDE:
        if content.startswith(mark):
            return _decode_wide(content, encoding)
    if b"\x00" in content[:4096]:
        raise CannotReadTable(
            "not_text", "This is not a CSV file. Save the sheet as CSV and try again."
        )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        # What older spreadsheets write; every byte has a letter in it.
        return content.decode("cp1252", errors="replace")


def _decode_wide(content: bytes, encoding: str) -> str:
    try:
        return content.decode(encoding).removeprefix("\ufeff")
    except UnicodeDecodeError as problem:
        raise CannotReadTable(
            "not_text", "The file is cut off. Save the sheet as CSV again."
        ) from problem


def _records(text: str) -> Iterator[tuple[int, list[str]]]:
    """Return the rows that hold anything, each with the number of its line in the file."""
    first = text.lstrip().partition("\n")[0]
    delimiter = max(DELIMITERS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        for record in reader:
            if any(word.strip() for word in record):
                yield reader.line_num, [word.strip() for word in record]
    except csv.Error as problem:
        raise CannotReadTable(
            "broken", f"Row {reader.line_num} cannot be read: {problem}. Check its quotes."
        ) from problem


def _columns(
    headings: list[str], sheet: Sheet
) -> tuple[dict[str, str], dict[str, str], tuple[str, ...]]:
    columns: dict[str, str] = {}
    units: dict[str, str] = {}
    not_used = []
    for heading in headings:
        name, unit = sheet.meaning(heading)
        if not name or name in columns:
            not_used.append(heading)
            continue
        columns[name] = heading
        if unit:
            units[name] = unit
    return columns, units, tuple(not_used)
