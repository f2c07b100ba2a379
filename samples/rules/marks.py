"""A radius drawn on a picture, and distances on it in pixels and micrometers."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

MOST_ANNULI = 59
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class DrawnRadius:
    """A radius from core to edge in pixels (x, y), and how far each annulus lies from the core."""

    core: Point
    edge: Point
    annuli_px: tuple[float, ...] = ()
    with_suggestion: bool = False

    @property
    def length_px(self) -> float:
        return math.dist(self.core, self.edge)


def radius_um(distance_px: float, um_per_px: float) -> int:
    """Return a distance in whole micrometers."""
    return round(distance_px * um_per_px)


def read_radius(payload: object) -> DrawnRadius:
    """Return the radius that a page sent.

    :raises ValueError: if it is none
    """
    if not isinstance(payload, Mapping):
        raise ValueError("a radius is an object")
    annuli = payload.get("annuli_px")
    if not isinstance(annuli, list) or len(annuli) > MOST_ANNULI:
        raise ValueError("annuli_px is a list of at most 59 distances")
    core, edge = _point(payload.get("core")), _point(payload.get("edge"))
    if math.dist(core, edge) < 1:
        raise ValueError("core and edge lie on each other")
    return DrawnRadius(
        core, edge, tuple(_number(one) for one in annuli), payload.get("with_suggestion") is True
    )


def _point(value: Any) -> Point:
    if not isinstance(value, list) or len(value) != 2:
        raise ValueError("a point is x and y")
    return _number(value[0]), _number(value[1])


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not abs(value) < 1e6:
        raise ValueError("a distance is a number")
    return float(value)
