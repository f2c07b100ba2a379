"""A figure on paper: its panels side by side, drawn as lines and words, with its caption."""

from collections.abc import Sequence

from reportlab.lib.colors import black
from reportlab.platypus import Flowable

from samples.findings.figures import DrawnPanel, Frame, KeyLine, draw_in_frame
from samples.findings.page_model import Plot
from samples.reports.document import Figure
from samples.reports.writers.fonts import BOLD, REGULAR, text_width
from samples.reports.writers.panel_pdf import PanelPen
from samples.reports.writers.styles import CAPTION, SOFT, paragraph

# Points for each pixel of a panel: words of 13 pixels are 8 points.
SCALE = 0.62
GAP = 9.0
HEAD, UNDER = 26.0, 12.0
# What a row of panels takes above and below what is drawn.
ROW_EDGES = HEAD + UNDER + 8.0
# How high a panel is drawn, in pixels, by how many stand in a row.
HEIGHTS = {1: 300.0, 2: 240.0, 3: 190.0}
KEY_WORDS = {
    "line": "solid line",
    "dash": "dashed line",
    "dotted": "dotted line",
    "soft": "thin lines",
    "dots": "circles",
    "small": "dots",
    "band": "gray band",
    "bars": "bars",
    "discs": "discs",
    "low": "dotted rule",
    "mark": "dashed rule",
    "clear": "white area",
    "shade": "gray area",
    "ink": "black area",
}


class PanelRow(Flowable):
    """Panels side by side, and the caption where a place is left over."""

    def __init__(
        self, panels: Sequence[DrawnPanel], frame: Frame, labels: tuple[str, str], across: int
    ) -> None:
        super().__init__()
        self.panels, self.frame, self.labels, self.across = panels, frame, labels, across
        self.caption: Flowable | None = None

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        del height
        self.width = width
        self.height = self.frame.height * SCALE + ROW_EDGES
        return self.width, self.height

    @property
    def panel_width(self) -> float:
        return self.frame.width * SCALE

    def draw(self) -> None:
        for place, panel in enumerate(self.panels):
            self._panel(panel, place * (self.panel_width + GAP))
        if self.caption is not None:
            left = len(self.panels) * (self.panel_width + GAP)
            _, height = self.caption.wrap(self.panel_width, self.height)
            self.caption.drawOn(self.canv, left, self.height - 14 - height)

    def _panel(self, panel: DrawnPanel, left: float) -> None:
        canvas, right = self.canv, left + self.panel_width
        top = self.height - 4
        canvas.setStrokeColor(black)
        canvas.setLineWidth(0.8)
        canvas.line(left, top, right, top)
        note = panel.note
        canvas.setFillColor(SOFT)
        canvas.setFont(REGULAR, 7.5)
        canvas.drawRightString(right, top - 10, note)
        room = self.panel_width - text_width(note, 7.5) - 4
        canvas.setFillColor(black)
        canvas.setFont(BOLD, 8.5)
        canvas.drawString(left, top - 10, _shortened(panel.title, room))
        self._answer(panel, left, top - 20.5)
        y_label, x_label = self.labels
        canvas.setFillColor(SOFT)
        canvas.setFont(REGULAR, 6.5)
        canvas.drawString(left, top - HEAD - 3, y_label)
        canvas.drawRightString(right, top - HEAD - UNDER - self.frame.height * SCALE + 4, x_label)
        PanelPen(canvas, left, top - HEAD - 5, SCALE).draw(panel.svg)

    def _answer(self, panel: DrawnPanel, left: float, base: float) -> None:
        size = 8.0
        while size > 5.5 and self._answer_width(panel, size) > self.panel_width:
            size -= 0.25
        canvas = self.canv
        canvas.setFont(BOLD, size)
        canvas.drawString(left, base, panel.answer)
        canvas.setFont(REGULAR, size)
        after = left + text_width(f"{panel.answer} ", size, bold=True)
        canvas.drawString(after, base, panel.interval)

    def _answer_width(self, panel: DrawnPanel, size: float) -> float:
        return text_width(f"{panel.answer} ", size, bold=True) + text_width(panel.interval, size)


def panel_rows(plot: Plot, width: float, across: int, height: float) -> tuple[list[PanelRow], str]:
    """Draw a figure as rows of so many panels, each so many pixels high, and its key in words."""
    frame = Frame((width - GAP * (across - 1)) / across / SCALE, height)
    drawn = draw_in_frame(plot, frame)
    labels = (plot.y_label, plot.x_label)
    rows = [PanelRow(list(some), frame, labels, across) for some in _batched(drawn.panels, across)]
    return rows, _key_text(drawn.key)


def figure_flowables(figure: Figure, width: float) -> list[Flowable]:
    """Return a figure as rows of panels; its caption stands in a place left over, or below."""
    across = panels_across(figure.plot)
    rows, key = panel_rows(figure.plot, width, across, HEIGHTS[across])
    words = f"{figure.caption} {key}".strip()
    caption = paragraph(words, CAPTION, strong=f"{figure.name}.")
    if rows and len(rows[-1].panels) < across:
        _, height = caption.wrap(rows[-1].panel_width, 1_000)
        if height <= HEAD + rows[-1].frame.height * SCALE:
            rows[-1].caption = caption
            return list(rows)
    return [*rows, caption]


def panels_across(plot: Plot) -> int:
    return min(len(plot.panels), max(HEIGHTS)) or 1


def _batched(panels: Sequence[DrawnPanel], across: int) -> list[Sequence[DrawnPanel]]:
    return [panels[place : place + across] for place in range(0, len(panels), across)]


def _key_text(key: Sequence[KeyLine]) -> str:
    """Say in words what the lines and dots of a figure are."""
    said = [f"{KEY_WORDS.get(one.style, one.style)}: {one.name}" for one in key if one.name]
    text = "; ".join(said)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _shortened(text: str, room: float) -> str:
    if text_width(text, 8.5, bold=True) <= room:
        return text
    while text and text_width(f"{text}…", 8.5, bold=True) > room:
        text = text[:-1]
    return f"{text}…"
