"""A figure as it stands in a page: a panel a group, the key of its lines, and what it says."""

from dataclasses import dataclass, replace
from itertools import chain

from samples.findings.figures.layout import STACKED, Frame, draw_shared, scales_of
from samples.findings.figures.panel import draw_panel
from samples.findings.figures.thin import thin, thinned_text
from samples.findings.page_model import Panel, Plot, Series

# As wide as a panel is where five stand side by side on a desk; few of them have more room there.
NARROW = Frame(230, 176)
WIDE = {1: Frame(744, 280), 2: Frame(584, 260), 3: Frame(378, 220)}


@dataclass(frozen=True, slots=True)
class KeyLine:
    """What a line, an area or a dot is: an entry of the key."""

    style: str
    name: str


@dataclass(frozen=True, slots=True)
class DrawnPanel:
    """A panel: its head, its picture for a phone, and for a desk if that is another."""

    title: str
    note: str
    answer: str
    interval: str
    foot: str
    svg: str
    wide_svg: str
    keys: list[str]


@dataclass(frozen=True, slots=True)
class DrawnFigure:
    """What ``findings/figure.html`` writes."""

    name: str
    caption: str
    x_label: str
    y_label: str
    key: list[KeyLine]
    panels: list[DrawnPanel]
    shared_svg: str
    has_moving_line: bool

    @property
    def css_class(self) -> str:
        count = len(self.panels)
        return f"panels panels-{count}" if count in WIDE else "panels"


def draw_figure(plot: Plot) -> DrawnFigure:
    """Draw a figure for the page, of at most as many points as are seen."""
    plot = _with_letters(plot)
    shown = thin(plot)
    narrow, wide = scales_of(shown, NARROW), None
    if len(plot.panels) in WIDE:
        wide = scales_of(shown, WIDE[len(plot.panels)])
    panels = []
    for panel in shown.panels:
        alt = alternative(panel, plot)
        panels.append(
            DrawnPanel(
                panel.title,
                panel.note,
                panel.answer,
                panel.interval,
                panel.foot,
                draw_panel(panel, shown, narrow, alt, "panel-plot" + " panel-small" * bool(wide)),
                draw_panel(panel, shown, wide, alt, "panel-plot panel-wide") if wide else "",
                [key for one in panel.series for key in one.keys],
            )
        )
    caption = f"{plot.caption} {thinned_text(plot)}".strip()
    return DrawnFigure(
        plot.name,
        caption,
        plot.x_label,
        plot.y_label,
        _key(plot),
        panels,
        "".join(draw_shared(one) for one in (narrow, wide) if one),
        bool(plot.moves),
    )


@dataclass(frozen=True, slots=True)
class FramedFigure:
    """A figure drawn in one frame: its key, and the picture of each panel."""

    key: list[KeyLine]
    panels: list[DrawnPanel]


def draw_in_frame(plot: Plot, frame: Frame) -> FramedFigure:
    """Draw a figure for paper: every panel as large as the frame, nothing shared or linked."""
    plot = _with_letters(plot)
    shown = thin(plot)
    scales = replace(scales_of(shown, frame), shared={})
    panels = [
        DrawnPanel(
            panel.title,
            panel.note,
            panel.answer,
            panel.interval,
            panel.foot,
            draw_panel(panel, shown, scales, alternative(panel, plot), "panel-plot"),
            "",
            [],
        )
        for panel in shown.panels
    ]
    return FramedFigure(_key(plot), panels)


def alternative(panel: Panel, plot: Plot) -> str:
    """Return what a panel says: the page's own sentence of its group, or where its data go."""
    if panel.says:
        return panel.says
    if panel.answer:
        said = f"{panel.answer} {panel.interval}".strip()
        return f"{panel.title}: {said}{f', {panel.note}' if panel.note else ''}."
    return f"{panel.title}: {_course(panel, plot)}"


def _course(panel: Panel, plot: Plot) -> str:
    """Say in a sentence where the data of a panel begin, end and are highest."""
    found = [one for one in panel.series if one.style in ("dots", "bars", "line") and one.x]
    y_name, y_unit = _name_and_unit(plot.y_label)
    x_name, x_unit = _name_and_unit(plot.x_label)
    if not found:
        return f"no {y_name} to show."
    one = found[0]
    # Heard as what the eye sees: where something is, not how wide the axis was drawn.
    there = [at for at, value in enumerate(one.y) if value] or [0]
    first, last, peak = there[0], there[-1], max(there, key=one.y.__getitem__)
    first_y, last_y, peak_y = (f"{_plain(one.y[at])}{y_unit}" for at in (first, last, peak))
    first_x, last_x, peak_x = (_named(plot, one.x[at]) for at in (first, last, peak))
    if first == last:
        return f"{y_name} is {first_y} at {x_name} {first_x}{x_unit}."
    ends = f"{first_y} at {x_name} {first_x} to {last_y} at {last_x}{x_unit}"
    if peak in {first, last}:
        return f"{y_name} goes from {ends}."
    return f"{y_name} goes from {ends}, and is highest, {peak_y}, at {peak_x}."


def _name_and_unit(label: str) -> tuple[str, str]:
    """Return what an axis is called in a sentence, and what follows its numbers."""
    name, _, unit = label.partition(", ")
    spoken = name[:1].lower() + name[1:]
    return spoken, unit if unit == "%" else f" {unit}" if unit else ""


def _named(plot: Plot, x: float) -> str:
    return plot.x_names.get(round(x), _plain(x)) if plot.x_names else _plain(x)


def _plain(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _key(plot: Plot) -> list[KeyLine]:
    """Return an entry for each style that has a name, in the order of drawing."""
    series = chain.from_iterable(panel.series for panel in plot.panels)
    named: dict[str, str] = {}
    for one in series:
        if one.style == "soft":
            named.setdefault("soft", "the others, by first letter" if one.name else "")
        elif one.name and not (one.label and one.style in STACKED):
            named.setdefault(one.style, one.name)
    for mark in chain.from_iterable(panel.marks for panel in plot.panels):
        named.setdefault("low" if mark.low else "mark", mark.label)
    # A line through dots of the same name is no thing of its own.
    if named.get("line") and named.get("line") == named.get("dots"):
        del named["line"]
    return [KeyLine(style, name) for style, name in named.items() if name]


def _with_letters(plot: Plot) -> Plot:
    """Label the thin lines of the others by as many letters of their names as tell them apart."""
    letters = short_names([panel.title for panel in plot.panels])
    panels = [
        replace(panel, series=[_lettered(one, letters) for one in panel.series])
        for panel in plot.panels
    ]
    return replace(plot, panels=panels)


def _lettered(series: Series, letters: dict[str, str]) -> Series:
    if series.style != "soft" or series.label:
        return series
    return replace(series, label=letters.get(series.name, ""))


def short_names(names: list[str]) -> dict[str, str]:
    """Return the fewest first letters that tell names apart."""
    longest = max(map(len, names), default=1)
    length = next(
        (size for size in range(1, longest) if len({name[:size] for name in names}) == len(names)),
        longest,
    )
    return {name: name[:length] for name in names}
