"""A report as a Word file: real headings, tables and captions, all of them by named styles.

Nothing but the styles says how it looks, so an agency's own template can take the text over.
"""

import io
from collections.abc import Sequence
from datetime import datetime
from itertools import groupby
from typing import Any

import docx
from docx.enum.table import WD_TABLE_ALIGNMENT
from docx.enum.text import WD_ALIGN_PARAGRAPH
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Emu, Inches, Length, Pt

from samples.reports.document import (
    Block,
    ColumnKind,
    Document,
    Figure,
    Part,
    Passage,
    Table,
)
from samples.reports.writers.docx_styles import NOTE, TABLE_SIZE, TABLE_TEXT_ID, set_styles
from samples.reports.writers.figure_pdf import HEIGHTS, panels_across
from samples.reports.writers.figure_png import draw_png
from samples.reports.writers.fonts import register_fonts
from samples.reports.writers.signs import printable
from samples.reports.writers.widths import column_widths
from samples.rules.and_text import and_text

_PAPERS = {"letter": (8.5, 11.0), "a4": (8.27, 11.69)}
_SIDE = 1.0
_NUMBERS = {ColumnKind.NUMBER, ColumnKind.INTERVAL}


def write_docx(document: Document) -> bytes:
    """Write a report as a Word file."""
    register_fonts()
    file = docx.Document()
    set_styles(file, document.language)
    _set_page(file, document)
    _set_properties(file, document)
    _first_page(file, document)
    for block in document.blocks:
        _block(file, block)
    out = io.BytesIO()
    file.save(out)
    return out.getvalue()


# ---------- The file, and its first page ----------


def _set_page(file: Any, document: Document) -> None:
    section = file.sections[0]
    width, height = _PAPERS.get(document.paper, _PAPERS["letter"])
    section.page_width, section.page_height = Inches(width), Inches(height)
    section.left_margin = section.right_margin = Inches(_SIDE)
    section.top_margin = section.bottom_margin = Inches(1)
    section.different_first_page_header_footer = True
    section.header.paragraphs[0].text = printable(document.title)
    for footer in (section.footer, section.first_page_footer):
        said = footer.paragraphs[0]
        said.text = f"{printable(document.imprint)}. Page "
        _field(said, "PAGE", "1")


def _set_properties(file: Any, document: Document) -> None:
    found = file.core_properties
    found.title = printable(document.title)
    found.subject = printable(f"{document.lake}, {document.season}")
    found.author = printable(and_text(document.authors) or "Earstone")
    found.language = document.language
    found.keywords = f"data revision {document.revision}"
    found.comments = f"Earstone {document.version}"
    found.created = found.modified = datetime.fromisoformat(document.made_at)


def _first_page(file: Any, document: Document) -> None:
    file.add_paragraph(printable(document.title), style="Title")
    file.add_paragraph(printable(f"{document.lake}, {document.season}"), style="Subtitle")
    if document.authors:
        file.add_paragraph(printable(and_text(document.authors)), style="Subtitle")
    _own_words(file, document.words)
    file.add_paragraph("Contents", style="TOC Heading")
    _contents(file, document.blocks)
    file.add_page_break()


def _contents(file: Any, blocks: Sequence[Block]) -> None:
    """Write the list of headings as a field: filled in already, and Word can make it anew.

    It names no pages: only the program that shows the file knows where they begin.
    """
    for place, block in enumerate(blocks):
        line = file.add_paragraph(style="List Paragraph")
        if place == 0:
            _field_begin(line, 'TOC \\o "1-1" \\h \\n')
        link = OxmlElement("w:hyperlink")
        link.set(qn("w:anchor"), _bookmark(block))
        run = line.add_run(printable(_title(block)))
        link.append(run._r)
        line._p.append(link)
        if place == len(blocks) - 1:
            _field_char(line, "end")


# ---------- A block ----------


def _title(block: Block) -> str:
    return f"{block.number} {block.heading}"


def _bookmark(block: Block) -> str:
    # Word takes 40 signs, and no hyphen.
    return f"block_{block.number}_{block.key}".replace("-", "_")[:40]


def _block(file: Any, block: Block) -> None:
    heading = file.add_paragraph(printable(_title(block)), style="Heading 1")
    _add_bookmark(heading, block.number, _bookmark(block))
    if block.choice:
        file.add_paragraph(printable(block.choice), style="Body Text 3")
    _own_words(file, block.own_words)
    if block.missing:
        file.add_paragraph(printable(block.missing), style="Intense Quote")
        return
    if block.answer:
        file.add_paragraph(f"{printable(block.answer)}.", style="Body Text 2")
    for words in block.paragraphs:
        file.add_paragraph(printable(words), style="Body Text")
    for part in block.parts:
        _part(file, part)
    _points(file, "Sources of bias, and what to do", block.cautions)
    _points(file, "Excluded fish", block.excluded)
    _points(file, "References", block.sources)


def _own_words(file: Any, words: Sequence[str]) -> None:
    for one in words:
        file.add_paragraph(printable(one), style="Quote")


