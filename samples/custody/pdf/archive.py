"""The map that lies in a box, and the index of the whole archive, on Letter paper."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from django.utils.formats import date_format

from samples.custody.parts import IndexLine, Slot
from samples.custody.pdf.page import LETTER, Sheet, measure, shortened
from samples.models import ArchiveBox, Lake
from samples.rules.vial_number import grouped

MARGIN = 14.0
ROOM = LETTER.width - 2 * MARGIN
HEAD = 5.2
SMALL = 3.2

_INDEX_COLUMNS = 3
_INDEX_LINE = 4.6
_INDEX_SIZE = 3.1
_INDEX_TOP = MARGIN + 21
_INDEX_ROWS = int((LETTER.height - MARGIN - 8 - _INDEX_TOP) / _INDEX_LINE)


def box_map_pdf(box: ArchiveBox, rows: Sequence[tuple[str, list[Slot]]], day: date) -> bytes:
    """Draw a box from above: the number of the vial in every slot."""
    title = f"Box {box.name}, {box.lake}"
    sheet = Sheet(LETTER, title)
    taken = sum(slot.stands != "free" for _, slots in rows for slot in slots)
    sheet.text(shortened(title, ROOM, HEAD, bold=True), MARGIN, MARGIN + 4, HEAD, bold=True)
    under = [
        f"{taken} of {box.rows * box.columns} slots filled",
        *([f"kept at {box.place}"] if box.place else []),
        f"as of {date_format(day)}",
    ]
    sheet.text(shortened(", ".join(under), ROOM, SMALL), MARGIN, MARGIN + 10, SMALL)
    left, top = MARGIN + 7, MARGIN + 20
    # Square slots, as large as both sides of the paper allow.
    room_down = LETTER.height - MARGIN - 12 - top
    side = min((ROOM - 7) / box.columns, room_down / box.rows, 24.0)
    size = min(side * 0.9 / measure("00 0000 0", 1.0, bold=True), 3.4)
    for place in range(box.columns):
        middle = left + (place + 0.5) * side
        sheet.text(str(place + 1), middle, top - 1.5, SMALL, bold=True, align="center")
    for at, (letter, slots) in enumerate(rows):
        y = top + at * side
        sheet.text(letter, left - 2, y + side / 2 + 1.1, SMALL, bold=True, align="right")
        for place, slot in enumerate(slots):
            _draw_slot(sheet, slot, left + place * side, y, side, size)
    foot = "Dashed: free. Gray: taken out or lost; the slot is kept for that vial."
    sheet.text(foot, MARGIN, top + box.rows * side + 6, SMALL)
    return sheet.finish()


def _draw_slot(sheet: Sheet, slot: Slot, x: float, y: float, side: float, size: float) -> None:
    away = slot.stands in {"out", "missing"}
    sheet.box(x, y, side, side, dashed=slot.stands == "free", gray=0.85 if away else None)
    if not slot.number:
        return
    middle = x + side / 2
    number = grouped(slot.number)
    sheet.text(number, middle, y + side / 2 + size / 3, size, bold=True, align="center")
    if away:
        word = "out" if slot.stands == "out" else "lost"
        sheet.text(word, middle, y + side / 2 + size * 1.5, size * 0.9, align="center")


def archive_index_pdf(lake: Lake, lines: Sequence[IndexLine], day: date) -> bytes:
    """Write where every vial is, in order of the numbers, three columns to a page."""
    sheet = Sheet(LETTER, f"Archive index, {lake}")
    per_page = _INDEX_COLUMNS * _INDEX_ROWS
    pages = max(1, -(-len(lines) // per_page))
    for page in range(pages):
        if page:
            sheet.next_page()
        _index_head(sheet, lake, len(lines), day)
        here = lines[page * per_page : (page + 1) * per_page]
        for column in range(_INDEX_COLUMNS):
            _index_column(sheet, column, here[column * _INDEX_ROWS : (column + 1) * _INDEX_ROWS])
        foot = f"Page {page + 1} of {pages}"
        sheet.text(foot, LETTER.width - MARGIN, LETTER.height - MARGIN, SMALL, align="right")
    return sheet.finish()


def _index_head(sheet: Sheet, lake: Lake, count: int, day: date) -> None:
    title = shortened(f"Archive index, {lake}", ROOM, HEAD, bold=True)
    sheet.text(title, MARGIN, MARGIN + 4, HEAD, bold=True)
    vials = "1 vial" if count == 1 else f"{count:,} vials"
    sheet.text(f"{vials}, as of {date_format(day)}", MARGIN, MARGIN + 10, SMALL)


def _index_column(sheet: Sheet, column: int, lines: Sequence[IndexLine]) -> None:
    if not lines:
        return
    width = ROOM / _INDEX_COLUMNS
    x = MARGIN + column * width
    for name, offset in (("Vial", 0.0), ("Box", 21.0), ("Slot", 42.0)):
        sheet.text(name, x + offset, _INDEX_TOP - 2.5, _INDEX_SIZE, bold=True)
    sheet.line(x, _INDEX_TOP - 1.2, x + width - 5, _INDEX_TOP - 1.2)
    for at, line in enumerate(lines):
        y = _INDEX_TOP + (at + 0.7) * _INDEX_LINE
        sheet.text(grouped(line.number), x, y, _INDEX_SIZE)
        sheet.text(shortened(line.box, 20.0, _INDEX_SIZE), x + 21.0, y, _INDEX_SIZE)
        slot = f"{line.slot} (out)" if line.is_out else line.slot
        sheet.text(shortened(slot, width - 46.0, _INDEX_SIZE), x + 42.0, y, _INDEX_SIZE)
