"""What is drawn: plots of panels of series, before anything is drawn."""

from collections.abc import Mapping
from dataclasses import dataclass, field

Numbers = list[float]


@dataclass(frozen=True, slots=True)
class Series:
    """Things to draw in a panel.

    ``style`` is "line", "dash", "dotted", "soft" (a line of others, thin), "dots", "small"
    (small dots), "band" (from lower to upper), "bars" (upright, with error bars where there is a
    lower), "discs" (as large as ``size``, from 0 to 1), or one of the areas that lie on each other
    from lower to upper: "clear", "shade" and "ink".
    ``name`` says in a key what it is, and ``label`` stands at its end. ``keys`` name what a dot
    stands for, so that a page can link it.
    """

    style: str
    x: Numbers
    y: Numbers
    lower: Numbers = field(default_factory=list)
    upper: Numbers = field(default_factory=list)
    name: str = ""
    keys: list[str] = field(default_factory=list)
    size: Numbers = field(default_factory=list)
    label: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """A straight line across a panel at a value: dashed, or dotted if it is ``low``.

    ``tick`` is the value as it stands at the axis; without one, nothing does.
    """

    value: float
    label: str
    upright: bool = False
    low: bool = False
    tick: str = ""


@dataclass(frozen=True, slots=True)
class Panel:
    """A group's part of a figure: what it says stands at its head, before it is drawn.

    ``answer`` is its number and ``interval`` what stands behind it; ``foot`` is a short sentence
    beneath. ``says`` is the page's own sentence of this group, for whoever does not see the panel.
    """

    title: str
    series: list[Series]
    marks: list[Mark] = field(default_factory=list)
    note: str = ""
    answer: str = ""
    interval: str = ""
    foot: str = ""
    says: str = ""


@dataclass(frozen=True, slots=True)
class Plot:
    """One figure: panels on common axes, what they say, and what each line is.

    ``x_names`` are the names of places on the x axis that are no numbers. The mark of a figure
    that ``moves`` can be moved over its band, in this unit; each panel's head says the line there.
    """

    name: str
    panels: list[Panel]
    x_label: str
    y_label: str
    alt: str
    caption: str
    whole_x: bool = False
    whole_y: bool = False
    square: bool = False
    x_names: Mapping[int, str] = field(default_factory=dict)
    moves: str = ""
