"""The crew's sheets: where to set what, cautions, and a page to tally the catch of each set."""

from __future__ import annotations

from collections.abc import Sequence

from samples.custody.pdf.page import A4, LETTER, Paper, Sheet, shortened
from samples.nets.parts import CrewSheet, TallySheet

PAPERS: dict[str, Paper] = {"letter": LETTER, "a4": A4}
MARGIN = 15.0
TITLE, HEAD, TEXT, SMALL = 8.0, 5.0, 4.0, 3.3
LINE = 7.0
# Common practice, no source; the permit and the agency's safety plan come first.
CAUTIONS = (
    "Wear a life jacket. Set and lift with two people at least, never alone.",
    "Carry the collection permit. Mark each net with a buoy, the owner and the permit number.",
    "Set out of boat lanes. Lift every net the next day, earlier in warm water.",
    "Leave the top of the cod end above water where turtles are about; free other animals first.",
    (
        "Keep fish in fresh, shaded water. Measure quickly with wet hands and release them where "
        "they were caught."
    ),
    (
        "Total length: mouth closed, tail pinched. An edge belongs to its bin: 8.0 in counts as "
        "8.0-8.9."
    ),
    "Count every fish of every set. An empty net is data: fill in its page too.",
)
CAUTIONS_MM = tuple(
    one.replace("8.0 in counts as 8.0-8.9", "200 mm counts as 200-224") for one in CAUTIONS
)
BLANKS = ("Date set", "Date lifted", "Nets", "Nights", "Mesh, mm", "Water temp., depth", "Crew")
ROWS_AT_MOST = 30


def crew_pdf(crew: CrewSheet, paper: str) -> bytes:
    """Draw the sheets on Letter, or on A4 where that is asked for."""
    size = PAPERS.get(paper, LETTER)
    sheet = Sheet(size, f"Net sets, {crew.lake}, {crew.season}")
    _draw_plan(sheet, crew)
    for one in crew.sheets:
        for first in range(0, max(1, len(crew.bins)), ROWS_AT_MOST):
            sheet.next_page()
            _draw_tally(sheet, crew, one, crew.bins[first : first + ROWS_AT_MOST])
    return sheet.finish()


def _draw_plan(sheet: Sheet, crew: CrewSheet) -> None:
    room = sheet.paper.width - 2 * MARGIN
    y = _head(sheet, f"Net sets, {crew.season}", crew.lake)
    nights = "1 night" if crew.net_nights == 1 else f"{crew.net_nights} nights"
    mesh = f", mesh {crew.net_mesh_mm} mm (bar)" if crew.net_mesh_mm else ""
    total = sum(number for _, number in crew.stations)
    sets = "1 set" if total == 1 else f"{total} sets"
    y = sheet.paragraph(
        f"{sets}, {nights} each{mesh}. {crew.permit}".strip(), MARGIN, y, room, HEAD
    )
    y = _draw_stations(sheet, crew.stations, y + 4)
    if crew.needed:
        y = _title(sheet, "Fish needed", y + 7)
        for words, number in crew.needed:
            sheet.text(shortened(words, room - 30, TEXT), MARGIN, y, TEXT)
            sheet.text(number, MARGIN + room, y, TEXT, align="right")
            y += TEXT * 1.5
        y = sheet.paragraph(
            "Take otoliths of these lengths first. Measure or count all other fish.",
            MARGIN, y + 1, room, TEXT,
        )  # fmt: skip
    y = _title(sheet, "Cautions", y + 7)
    for words in CAUTIONS if crew.unit == "in" else CAUTIONS_MM:
        sheet.box(MARGIN, y - TEXT * 0.75, TEXT * 0.75, TEXT * 0.75, thick=0.25)
        y = sheet.paragraph(words, MARGIN + 6, y, room - 6, TEXT) + 1.2


def _head(sheet: Sheet, title: str, right: str) -> float:
    room = sheet.paper.width - 2 * MARGIN
    sheet.text(shortened(title, room * 0.62, TITLE, bold=True), MARGIN, 24, TITLE, bold=True)
    name = shortened(right, room * 0.36, HEAD)
    sheet.text(name, MARGIN + room, 24, HEAD, align="right")
    sheet.line(MARGIN, 27.5, MARGIN + room, 27.5, 0.8)
    return 35.0


