"""A report as PDF: contents, bookmarks, page numbers, figures as lines, tables with their heads.

No tagged PDF is made: text stands in the file in the order in which it is read, and the file knows
its title, its language and its bookmarks.
"""

import io
from typing import Any

from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    KeepTogether,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
)
from reportlab.platypus import Table as PdfTable
from reportlab.platypus.tableofcontents import TableOfContents

from samples.reports.document import Block, Document, Figure, Part, Passage, Table
from samples.reports.writers.figure_pdf import PanelRow, figure_flowables
from samples.reports.writers.fonts import REGULAR, register_fonts
from samples.reports.writers.styles import (
    ANSWER,
    BODY,
    BOTTOM,
    BULLET,
    CHOICE,
    CONTENTS,
    EDGE,
    HEADING,
    MISSING,
    OWN,
    PAPERS,
    SIDE,
    SMALL_HEADING,
    SOFT,
    SUBTITLE,
    TITLE,
    TOP,
    clean,
    paragraph,
)
from samples.reports.writers.table_pdf import table_flowables
from samples.rules.and_text import and_text

# A block begins on the next page where less than this is left of one.
LEAST_LEFT, LEAST_FOR_FIGURES = 0.3, 0.62


class _BlockHeading(Paragraph):
    """The heading of a block, which contents and bookmarks lead to."""

    def __init__(self, block: Block) -> None:
        self.block = block
        self.key = f"block-{block.number}-{block.key}"
        self.title = f"{block.number} {block.heading}"
        super().__init__(clean(self.title), HEADING)


class _ReportTemplate(BaseDocTemplate):
    """Writes the pages, and notes where each block begins for contents and bookmarks."""

    def __init__(self, out: Any, document: Document) -> None:
        self.report = document
        # The last block that began, and the one that the page begins with.
        self.block = self.opened = ""
        paper = PAPERS.get(document.paper, PAPERS["letter"])
        super().__init__(
            out,
            pagesize=paper,
            title=document.title,
            author=and_text(document.authors) or "Earstone",
            subject=f"{document.lake}, {document.season}",
            creator=f"Earstone {document.version}",
            keywords=[f"data revision {document.revision}"],
            lang=document.language,
            displayDocTitle=1,
            invariant=1,
        )
        width, height = paper
        self.room = width - 2 * SIDE
        frame = Frame(
            SIDE, BOTTOM, self.room, height - TOP - BOTTOM, leftPadding=0, rightPadding=0,
            topPadding=0, bottomPadding=0,
        )  # fmt: skip
        self.addPageTemplates(PageTemplate("page", [frame], onPageEnd=self._edge))

    def beforeDocument(self) -> None:  # noqa: N802 - the library's name
        self.block = self.opened = ""
        self.canv.showOutline()

    def beforePage(self) -> None:  # noqa: N802 - the library's name
        self.opened = ""

    def afterFlowable(self, flowable: Flowable) -> None:  # noqa: N802 - the library's name
        if not isinstance(flowable, _BlockHeading):
            if isinstance(flowable, Paragraph | PdfTable | PanelRow):
                self.opened = self.opened or self.block
            return
        block, key, title = flowable.block, flowable.key, flowable.title
        self.block = block.heading
        self.opened = self.opened or self.block
        self.canv.bookmarkPage(key)
        self.canv.addOutlineEntry(title, key, level=0, closed=False)
        self.notify("TOCEntry", (0, clean(title), self.page, key))

    def _edge(self, canvas: Any, template: BaseDocTemplate) -> None:
        """Write what stands at the head and foot of a page."""
        del template
        width, height = self.pagesize
        canvas.saveState()
        canvas.setFont(REGULAR, 7.5)
        canvas.setFillColor(SOFT)
        canvas.setStrokeColor(EDGE)
        canvas.setLineWidth(0.5)
        if self.page > 1:
            canvas.drawString(SIDE, height - 38, self.report.title[:90])
            canvas.drawRightString(width - SIDE, height - 38, self.opened)
            canvas.line(SIDE, height - 43, width - SIDE, height - 43)
        canvas.drawString(SIDE, 34, self.report.imprint)
        canvas.drawRightString(width - SIDE, 34, str(self.page))
        canvas.line(SIDE, 45, width - SIDE, 45)
        canvas.restoreState()


