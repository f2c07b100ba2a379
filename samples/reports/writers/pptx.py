"""A report as slides for a public meeting: a slide a block, its answer on top, its figure large.

What else the report says of a block stands in the notes of its slide, for whoever speaks.
"""

import io
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

import pptx
from pptx.dml.color import RGBColor
from pptx.enum.text import MSO_ANCHOR, PP_ALIGN
from pptx.util import Emu, Inches, Pt

from samples.reports.document import (
    Block,
    BlockKind,
    Column,
    ColumnKind,
    Document,
    Figure,
    Passage,
    Table,
)
from samples.reports.writers.figure_pdf import ROW_EDGES, SCALE
from samples.reports.writers.figure_png import Picture, draw_png
from samples.reports.writers.fonts import register_fonts, text_width
from samples.reports.writers.signs import printable
from samples.reports.writers.widths import column_widths
from samples.rules.and_text import and_text

WIDTH, HEIGHT, SIDE = 13.333, 7.5, 0.6
_TITLE_TOP, _BODY_TOP, _BODY_BOTTOM = 0.35, 1.95, 6.75
_BLACK, _SOFT = RGBColor.from_string("000000"), RGBColor.from_string("333333")  # type: ignore[no-untyped-call]
_TITLE_ONLY, _BLANK_TITLE = 5, 0
# More rows than this cannot be read from the back of a room.
MOST_ROWS, MOST_POINTS, _FEW_COLUMNS = 9, 6, 6
# Nobody reads these from a seat.
NO_SLIDE = {BlockKind.APPENDIX, BlockKind.REFERENCES}
_NUMBERS = {ColumnKind.NUMBER, ColumnKind.INTERVAL}
# How much larger a figure is drawn than on paper, by how many panels stand in a row.
_ENLARGED = {1: 2.2, 2: 2.0, 3: 1.8, 4: 1.5, 5: 1.35}
_MOST_ACROSS = max(_ENLARGED)


def write_pptx(document: Document) -> bytes:
    """Write a report as slides."""
    register_fonts()
    file = pptx.Presentation()
    _widen(file, Inches(WIDTH), Inches(HEIGHT))
    _set_properties(file, document)
    _first_slide(file, document)
    for block in document.blocks:
        if block.kind not in NO_SLIDE:
            _slide(file, block, document)
    out = io.BytesIO()
    file.save(out)
    return out.getvalue()


# ---------- The file ----------


def _widen(file: Any, width: int, height: int) -> None:
    """Make the slides as wide as today's screens, and what their layouts hold with them."""
    across, down = width / file.slide_width, height / file.slide_height
    file.slide_width, file.slide_height = width, height
    for page in (file.slide_master, *file.slide_layouts):
        for shape in page.placeholders:
            box = (shape.left, shape.top, shape.width, shape.height)
            shape.left, shape.width = Emu(round(box[0] * across)), Emu(round(box[2] * across))
            shape.top, shape.height = Emu(round(box[1] * down)), Emu(round(box[3] * down))


def _set_properties(file: Any, document: Document) -> None:
    found = file.core_properties
    found.title = printable(document.title)
    found.subject = printable(f"{document.lake}, {document.season}")
    found.author = printable(and_text(document.authors) or "Earstone")
    found.language = document.language
    found.keywords = f"data revision {document.revision}"
    found.comments = f"Earstone {document.version}"
    found.created = found.modified = datetime.fromisoformat(document.made_at)


# ---------- Slides ----------


def _first_slide(file: Any, document: Document) -> None:
    slide = file.slides.add_slide(file.slide_layouts[_BLANK_TITLE])
    title, under = slide.shapes.title, slide.placeholders[1]
    _place(title, SIDE, 2.2, WIDTH - 2 * SIDE, 1.6)
    _place(under, SIDE, 3.9, WIDTH - 2 * SIDE, 1.4)
    _write(title, [document.title], size=40, bold=True, anchor=MSO_ANCHOR.BOTTOM)
    lines = [f"{document.lake}, {document.season}"]
    if document.authors:
        lines.append(and_text(document.authors))
    _write(under, lines, size=20, color=_SOFT)
    _foot(slide, document.imprint)
    if document.words:
        slide.notes_slide.notes_text_frame.text = printable("\n".join(document.words))


def _slide(file: Any, block: Block, document: Document) -> None:
    slide = file.slides.add_slide(file.slide_layouts[_TITLE_ONLY])
    title = block.answer or block.heading
    _place(slide.shapes.title, SIDE, _TITLE_TOP, WIDTH - 2 * SIDE, 1.05)
    size = 30 if len(title) < 70 else 26 if len(title) < 110 else 22
    _write(slide.shapes.title, [title], size=size, bold=True, anchor=MSO_ANCHOR.BOTTOM)
    said = [block.choice] if block.choice else []
    if block.answer:
        said.insert(0, block.heading)
    if said:
        _text(slide, [". ".join(said)], 1.42, 0.4, size=14, color=_SOFT)
    if block.missing:
        _text(slide, [block.missing], _BODY_TOP, 1.5, size=22)
    else:
        _body(slide, block)
    _foot(slide, f"{document.lake}, {document.season}. {document.imprint}")
    slide.notes_slide.notes_text_frame.text = printable("\n".join(_notes(block)))


def _body(slide: Any, block: Block) -> None:
    """Put the one thing on a slide that shows its answer: figure, table, or a few sentences."""
    if block.figures:
        _figure(slide, block.figures[0])
    elif block.tables:
        _table(slide, block.tables[0])
    else:
        passages = [one for one in block.parts if isinstance(one, Passage)]
        points = [*block.paragraphs, *(words for one in passages for words in one.paragraphs)]
        size = 20 if sum(map(len, points[:MOST_POINTS])) < 700 else 14
        _text(slide, points[:MOST_POINTS], _BODY_TOP, _BODY_BOTTOM - _BODY_TOP, size=size)


