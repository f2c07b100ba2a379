"""The coverage mark: an otolith's outline with one ring a fish, from the core outward.

Every ring adds the same area, so rings narrow outward as on a real otolith, a missing fish is
the same ink in every cell, and a smaller stone means that fewer are wanted.
"""

import math
from dataclasses import dataclass
from functools import cache

CORE = (31.5, 18.5)  # in a window of 60 x 38
OUTLINE = [
    (27, -1.5),
    (25, 7.5),
    (17, 13.6),
    (6, 16.2),
    (-6, 16.3),
    (-17, 13.6),
    (-25, 8.6),
    (-29.2, 2),
    (-26.2, -3.4),
    (-22.6, -5.4),
    (-20.4, -10.2),
    (-11, -14.8),
    (1, -16.6),
    (13, -15.2),
    (22.5, -10),
]
# Finer rings than this run together at the size of a cell.
MOST_RINGS = 10

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Ring:
    """One ring to draw: which outline, and what its fish is."""

    outline: int
    state: str  # aged, hand or missing
    whole: bool = False  # the edge of a stone that lacks nothing


@cache
def rings(wanted: int, counted: int, in_hand: int, most_wanted: int) -> tuple[Ring, ...]:
    """Return the rings of a stone, outermost first, so that each is drawn over the last.

    Up to `MOST_RINGS` there is one ring for each fish wanted; where the largest target of
    the page is above that, all stones are drawn to scale, and none hides a fish that is
    missing or looks empty when some are there.
    """
    if wanted <= 0:
        return ()
    size = _to_scale(wanted, most_wanted)
    aged, held = _edges(wanted, counted, in_hand, size)
    drawn = [Ring(size, "missing")] if held < size else []
    drawn += [Ring(k, "hand") for k in range(held, aged, -1)]
    drawn += [Ring(k, "aged", whole=k == size) for k in range(aged, 0, -1)]
    return tuple(drawn)


def _edges(wanted: int, counted: int, in_hand: int, size: int) -> tuple[int, int]:
    """Return which of the rings from the core are aged, and up to which they are in hand."""
    if counted >= wanted:
        return size, size
    held = wanted if counted + in_hand >= wanted else counted + in_hand
    if size == wanted:
        return counted, held
    edge = size if held == wanted else min(size - 1, max(held * size // wanted, held > 0))
    return min(size - 1, edge, max(counted * size // wanted, counted > 0)), edge


def _to_scale(wanted: int, most_wanted: int) -> int:
    most = max(most_wanted, wanted)
    return wanted if most <= MOST_RINGS else max(1, round(wanted * MOST_RINGS / most))


@cache
def outlines(most: int) -> list[tuple[int, str]]:
    """Return the outlines 1 to `most` as SVG paths; a stone of fewer uses the first of them."""
    return [(k, outline(k, most)) for k in range(1, most + 1)]


def outline(k: int, most: int) -> str:
    """Draw what k of `most` fish enclose. Young rings are rounder: notch and beak come with age."""
    grown = (k / most) ** 0.75
    points = []
    for x, y in OUTLINE:
        angle = math.atan2(y, x)
        oval = 1 / math.hypot(math.cos(angle) / 27.5, math.sin(angle) / 16.6)
        radius = grown * math.hypot(x, y) + (1 - grown) * oval
        points.append((radius * math.cos(angle), radius * math.sin(angle)))
    scale = math.sqrt(area(OUTLINE) * k / most / area(points))
    placed = [(CORE[0] + x * scale, CORE[1] + y * scale) for x, y in points]
    pieces = [
        " ".join(f"{_text(x)} {_text(y)}" for x, y in _controls(placed, i))
        for i in range(len(placed))
    ]
    return f"M{_text(placed[0][0])} {_text(placed[0][1])}C{' '.join(pieces)}Z"


def area(points: list[Point]) -> float:
    """Measure what a closed smooth outline through these points encloses."""
    dense: list[Point] = []
    for i, start in enumerate(points):
        first, second, end = _controls(points, i)
        for step in range(12):
            t = step / 12
            weights = ((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t * t, t**3)
            corners = (start, first, second, end)
            dense.append(
                (
                    sum(w * x for w, (x, _) in zip(weights, corners, strict=True)),
                    sum(w * y for w, (_, y) in zip(weights, corners, strict=True)),
                )
            )
    pairs = zip(dense[-1:] + dense[:-1], dense, strict=True)
    return abs(sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairs)) / 2


def _controls(points: list[Point], i: int) -> tuple[Point, Point, Point]:
    """Return Bezier controls and end of the piece that leaves points[i] (closed Catmull-Rom)."""
    n = len(points)
    (ax, ay), (bx, by) = points[i - 1], points[i]
    (cx, cy), (dx, dy) = points[(i + 1) % n], points[(i + 2) % n]
    first = (bx + (cx - ax) / 6, by + (cy - ay) / 6)
    second = (cx - (dx - bx) / 6, cy - (dy - by) / 6)
    return first, second, (cx, cy)


def _text(value: float) -> str:
    short = f"{value:.1f}".removesuffix(".0")
    return "0" if short == "-0" else short