def write_pdf(document: Document) -> bytes:
    """Write a report as PDF; the same document is the same file."""
    register_fonts()
    out = io.BytesIO()
    template = _ReportTemplate(out, document)
    story = _first_page(document)
    for block in document.blocks:
        story += _block(block, template.room, template.height)
    template.multiBuild(story)
    return out.getvalue()


def _first_page(document: Document) -> list[Flowable]:
    contents = TableOfContents(levelStyles=[CONTENTS], dotsMinLevel=0, rightColumnWidth=30)
    story: list[Flowable] = [
        paragraph(document.title, TITLE),
        paragraph(f"{document.lake}, {document.season}", SUBTITLE),
    ]
    if document.authors:
        story.append(paragraph(and_text(document.authors), SUBTITLE))
    story.append(Spacer(1, 12))
    story += [_own_words(document.words), Spacer(1, 10)] if document.words else []
    story += [paragraph("Contents", SMALL_HEADING), contents, PageBreak()]
    return story


def _block(block: Block, room: float, height: float) -> list[Flowable]:
    heading = _BlockHeading(block)
    least = LEAST_FOR_FIGURES if block.figures else LEAST_LEFT
    story: list[Flowable] = [CondPageBreak(least * height), heading]
    if block.choice:
        story.append(paragraph(block.choice, CHOICE))
    if block.own_words:
        story += [_own_words(block.own_words), Spacer(1, 7)]
    if block.missing:
        return [*story, _boxed(block.missing, room), Spacer(1, 8)]
    if block.answer:
        story.append(paragraph(f"{block.answer}.", ANSWER))
    story += [paragraph(one, BODY) for one in block.paragraphs]
    for part in block.parts:
        story += _part(part, room)
    story += _points("Sources of bias, and what to do", block.cautions)
    story += _points("Excluded fish", block.excluded)
    return story + _points("References", block.sources)


def _part(part: Part, room: float) -> list[Flowable]:
    if isinstance(part, Figure):
        return [KeepTogether([*figure_flowables(part, room), Spacer(1, 8)])]
    if isinstance(part, Table):
        return table_flowables(part, room)
    return _passage(part)


def _passage(part: Passage) -> list[Flowable]:
    head = [paragraph(part.heading, SMALL_HEADING)] if part.heading else []
    if part.bulleted:
        return [*head, *(paragraph(one, BULLET, bullet="•") for one in part.paragraphs)]
    return [*head, *(paragraph(one, BODY) for one in part.paragraphs)]


def _points(heading: str, sentences: tuple[str, ...]) -> list[Flowable]:
    return _passage(Passage(heading, sentences, bulleted=True)) if sentences else []


def _own_words(words: tuple[str, ...]) -> Flowable:
    """Return own words beside a line, so that nobody takes them for the program's."""
    cells = [[paragraph(one, OWN)] for one in words]
    drawn = PdfTable(cells, colWidths=["100%"], hAlign="LEFT")
    drawn.setStyle(
        [
            ("LINEBEFORE", (0, 0), (0, -1), 2, "black"),
            ("LEFTPADDING", (0, 0), (-1, -1), 9),
            ("TOPPADDING", (0, 0), (-1, -1), 1),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
        ]
    )
    return drawn


def _boxed(reason: str, room: float) -> Flowable:
    """Return why there is no more of a block, in the place where that would stand."""
    drawn = PdfTable([[paragraph(reason, MISSING)]], colWidths=[room], hAlign="LEFT")
    drawn.setStyle([("BOX", (0, 0), (-1, -1), 1, "black"), ("TOPPADDING", (0, 0), (-1, -1), 6)])
    return drawn
