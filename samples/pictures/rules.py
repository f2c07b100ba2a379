"""What the name of a file says about a picture, and whether a scale makes sense."""

import math
import re
from dataclasses import dataclass

from samples.rules import vial_number

# Tried at every place of a name: a date before the number must not hide it.
_NUMBER = re.compile(r"(?<![0-9])(?=([0-9]{2}[ _-]?[0-9]{4,6}[ _-]?[0-9])(?![0-9]))")
_SIDE = re.compile(r"(?<![a-z])(left|right|l|r)(?![a-z])", re.IGNORECASE)

# Two points closer than this say too little: a pixel of error in 100 is one percent.
LEAST_APART_PX = 100.0
# From common practice, no source: between a light microscope's finest pixel and a macro lens.
LEAST_UM_PER_PX, MOST_UM_PER_PX = 0.02, 100.0


@dataclass(frozen=True, slots=True)
class NamedNumbers:
    """Vial numbers that a name may mean, and those that look like one but for the last digit."""

    numbers: tuple[str, ...]
    wrong: tuple[str, ...]


def numbers_in_name(name: str) -> NamedNumbers:
    """Return every vial number that a file's name may hold, in order."""
    numbers: dict[str, None] = {}
    wrong: dict[str, None] = {}
    for found in _NUMBER.finditer(name):
        digits = re.sub(r"[^0-9]", "", found[1])
        try:
            numbers[vial_number.parse(digits).number] = None
        except vial_number.VialNumberRefused:
            wrong[digits] = None
    return NamedNumbers(tuple(numbers), tuple(wrong))


def side_in_name(name: str) -> str:
    """Return the side that a name says, "left" or "right"; empty where it says none or both."""
    stem = name.rsplit(".", 1)[0]
    sides = {found[1].lower()[0] for found in _SIDE.finditer(stem)}
    return {"l": "left", "r": "right"}[sides.pop()] if len(sides) == 1 else ""


class UnlikelyScale(ValueError):
    """Why two points and a distance make no scale, beside which field, in a sentence."""

    def __init__(self, code: str, field: str | None, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code
        self.field = field
        self.sentence = sentence


def scale_between(
    first: tuple[float, float],
    last: tuple[float, float],
    distance_um: float,
    *,
    size: tuple[int, int],
) -> float:
    """Return micrometers a pixel from two points of a picture and their true distance.

    :raises UnlikelyScale: if the points are not on the picture, too close, or the scale is absurd
    """
    width, height = size
    for x, y in (first, last):
        if not (0 <= x <= width and 0 <= y <= height):
            raise UnlikelyScale(
                "point_outside",
                None,
                f"A point lies outside the picture of {width} x {height} pixels. "
                "Tap both points again.",
            )
    apart = math.dist(first, last)
    if apart < LEAST_APART_PX:
        raise UnlikelyScale(
            "points_too_close",
            None,
            f"The points are {apart:.0f} pixels apart. Choose two marks of the stage micrometer "
            f"that are at least {LEAST_APART_PX:.0f} pixels apart.",
        )
    um_per_px = distance_um / apart
    if not LEAST_UM_PER_PX <= um_per_px <= MOST_UM_PER_PX:
        raise UnlikelyScale(
            "unlikely_scale",
            "distance",
            f"This makes {um_per_px:.3g} µm a pixel, which no microscope gives. Enter the distance "
            "between the two points, such as 1 mm or 500 µm.",
        )
    return um_per_px
