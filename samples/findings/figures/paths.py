"""Paths of an SVG, as short as they can be without a difference that anybody sees."""

import math
from collections.abc import Sequence
from itertools import pairwise

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
    return _steps("M", simple(found))


def area(lower: Sequence[Point], upper: Sequence[Point]) -> str:
    """Write what lies between two lines as a closed path."""
    return f"{line(upper)}{_steps('L', simple(lower)[::-1])}Z" if upper else ""


def _steps(begin: str, found: Sequence[Point]) -> str:
    """Write points as where the first lies, and how far it is from each to the next.

    A distance has fewer digits than a place, and its sign parts it from the number before. Places
    are rounded first, so that nothing adds up.
    """
    tenths = [(round(10 * x), round(10 * y)) for x, y in found]
    if not tenths:
        return ""
    steps = [
        _number(there - here)
        for before, after in pairwise(tenths)
        for here, there in zip(before, after, strict=True)
    ]
    first = _close([_number(place) for place in tenths[0]])
    return begin + first + ("l" + _close(steps) if steps else "")


def _number(tenths: int) -> str:
    """Write tenths with as few characters as a path can have: .5 and -.5."""
    whole, part = divmod(abs(tenths), 10)
    text = f"{whole or ''}{f'.{part}' if part else ''}" or "0"
    return f"-{text}" if tenths < 0 else text


def _close(numbers: Sequence[str]) -> str:
    """Write numbers one after another; a sign parts two of them as a space does."""
    return "".join(
        text if not place or text.startswith("-") else f" {text}"
        for place, text in enumerate(numbers)
    )


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
