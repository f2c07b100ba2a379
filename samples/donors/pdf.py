"""A donor's card of a season, and a certificate for a fish of note."""

from __future__ import annotations

from samples.custody.pdf.page import (
    A4,
    A4_ACROSS,
    LETTER,
    LETTER_ACROSS,
    Paper,
    Sheet,
    measure,
    shortened,
    wrapped,
)
from samples.donors.parts import Card, CardFish, Certificate

CARD_PAPERS: dict[str, Paper] = {"letter": LETTER, "a4": A4}
CERTIFICATE_PAPERS: dict[str, Paper] = {"letter": LETTER_ACROSS, "a4": A4_ACROSS}
MARGIN = 15.0
TITLE, LEAD, TEXT, SMALL = 11.0, 5.0, 3.7, 3.2
ROW = 5.6
# Of the table of fish: heading, width in mm on Letter, and what a line has under it.
COLUMNS: tuple[tuple[str, float, str], ...] = (
    ("Caught", 17.0, "caught_on"),
    ("Species", 35.0, "species"),
    ("Length", 19.0, "length"),
    ("Sex", 17.0, "sex"),
    ("Arm", 26.0, "arm"),
    ("Age", 16.0, "age"),
    ("Hatched", 19.0, "hatched"),
    ("At its age", 31.0, "beside"),
)
THANKS = "Thank you. Each otolith you donate shows how fast fish grow in this lake."
NOTE = (
    "At its age: beside the lake's average length for the species at that age, where 10 or more "
    "fish were aged. Fish without an age are waiting to be read."
)


def card_pdf(card: Card, paper: str) -> bytes:
    """Draw a donor's season: its counts, its fish of note, and each fish."""
    sheet = Sheet(CARD_PAPERS.get(paper, LETTER), f"Season card, {card.lake}, season {card.season}")
    y = _draw_head(sheet, card)
    y = _draw_counts(sheet, card, y)
    y = _draw_of_note(sheet, card, y)
    _draw_fish(sheet, card, y)
    return sheet.finish()


def _draw_head(sheet: Sheet, card: Card) -> float:
    right = sheet.paper.width - MARGIN
    sheet.text(shortened(card.lake, 110, LEAD, bold=True), MARGIN, 20, LEAD, bold=True)
    sheet.text(f"As of {card.as_of}", right, 20, TEXT, align="right")
    sheet.line(MARGIN, 24, right, 24, 0.8)
    sheet.text(f"Season {card.season}", MARGIN, 39, TITLE, bold=True)
    y = 48.0
    if card.donor:
        name = shortened(f"Fish donated by {card.donor}", right - MARGIN, LEAD)
        sheet.text(name, MARGIN, y, LEAD)
        y += 7
    return sheet.paragraph(THANKS, MARGIN, y, right - MARGIN, TEXT) + 4


def _draw_counts(sheet: Sheet, card: Card, y: float) -> float:
    stops = (MARGIN, MARGIN + 90, MARGIN + 115, MARGIN + 145, sheet.paper.width - MARGIN)
    heads = ("Species", "Donated", "Aged", "Oldest", "Longest")
    for head, x in zip(heads, stops, strict=True):
        align = "left" if x == MARGIN else "right"
        sheet.text(head, x, y, TEXT, bold=True, align=align)
    y += 2
    sheet.line(MARGIN, y, sheet.paper.width - MARGIN, y, 0.4)
    for one in card.counts:
        y += ROW
        sheet.text(shortened(one.species, 68, TEXT), MARGIN, y, TEXT)
        values = (str(one.donated), str(one.aged), one.oldest, one.longest)
        for value, x in zip(values, stops[1:], strict=True):
            sheet.text(value, x, y, TEXT, align="right")
    return y + 9


