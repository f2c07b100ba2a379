"""Paths of an SVG, as short as they can be without a difference that anybody sees."""

import math
from collections.abc import Sequence

Point = tuple[float, float]
# In units of the drawing, which are pixels of a desk.
SEEN = 0.35


def number(value: float) -> str:
    """Write a coordinate with one decimal, and none where it is whole."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def points(found: Sequence[Point]) -> str:
    """Write points as an attribute of a line of them has them."""
    return " ".join(f"{number(x)},{number(y)}" for x, y in found)


def line(found: Sequence[Point]) -> str:
    """Write a line through points as a path; of nothing there is none."""
    corners = " ".join(f"{number(x)} {number(y)}" for x, y in simple(found))
    return f"M{corners}" if corners else ""


def area(lower: Sequence[Point], upper: Sequence[Point]) -> str:
    """Write what lies between two lines as a closed path."""
    back = " ".join(f"{number(x)} {number(y)}" for x, y in simple(lower)[::-1])
    return f"{line(upper)} {back}Z" if upper else ""


def simple(found: Sequence[Point]) -> list[Point]:
    """Leave out points of a line that lie as good as on it (Ramer 1972; Douglas & Peucker 1973)."""
    if len(found) < 3:
        return list(found)
    first, last = found[0], found[-1]
    away = [_distance(one, first, last) for one in found]
    farthest = max(range(len(found)), key=away.__getitem__)
    if away[farthest] <= SEEN:
        return [first, last]
    return simple(found[: farthest + 1])[:-1] + simple(found[farthest:])


def _distance(one: Point, first: Point, last: Point) -> float:
    along, across = last[0] - first[0], last[1] - first[1]
    long = math.hypot(along, across)
    if not long:
        return math.hypot(one[0] - first[0], one[1] - first[1])
    return abs(along * (one[1] - first[1]) - across * (one[0] - first[0])) / long
