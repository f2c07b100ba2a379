"""What a page of findings is made of: words, figures and tables, before anything is drawn.

A topic turns a sample into one of these, and knows neither the web nor the drawing. The page,
the figures as SVG and PNG, and the tables as CSV are all made from it.
"""

from dataclasses import dataclass, field

Numbers = list[float]


@dataclass(frozen=True, slots=True)
class Series:
    """Things to draw in a panel.

    ``style`` is "line", "dash", "dotted", "soft" (a line of others, thin), "dots", "small"
    (small dots), "band" (from lower to upper), "bars" (upright, with error bars where there is a
    lower) or "discs" (as large as ``size``, from 0 to 1).
    ``keys`` name what a dot stands for, so that a page can link it.
    """

    style: str
    x: Numbers
    y: Numbers
    lower: Numbers = field(default_factory=list)
    upper: Numbers = field(default_factory=list)
    name: str = ""
    keys: list[str] = field(default_factory=list)
    size: Numbers = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Mark:
    """A straight line across a panel at a value, with its words over it, or under it if low."""

    value: float
    label: str
    upright: bool = False
    low: bool = False


@dataclass(frozen=True, slots=True)
class Panel:
    title: str
    series: list[Series]
    marks: list[Mark] = field(default_factory=list)
    note: str = ""


@dataclass(frozen=True, slots=True)
class Plot:
    """One figure: panels on common axes, what they say, and what each line is."""

    name: str
    panels: list[Panel]
    x_label: str
    y_label: str
    alt: str
    caption: str
    whole_x: bool = False
    whole_y: bool = False
    square: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of text; the first cell heads its row. ``note`` explains what stands in it.

    ``folded`` tables open when asked for; those ``in_file_only`` are too long for a page;
    those ``is_text`` hold words rather than figures.
    """

    name: str
    caption: str
    heads: list[str]
    rows: list[list[str]]
    note: str = ""
    folded: bool = False
    in_file_only: bool = False
    is_text: bool = False


@dataclass(frozen=True, slots=True)
class Page:
    """A whole finding, in the order in which it is read.

    ``summary`` are sentences that anybody understands; ``warnings`` what must be known before they
    are believed; ``refused`` says why there is no finding, and what would make one. Of one that
    is ``for_public`` there is a page to print for the public.
    """

    title: str
    summary: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    plots: list[Plot] = field(default_factory=list)
    tables: list[Table] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    refused: str = ""
    for_public: bool = False
