"""Length at age drawn as one panel for each arm, the other arms thin behind it."""

from collections.abc import Mapping
from dataclasses import dataclass

PANEL_WIDTH, PANEL_GAP, PANEL_HEIGHT = 206, 22, 250
LEFT, TOP, BOTTOM = 46, 34, 40
PANELS_A_ROW = 5


@dataclass(frozen=True, slots=True)
class Point:
    """One age of one arm: the mean, and one standard deviation to either side of it."""

    age: int
    mean: float
    sd: float | None
    n: int


@dataclass(frozen=True, slots=True)
class Mark:
    x: float
    y: float
    words: str = ""


@dataclass(frozen=True, slots=True)
class Panel:
    """What the template draws for one arm; everything is in the picture's own units."""

    name: str
    left: float
    right: float
    top: float
    floor: float
    rules: list[Mark]
    ticks: list[Mark]
    scale_here: bool
    others: list[str]
    band: str
    line: str
    bars: list[str]
    dots: list[Mark]
    words: str


@dataclass(frozen=True, slots=True)
class Figure:
    width: float
    height: float
    panels: list[Panel]


@dataclass(frozen=True, slots=True)
class Axes:
    """From ages and lengths to the place of a panel."""

    left: float
    top: float
    oldest: int
    longest: float

    def x(self, age: float) -> float:
        return round(self.left + PANEL_WIDTH * age / self.oldest, 1)

    def y(self, length: float) -> float:
        return round(self.top + PANEL_HEIGHT * (1 - length / self.longest), 1)


def figure_of(
    means: Mapping[str, list[Point]], words: Mapping[str, str], *, step: float, oldest: int
) -> Figure:
    """Lay out a panel for each arm, in rows, all to one scale.

    :param means: the points of each arm by rising age
    :param words: what stands under each panel
    :param step: the distance of the ruled lines, in the unit of the lengths
    """
    tops = [point.mean + (point.sd or 0) for points in means.values() for point in points]
    longest = step * (int(max(tops, default=step) / step) + 1)
    panels = []
    for place, name in enumerate(means):
        row, column = divmod(place, PANELS_A_ROW)
        axes = Axes(
            LEFT + column * (PANEL_WIDTH + PANEL_GAP),
            TOP + row * (TOP + PANEL_HEIGHT + BOTTOM),
            max(1, oldest),
            longest,
        )
        panels.append(_panel(name, means, words.get(name, ""), axes, step))
    across = min(len(means), PANELS_A_ROW)
    down = -(-len(means) // PANELS_A_ROW)
    return Figure(
        LEFT + across * (PANEL_WIDTH + PANEL_GAP), down * (TOP + PANEL_HEIGHT + BOTTOM), panels
    )


def _panel(
    name: str, means: Mapping[str, list[Point]], words: str, axes: Axes, step: float
) -> Panel:
    points = means[name]
    floor = axes.y(0)
    ruled = range(round(axes.longest / step) + 1)
    every = 1 if axes.oldest <= 5 else 2 if axes.oldest <= 12 else 5
    ticks = [Mark(axes.x(age), floor, str(age)) for age in range(0, axes.oldest + 1, every)]
    return Panel(
        name=name,
        left=axes.left,
        right=axes.left + PANEL_WIDTH,
        top=axes.top,
        floor=floor,
        rules=[Mark(axes.left, axes.y(k * step), f"{k * step:g}") for k in ruled],
        ticks=ticks,
        scale_here=axes.left == LEFT,
        others=[
            _path([(axes.x(p.age), axes.y(p.mean)) for p in other])
            for arm, other in means.items()
            if arm != name and len(other) > 1
        ],
        band=_band(points, axes),
        line=_path([(axes.x(p.age), axes.y(p.mean)) for p in points]) if len(points) > 1 else "",
        bars=[
            f"M{axes.x(p.age)} {axes.y(p.mean - p.sd)}V{axes.y(p.mean + p.sd)}"
            for p in points
            if p.sd
        ],
        dots=[Mark(axes.x(p.age), axes.y(p.mean), str(p.n)) for p in points],
        words=words,
    )


def _band(points: list[Point], axes: Axes) -> str:
    """One standard deviation to either side, over each run of ages where there is one."""
    runs: list[list[Point]] = [[]]
    for point in points:
        if point.sd is None:
            runs.append([])
        else:
            runs[-1].append(point)
    shapes = []
    for run in runs:
        if len(run) < 2:
            continue
        upper = [(axes.x(p.age), axes.y(p.mean + (p.sd or 0))) for p in run]
        lower = [(axes.x(p.age), axes.y(p.mean - (p.sd or 0))) for p in reversed(run)]
        shapes.append(f"{_path([*upper, *lower])}Z")
    return "".join(shapes)


def _path(points: list[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x} {y}" for x, y in points)