def _draw_of_note(sheet: Sheet, card: Card, y: float) -> float:
    if not card.of_note:
        return y
    width = sheet.paper.width - 2 * MARGIN
    lines = [line for one in card.of_note for line in wrapped(one, width - 10, LEAD, bold=True)]
    height = len(lines) * LEAD * 1.35 + 5
    sheet.box(MARGIN, y - 5, width, height, thick=0.5)
    for line in lines:
        sheet.text(line, MARGIN + 5, y + LEAD * 0.6, LEAD, bold=True)
        y += LEAD * 1.35
    return y + 9


def _draw_fish(sheet: Sheet, card: Card, y: float) -> None:
    bottom = sheet.paper.height - MARGIN - 8
    y = _draw_columns(sheet, y)
    for number, fish in enumerate(card.fish, start=1):
        if y + ROW > bottom:
            _draw_foot(sheet)
            sheet.next_page()
            y = _draw_columns(sheet, 20.0)
        y += ROW
        _draw_row(sheet, fish, y)
        if number < len(card.fish):
            sheet.line(MARGIN, y + 1.6, sheet.paper.width - MARGIN, y + 1.6, 0.1)
    _draw_foot(sheet)


def _draw_columns(sheet: Sheet, y: float) -> float:
    x = MARGIN
    for head, width, _ in _columns(sheet):
        sheet.text(head, x, y, TEXT, bold=True)
        x += width
    sheet.line(MARGIN, y + 2, sheet.paper.width - MARGIN, y + 2, 0.4)
    return y + 2


def _draw_row(sheet: Sheet, fish: CardFish, y: float) -> None:
    x = MARGIN
    for _, width, name in _columns(sheet):
        sheet.text(shortened(getattr(fish, name), width - 1.5, TEXT), x, y, TEXT)
        x += width


def _columns(sheet: Sheet) -> list[tuple[str, float, str]]:
    """Return the columns as wide as the paper lets them be."""
    room = sheet.paper.width - 2 * MARGIN
    factor = room / sum(width for _, width, _ in COLUMNS)
    return [(head, width * factor, name) for head, width, name in COLUMNS]


def _draw_foot(sheet: Sheet) -> None:
    sheet.paragraph(
        NOTE, MARGIN, sheet.paper.height - MARGIN, sheet.paper.width - 2 * MARGIN, SMALL
    )


def certificate_pdf(certificate: Certificate, paper: str) -> bytes:
    """Draw a certificate on one page across."""
    size = CERTIFICATE_PAPERS.get(paper, LETTER_ACROSS)
    sheet = Sheet(size, f"Certificate, {certificate.titles[0]}")
    middle, room = size.width / 2, size.width - 80
    for inset, thick in ((10.0, 1.2), (13.0, 0.3)):
        sheet.box(inset, inset, size.width - 2 * inset, size.height - 2 * inset, thick=thick)
    sheet.text(_fitted(certificate.lake, room, 7), middle, 40, 7, align="center")
    y = 64.0
    for title in certificate.titles:
        title_size = min(13.0, 13.0 * room / measure(title, 13.0, bold=True))
        sheet.text(title, middle, y, title_size, bold=True, align="center")
        y += 17
    _draw_facts(sheet, certificate, y)
    base = size.height - 33
    sheet.line(40, base, 130, base, 0.3)
    sheet.text("Biologist", 40, base + 6, 4.2)
    sheet.text(f"As of {certificate.signed_on}", size.width - 40, base + 6, 4.2, align="right")
    return sheet.finish()


def _draw_facts(sheet: Sheet, certificate: Certificate, top: float) -> None:
    middle = sheet.paper.width / 2
    bottom = sheet.paper.height - 52
    step = min(13.0, (bottom - top) / max(1, len(certificate.facts)))
    y = top + step
    for name, value in certificate.facts:
        sheet.text(name, middle - 4, y, 5.5, align="right")
        sheet.text(_fitted(value, 110, 6.5, bold=True), middle + 4, y, 6.5, bold=True)
        y += step


def _fitted(text: str, width: float, size: float, *, bold: bool = False) -> str:
    return shortened(text, width, size, bold=bold)