def _points(file: Any, heading: str, sentences: tuple[str, ...]) -> None:
    if sentences:
        _passage(file, Passage(heading, sentences, bulleted=True))


def _part(file: Any, part: Part) -> None:
    if isinstance(part, Figure):
        _figure(file, part)
    elif isinstance(part, Table):
        _table(file, part)
    else:
        _passage(file, part)


def _passage(file: Any, part: Passage) -> None:
    if part.heading:
        file.add_paragraph(printable(part.heading), style="Heading 2")
    for words in part.paragraphs:
        style = "List Bullet" if part.bulleted else "Body Text"
        file.add_paragraph(printable(words), style=style)


def _room(file: Any) -> Length:
    return Emu(file.sections[0].page_width - 2 * Inches(_SIDE))


def _figure(file: Any, figure: Figure) -> None:
    across = panels_across(figure.plot)
    picture = draw_png(figure.plot, _room(file).pt, across=across, height=HEIGHTS[across])
    line = file.add_paragraph(style="Body Text")
    line.paragraph_format.keep_with_next = True
    drawn = line.add_run().add_picture(io.BytesIO(picture.png), width=Pt(picture.width_pt))
    inline = drawn._inline
    for side in "TBLR":
        inline.set(f"dist{side}", "0")
    properties = inline.docPr
    properties.set("descr", printable(figure.alt))
    properties.set("title", figure.name)
    _caption(file, figure.name, f"{figure.caption} {picture.key}".strip())


def _caption(file: Any, name: str, words: str, *, above: bool = False) -> None:
    line = file.add_paragraph(style="Caption")
    line.add_run(f"{name}. ").bold = True
    line.add_run(printable(words))
    line.paragraph_format.keep_with_next = above or None


# ---------- A table ----------


def _table(file: Any, table: Table) -> None:
    _caption(file, table.name, table.caption, above=True)
    has_groups = any(column.group for column in table.columns)
    heads = 2 if has_groups else 1
    drawn = file.add_table(heads + len(table.rows), len(table.columns), style="Table Grid")
    drawn.alignment, drawn.autofit = WD_TABLE_ALIGNMENT.LEFT, False
    widths = column_widths(table, _room(file).pt, TABLE_SIZE)
    rows = list(drawn.rows)
    if has_groups:
        _group_heads(rows[0].cells, table)
    for column, width in zip(drawn.columns, widths, strict=True):
        column.width = Pt(width)
    for cell, column in zip(rows[heads - 1].cells, table.columns, strict=True):
        _fill(cell, column.head, column.kind, strong=True)
    for row in rows[:heads]:
        _mark_row(row, "w:tblHeader")
    for row, values in zip(rows[heads:], table.rows, strict=True):
        _mark_row(row, "w:cantSplit")
        for cell, column, value in zip(row.cells, table.columns, values, strict=True):
            is_head = column.kind is ColumnKind.HEAD
            _fill(cell, value.text, column.kind, strong=is_head, before=value.strong)
    file.add_paragraph(printable(table.note), style=NOTE)


def _group_heads(cells: Sequence[Any], table: Table) -> None:
    """Write the heads that neighbors share, each over all of its columns."""
    place = 0
    for group, columns in groupby(table.columns, key=lambda column: column.group):
        width = len(list(columns))
        joined = cells[place].merge(cells[place + width - 1])
        _fill(joined, group, ColumnKind.WORD, strong=True)
        place += width


def _fill(cell: Any, text: str, kind: ColumnKind, *, strong: bool, before: str = "") -> None:
    line = cell.paragraphs[0]
    # Its identity: finding a style by name takes longer than all else in a long table.
    line._p.style = TABLE_TEXT_ID
    if kind in _NUMBERS:
        line.alignment = WD_ALIGN_PARAGRAPH.RIGHT
    if before:
        line.add_run(f"{printable(before)} ").bold = True
    line.add_run(printable(text)).bold = strong or None


def _mark_row(row: Any, name: str) -> None:
    row._tr.get_or_add_trPr().append(OxmlElement(name))


# ---------- Fields and bookmarks, which the library does not write ----------


def _field(line: Any, code: str, shown: str) -> None:
    _field_begin(line, code)
    line.add_run(shown)
    _field_char(line, "end")


def _field_begin(line: Any, code: str) -> None:
    _field_char(line, "begin")
    words = OxmlElement("w:instrText")
    words.set(qn("xml:space"), "preserve")
    words.text = f" {code} "
    line.add_run()._r.append(words)
    _field_char(line, "separate")


def _field_char(line: Any, kind: str) -> None:
    sign = OxmlElement("w:fldChar")
    sign.set(qn("w:fldCharType"), kind)
    line.add_run()._r.append(sign)


def _add_bookmark(line: Any, number: int, name: str) -> None:
    start, end = OxmlElement("w:bookmarkStart"), OxmlElement("w:bookmarkEnd")
    for one in (start, end):
        one.set(qn("w:id"), str(number))
    start.set(qn("w:name"), name)
    line._p.insert(1, start)
    line._p.append(end)
