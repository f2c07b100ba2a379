"""The card that goes out with a kit of vials, and the slips that go into them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import segno

from samples.custody.pdf.page import (
    A4_ACROSS,
    A6,
    LEADING,
    LETTER,
    LETTER_ACROSS,
    Paper,
    Sheet,
    measure,
    shortened,
    wrapped,
)
from samples.custody.pdf.pictures import STEPS, Pen

PAPERS: dict[str, Paper] = {"letter": LETTER_ACROSS, "a4": A4_ACROSS, "a6": A6}
# Where no link is printed: how one signs in, and the first step that needs no code.
WITH_SIGN_IN = "Sign in with your name and password."
WITH_OWN_LINK = "Open your personal link. If you lost it, call the office."
WITHOUT_CODE = "Sign in on your phone. Keep the page on your home screen."
MARGIN = 7.0
ROOM = A6.width - 2 * MARGIN
TITLE, NAME, TEXT, SMALL = 5.2, 4.2, 3.1, 2.7
SYMBOL = 34.0
QUIET_MODULES = 4
PICTURE = 13.5
STEP = 15.2
FOOT = A6.height - MARGIN

CAUTIONS = (
    "Cut away from your hand, and cover the blade.",
    "Ethanol burns: keep flames away.",
    "The office's own safety rules come first.",
)

SLIP_COLUMNS, SLIP_ROWS = 4, 15
_SLIP_LEFT, _SLIP_TOP = 8.0, 12.0
SLIP_WIDTH = (LETTER.width - 2 * _SLIP_LEFT) / SLIP_COLUMNS
SLIP_HEIGHT = (LETTER.height - 2 * _SLIP_TOP) / SLIP_ROWS


@dataclass(frozen=True, slots=True)
class KitCard:
    """What stands on a card; ``link`` is empty where none is printed on it."""

    lake: str
    season: str
    person: str
    vials: tuple[str, ...]
    count: int
    link: str = ""
    has_password: bool = False
    needed: tuple[str, ...] = ()
    needed_on: str = ""
    permit: str = ""
    possession: str = ""
    carcasses: str = ""
    office_phone: str = ""
    notes: tuple[str, ...] = field(default=CAUTIONS)


def kit_card_pdf(card: KitCard, paper: str) -> bytes:
    """Draw a card: A6 of two sides, or one sheet to be folded once, its front on the right."""
    size = PAPERS[paper]
    sheet = Sheet(size, f"Kit of {card.person}, {card.lake}")
    if size is A6:
        _front(sheet, card)
        sheet.next_page()
        _back(sheet, card)
        return sheet.finish()
    half = size.width / 2
    factor = min(half / A6.width, size.height / A6.height)
    left, top = (half - A6.width * factor) / 2, (size.height - A6.height * factor) / 2
    sheet.place(left, top, factor)
    _back(sheet, card)
    sheet.place(half + left, top, factor)
    _front(sheet, card)
    sheet.place(0, 0, 1)
    sheet.canvas.setDash(2, 3)
    sheet.line(half, 4, half, size.height - 4, 0.15)
    return sheet.finish()


def _front(sheet: Sheet, card: KitCard) -> None:
    title = shortened(f"Otolith kit, {card.lake}", ROOM, TITLE, bold=True)
    sheet.text(title, MARGIN, MARGIN + 4, TITLE, bold=True)
    sheet.text(
        shortened(card.person, ROOM, NAME, bold=True), MARGIN, MARGIN + 10.5, NAME, bold=True
    )
    beside, y = MARGIN + SYMBOL + 4, MARGIN + 19
    width = A6.width - MARGIN - beside
    if card.link:
        draw_symbol(sheet, card.link, MARGIN, MARGIN + 14, SYMBOL)
    else:
        sheet.box(MARGIN, MARGIN + 14, SYMBOL, SYMBOL, dashed=True)
        words = WITH_SIGN_IN if card.has_password else WITH_OWN_LINK
        sheet.paragraph(words, MARGIN + 4, MARGIN + 28, SYMBOL - 8, TEXT)
    vials = f"{card.count} vial{'' if card.count == 1 else 's'}"
    y = sheet.paragraph(f"{vials}, season {card.season}", beside, y, width, TEXT, bold=True)
    shown = card.vials[:4]
    for stretch in shown:
        y = sheet.paragraph(stretch, beside, y, width, TEXT)
    if len(card.vials) > len(shown):
        y = sheet.paragraph(f"and {len(card.vials) - len(shown)} more", beside, y, width, TEXT)
    if card.link:
        words = "This link is yours alone. If the card is lost, call the office."
        sheet.paragraph(words, beside, y + 2, width, SMALL)
    top = MARGIN + 14 + SYMBOL + 5
    for at, (draw, caption) in enumerate(STEPS):
        y = top + at * STEP
        draw(Pen(sheet, MARGIN, y, PICTURE))
        caption = caption if at or card.link else WITHOUT_CODE
        _caption(sheet, f"{at + 1}. {caption}", MARGIN + PICTURE + 4, y)
    _office(sheet, card)


def _caption(sheet: Sheet, caption: str, x: float, y: float) -> None:
    """Write the words of a step beside its picture, in the middle of its height."""
    lines = wrapped(caption, A6.width - MARGIN - x, TEXT)
    height = (len(lines) - 1) * TEXT * LEADING
    baseline = y + PICTURE / 2 - height / 2 + TEXT * 0.35
    for line in lines:
        sheet.text(line, x, baseline, TEXT)
        baseline += TEXT * LEADING


def _office(sheet: Sheet, card: KitCard) -> None:
    if card.office_phone:
        words = shortened(f"Office: {card.office_phone}", ROOM, TEXT, bold=True)
        sheet.text(words, MARGIN, FOOT, TEXT, bold=True)


def _back(sheet: Sheet, card: KitCard) -> None:
    y = MARGIN + 4
    head = f"Still needed on {card.needed_on}" if card.needed_on else "Still needed"
    parts: list[tuple[str, Sequence[str]]] = [
        (head, card.needed or ("See Needed on your phone.",)),
        ("Take care", card.notes),
        ("Permit and possession", [text for text in (card.permit, card.possession) if text]),
        ("Carcasses", [card.carcasses] if card.carcasses else []),
    ]
    # What is needed may be long; the rest is short and must be there.
    rest = sum(_height(lines) for _, lines in parts[1:])
    y = _part(sheet, *parts[0], y, FOOT - 7 - rest)
    for title, lines in parts[1:]:
        y = _part(sheet, title, lines, y, FOOT - 5)
    _office(sheet, card)


def _height(lines: Sequence[str]) -> float:
    if not lines:
        return 0.0
    count = sum(len(wrapped(line, ROOM, TEXT)) for line in lines)
    return NAME * LEADING + count * TEXT * LEADING + 3.5


def _part(sheet: Sheet, title: str, lines: Iterable[str], y: float, bottom: float) -> float:
    """Write a heading and its lines as far as they fit; return where the next part begins."""
    lines = list(lines)
    if not lines:
        return y
    sheet.text(shortened(title, ROOM, NAME, bold=True), MARGIN, y, NAME, bold=True)
    y += NAME * LEADING
    for at, line in enumerate(lines):
        is_last = at == len(lines) - 1
        needs = (len(wrapped(line, ROOM, TEXT)) + (0 if is_last else 1)) * TEXT * LEADING
        if y + needs > bottom + TEXT:
            return sheet.paragraph("More on your phone, under Needed.", MARGIN, y, ROOM, TEXT) + 3.5
        y = sheet.paragraph(line, MARGIN, y, ROOM, TEXT)
    return y + 3.5


def draw_symbol(sheet: Sheet, link: str, x: float, y: float, side: float) -> None:
    """Draw a QR symbol with its quiet zone in a square, at medium correction or more."""
    matrix = segno.make_qr(link, error="m").matrix
    module = side / (len(matrix) + 2 * QUIET_MODULES)
    canvas = sheet.canvas
    path = canvas.beginPath()
    for row, modules in enumerate(matrix, start=QUIET_MODULES):
        for column, dark in enumerate(modules, start=QUIET_MODULES):
            if dark:
                path.rect(
                    sheet.across(x + column * module),
                    sheet.up(y + (row + 1) * module),
                    sheet.points(module),
                    sheet.points(module),
                )
    canvas.setFillGray(0)
    canvas.drawPath(path, stroke=0, fill=1)


def slips_pdf(lake: str, numbers: Sequence[str]) -> bytes:
    """Draw slips to cut apart and put inside vials, each with its number and room for a pencil."""
    sheet = Sheet(LETTER, f"Slips, {lake}")
    per_page = SLIP_COLUMNS * SLIP_ROWS
    for at, number in enumerate(numbers):
        place = at % per_page
        if at and not place:
            sheet.next_page()
        x = _SLIP_LEFT + place % SLIP_COLUMNS * SLIP_WIDTH
        y = _SLIP_TOP + place // SLIP_COLUMNS * SLIP_HEIGHT
        if not place:
            words = "Cut apart. Write in pencil: ethanol dissolves ink."
            sheet.text(words, _SLIP_LEFT, _SLIP_TOP - 3, SMALL)
        # The year is the number's own: its first two digits.
        _slip(sheet, x, y, number, f"{lake}, 20{number[:2]}")
    return sheet.finish()


def _slip(sheet: Sheet, x: float, y: float, number: str, where: str) -> None:
    sheet.box(x, y, SLIP_WIDTH, SLIP_HEIGHT, thick=0.1, dashed=True)
    sheet.text(number, x + 2, y + 6.2, 4.6, bold=True)
    sheet.text(shortened(where, SLIP_WIDTH - 4, 2.2), x + 2, y + 9.6, 2.2)
    baseline, left = y + SLIP_HEIGHT - 2.4, x + 2
    for word, width in (("Date", 16.0), ("TL", 13.0), ("Sex", 8.0)):
        sheet.text(word, left, baseline, 2.2)
        start = left + measure(word, 2.2) + 0.8
        sheet.line(start, baseline + 0.5, left + width, baseline + 0.5, 0.15)
        left += width + 1