def _title(sheet: Sheet, words: str, y: float) -> float:
    sheet.text(words, MARGIN, y, HEAD, bold=True)
    return y + HEAD * 1.5


def _draw_stations(sheet: Sheet, stations: Sequence[tuple[str, int]], y: float) -> float:
    """Write the stations in two columns where they are many."""
    columns = 2 if len(stations) > 10 else 1
    width = (sheet.paper.width - 2 * MARGIN - 10 * (columns - 1)) / columns
    rows = -(-len(stations) // columns)
    for column in range(columns):
        left = MARGIN + column * (width + 10)
        for words, at in (("Station", 0.0), ("Sets", width - 22), ("Done", width)):
            align = "left" if not at else "right"
            sheet.text(words, left + at, y + 4, SMALL, bold=True, align=align)
        sheet.line(left, y + 5.5, left + width, y + 5.5, 0.4)
        for row, (name, number) in enumerate(stations[column * rows : (column + 1) * rows]):
            base = y + 5.5 + (row + 0.72) * LINE
            sheet.text(shortened(name, width - 38, TEXT), left, base, TEXT)
            sheet.text(str(number), left + width - 22, base, TEXT, bold=True, align="right")
            sheet.box(left + width - 9, base - TEXT * 0.95, 9, TEXT * 1.25)
            line = y + 5.5 + (row + 1) * LINE
            sheet.line(left, line, left + width, line, 0.1)
    return y + 5.5 + rows * LINE + 3


def _draw_tally(sheet: Sheet, crew: CrewSheet, one: TallySheet, bins: Sequence[str]) -> None:
    room = sheet.paper.width - 2 * MARGIN
    where = one.station or "Station:"
    number = f"Set {one.number} of {one.of}" if one.of else "Set"
    y = _head(sheet, where, f"{crew.lake}, {number}")
    y = _draw_blanks(sheet, crew, y, room)
    foot = sheet.paper.height - MARGIN - 3 * LINE
    _draw_grid(sheet, crew, bins, y, foot)
    sheet.text("Measured one by one, vial numbers, notes:", MARGIN, foot + 5, SMALL)
    for line in range(1, 4):
        base = foot + 4 + line * LINE
        sheet.line(MARGIN, base, MARGIN + room, base)


def _draw_blanks(sheet: Sheet, crew: CrewSheet, y: float, room: float) -> float:
    """Draw a line to write on for each thing that is asked of the whole set."""
    known = {"Mesh, mm": str(crew.net_mesh_mm or ""), "Nights": str(crew.net_nights)}
    places = [*BLANKS[:4], *BLANKS[4:]]
    for at, words in enumerate(places):
        row, column = divmod(at, 4)
        width = room / 4
        left, base = MARGIN + column * width, y + row * 9.5
        sheet.text(words, left, base, SMALL)
        value = known.get(words, "")
        sheet.text(f"(plan {value})" if value else "", left + 19, base, SMALL)
        end = left + width - 4 if words != "Crew" else MARGIN + room
        sheet.line(left, base + 5.5, end, base + 5.5)
    return y + 19.0


def _draw_grid(
    sheet: Sheet, crew: CrewSheet, bins: Sequence[str], top: float, bottom: float
) -> None:
    """Draw a box to tally in for each length bin and species."""
    room, left = sheet.paper.width - 2 * MARGIN, 27.0
    width = (room - left) / max(1, len(crew.species))
    height = min(LINE * 1.5, (bottom - top - 14) / max(1, len(bins) + 2))
    sheet.text(f"Length, {crew.unit}", MARGIN, top + 4, SMALL, bold=True)
    for column, name in enumerate(crew.species):
        x = MARGIN + left + column * width
        words = shortened(name, width - 2, SMALL, bold=True)
        sheet.text(words, x + 1, top + 4, SMALL, bold=True)
    y = top + 6
    for words in [*bins, "Other", "Total"]:
        bold = words == "Total"
        sheet.text(words, MARGIN, y + height * 0.65, min(TEXT, height * 0.6), bold=bold)
        for column in range(len(crew.species)):
            x = MARGIN + left + column * width
            sheet.box(x, y, width, height, thick=0.4 if bold else 0.15)
        y += height
