"""The season on one page for anglers: thanks, how many fish, the oldest, and growth by arm."""

import io
from typing import Any

from reportlab.lib.utils import simpleSplit
from reportlab.pdfgen.canvas import Canvas

from samples.findings.figures import Frame, draw_in_frame
from samples.reports.document import Document, Poster
from samples.reports.writers.fonts import BOLD, REGULAR, register_fonts, text_width
from samples.reports.writers.panel_pdf import PanelPen
from samples.reports.writers.styles import PAPERS, SOFT

MARGIN = 43.0
# Words of 13 pixels are read from an arm's length at this size.
SCALE, GAP, MOST_ACROSS = 0.78, 14.0, 3
THANKS = "Thank you for your fish"
NO_POSTER = "No fish of this season have an age yet."


def write_poster(document: Document) -> bytes:
    """Write the page for anglers as PDF."""
    register_fonts()
    out = io.BytesIO()
    paper = PAPERS.get(document.paper, PAPERS["letter"])
    canvas = Canvas(out, pagesize=paper, lang=document.language, invariant=1)
    canvas.setTitle(f"{THANKS}: {document.lake}, {document.season}")
    canvas.setAuthor(document.lake)
    canvas.setCreator(f"Earstone {document.version}")
    _Page(canvas, paper, document).draw()
    canvas.showPage()
    canvas.save()
    return out.getvalue()


class _Page:
    """The page while it is drawn, from its top down."""

    def __init__(self, canvas: Any, paper: tuple[float, float], document: Document) -> None:
        self.canvas, self.document = canvas, document
        self.width, self.height = paper
        self.y = self.height - MARGIN
        self.room = self.width - 2 * MARGIN

    def draw(self) -> None:
        poster = self.document.poster
        self._line(f"{self.document.lake}, {self.document.season}", 14, bold=True)
        self._line(THANKS, 38, bold=True)
        if poster is None:
            self._line(NO_POSTER, 15)
        else:
            self._figures(poster)
            self._growth(poster)
        self._foot()

    def _line(self, text: str, size: float, *, bold: bool = False, below: float = 0.0) -> None:
        """Write a line as large as it fits."""
        while size > 8 and text_width(text, size, bold=bold) > self.room:
            size -= 0.5
        self.y -= size * 1.2
        self.canvas.setFont(BOLD if bold else REGULAR, size)
        self.canvas.drawString(MARGIN, self.y, text)
        self.y -= below

    def _figures(self, poster: Poster) -> None:
        """Write three numbers side by side, each over what it counts."""
        self.y -= 14
        canvas, step = self.canvas, self.room / max(len(poster.numbers), 1)
        canvas.setLineWidth(2)
        canvas.line(MARGIN, self.y, self.width - MARGIN, self.y)
        for place, (number, words) in enumerate(poster.numbers):
            left = MARGIN + place * step
            size = 40.0
            while text_width(number, size, bold=True) > step - 10:
                size -= 1
            canvas.setFont(BOLD, size)
            canvas.drawString(left, self.y - 46, number)
            self._wrapped(words, left, self.y - 64, step - 12)
        self.y -= 96
        canvas.setLineWidth(0.8)
        canvas.line(MARGIN, self.y, self.width - MARGIN, self.y)
        for sentence in poster.sentences:
            self._line(sentence, 14, below=2)

    def _wrapped(self, words: str, left: float, top: float, room: float) -> None:
        self.canvas.setFont(REGULAR, 12)
        for place, line in enumerate(simpleSplit(words, REGULAR, 12, room)):
            self.canvas.drawString(left, top - 15 * place, line)

    def _growth(self, poster: Poster) -> None:
        """Draw growth, an arm a panel, in the room that is left."""
        if poster.plot is None:
            return
        self.y -= 6
        self._line(poster.heading, 17, bold=True, below=8)
        panels = poster.plot.panels
        across = min(len(panels), MOST_ACROSS)
        down = -(-len(panels) // across)
        wide = (self.room - GAP * (across - 1)) / across
        high = min((self.y - MARGIN - 70) / down - 34, 190.0)
        drawn = draw_in_frame(poster.plot, Frame(wide / SCALE, high / SCALE))
        for place, panel in enumerate(drawn.panels):
            left = MARGIN + (place % across) * (wide + GAP)
            top = self.y - (place // across) * (high + 34)
            self.canvas.setFillColor("black")
            self.canvas.setFont(BOLD, 12)
            self.canvas.drawString(left, top - 11, panel.title)
            self.canvas.setFont(REGULAR, 10.5)
            said = f"{panel.answer} {panel.interval}".strip()
            self.canvas.drawString(left, top - 24, said)
            PanelPen(self.canvas, left, top - 28, SCALE).draw(panel.svg)
        self.y -= down * (high + 34)
        self.canvas.setFillColor(SOFT)
        labels = f"Up: {poster.plot.y_label.lower()}. Across: {poster.plot.x_label.lower()}."
        for line in simpleSplit(f"{poster.caption} {labels}", REGULAR, 10, self.room):
            self._line(line, 10)

    def _foot(self) -> None:
        canvas = self.canvas
        canvas.setFillColor(SOFT)
        canvas.setFont(REGULAR, 9)
        canvas.drawString(MARGIN, MARGIN - 8, self.document.imprint)