def _figure(slide: Any, figure: Figure) -> None:
    picture = _draw(figure)
    left = (WIDTH - picture.width_pt / 72) / 2
    shape = slide.shapes.add_picture(
        io.BytesIO(picture.png), Inches(left), Inches(_BODY_TOP), width=Pt(picture.width_pt)
    )
    shape.name = figure.name
    described = shape._element.nvPicPr.cNvPr
    described.set("descr", printable(figure.alt))
    if picture.key:
        _text(slide, [picture.key], _BODY_BOTTOM - 0.3, 0.35, size=13, color=_SOFT)


def _draw(figure: Figure) -> Picture:
    """Draw a figure as large as a slide has room; its panels in as few rows as can be read."""
    count = len(figure.plot.panels) or 1
    rows = -(-count // _MOST_ACROSS)
    across = -(-count // rows)
    enlarged = _ENLARGED[across] / rows**0.5
    width = (WIDTH - 2 * SIDE) * 72
    room = (_BODY_BOTTOM - 0.35 - _BODY_TOP) * 72 / enlarged / rows
    return draw_png(
        figure.plot, width, across=across, height=(room - ROW_EDGES) / SCALE, enlarged=enlarged
    )


def _table(slide: Any, table: Table) -> None:
    """Put a table on a slide, with as many of its rows as there is room for."""
    size = 16.0 if len(table.columns) <= _FEW_COLUMNS else 12.0
    heads = [f"{column.group} {column.head}".strip() for column in table.columns]
    headed = replace(
        table, columns=tuple(map(_with_head, table.columns, heads)), rows=table.rows[:MOST_ROWS]
    )
    widths = column_widths(headed, (WIDTH - 2 * SIDE) * 72, size)
    lines = [heads, *([cell.words for cell in row] for row in headed.rows)]
    shown = _that_fit(lines, widths, size)
    place = (Inches(SIDE), Inches(_BODY_TOP), Pt(sum(widths)), Pt(len(shown) * 2 * size))
    frame = slide.shapes.add_table(len(shown), len(heads), *place)
    frame.name = table.name
    drawn = frame.table
    drawn.horz_banding = False
    for column, width in zip(drawn.columns, widths, strict=True):
        column.width = Pt(width)
    for row, line in enumerate(shown):
        for at, words in enumerate(line):
            _fill(drawn.cell(row, at), words, table.columns[at].kind, size=size, is_head=row == 0)
    if len(table.rows) >= len(shown):
        left_out = f"{len(shown) - 1} of {len(table.rows)} rows. All are in the report."
        _text(slide, [left_out], _BODY_BOTTOM - 0.3, 0.35, size=13, color=_SOFT)


def _with_head(column: Column, head: str) -> Column:
    return replace(column, head=head)


def _that_fit(lines: list[list[str]], widths: list[float], size: float) -> list[list[str]]:
    """Return the first lines, as many as stand above the foot once their words have wrapped."""
    room = (_BODY_BOTTOM - 0.4 - _BODY_TOP) * 72
    for count, line in enumerate(lines):
        wrapped = max(
            -(-text_width(words, size, bold=True) // (width - 1.6 * size))
            for words, width in zip(line, widths, strict=True)
        )
        room -= max(wrapped, 1.0) * 1.3 * size + 0.6 * size
        if room < 0:
            return lines[:count]
    return lines


def _fill(cell: Any, words: str, kind: ColumnKind, *, size: float, is_head: bool) -> None:
    _write(cell, [words], size=size, bold=is_head or kind is ColumnKind.HEAD, apart=False)
    if kind in _NUMBERS:
        cell.text_frame.paragraphs[0].alignment = PP_ALIGN.RIGHT
    cell.fill.background()


def _notes(block: Block) -> list[str]:
    """Return what a speaker may be asked for."""
    found = [*block.own_words, *block.paragraphs]
    if block.tables:
        found.append(f"{and_text([one.name for one in block.tables])} of the report.")
    if block.cautions:
        found += ["Sources of bias, and what to do:", *block.cautions]
    return found + list(block.excluded)


# ---------- Words in a box ----------


def _text(
    slide: Any,
    lines: Sequence[str],
    top: float,
    height: float,
    *,
    size: float,
    color: RGBColor = _BLACK,
) -> None:
    box = slide.shapes.add_textbox(
        Inches(SIDE), Inches(top), Inches(WIDTH - 2 * SIDE), Inches(height)
    )
    _write(box, lines, size=size, color=color)


def _foot(slide: Any, words: str) -> None:
    _text(slide, [words], HEIGHT - 0.5, 0.3, size=10, color=_SOFT)


def _place(shape: Any, left: float, top: float, width: float, height: float) -> None:
    shape.left, shape.top = Inches(left), Inches(top)
    shape.width, shape.height = Inches(width), Inches(height)


def _write(
    shape: Any,
    lines: Sequence[str],
    *,
    size: float,
    bold: bool = False,
    color: RGBColor = _BLACK,
    anchor: Any = None,
    apart: bool = True,
) -> None:
    frame = shape.text_frame
    frame.word_wrap = True
    if anchor is not None:
        frame.vertical_anchor = anchor
    frame.text = printable("\n".join(lines))
    for line in frame.paragraphs:
        line.alignment = PP_ALIGN.LEFT
        line.space_after = Pt(size / 3 if apart else 0)
        font = line.font
        font.size, font.bold, font.color.rgb = Pt(size), bold, color
