"""What is drawn: plots of panels of series, before anything is drawn."""

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
