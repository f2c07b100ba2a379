"""Brightness along a radius of a picture, and annuli suggested on it."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pyvips

from samples.lab.services.errors import CannotRead
from samples.models import Picture
from samples.rules.marks import DrawnRadius
from samples.science.annuli import BEYOND, brightness_profile, suggest_annuli
from samples.science.errors import CannotEstimate

# As wide as a page draws it.
MOST_POINTS = 600
SHORTEST_PX = 30.0
# Room about the radius for the band that is averaged, in pixels and as a share of it.
ABOUT_PX, AROUND = 8, 0.15
NOT_READABLE = "The file of this picture can't be read. Upload it again."


@dataclass(frozen=True, slots=True)
class Profile:
    """Brightness from core to edge, 0 to 255, at equal steps; annuli suggested, in pixels.

    ``positions_px`` is None where none were asked for or the profile does not tell; ``sentence``
    says why.
    """

    brightness: list[float]
    positions_px: list[float] | None = None
    sentence: str = ""


def profile_of(
    picture: Picture, radius: DrawnRadius, *, suggest: bool = False, dark: bool = True
) -> Profile:
    """Return the brightness along a radius of a picture, and likely annuli if they are asked for.

    :raises CannotRead: if the radius is too short or off the picture, or the file is missing
    """
    length = radius.length_px
    ends = (*radius.core, *radius.edge)
    sizes = (picture.width_px, picture.height_px) * 2
    if any(not 0 <= end <= size for end, size in zip(ends, sizes, strict=True)):
        raise CannotRead("off_picture", "Core and edge must lie on the picture.", "marks")
    if length < SHORTEST_PX:
        raise CannotRead(
            "short_radius", "Draw a longer radius, from the core to the edge.", "marks"
        )
    light, core, edge = _cut_out(picture, radius)
    whole = brightness_profile(light, core, edge, beyond=BEYOND)
    inside = whole[: round(whole.size / (1 + BEYOND))]
    brightness = _thinned(inside)
    if not suggest:
        return Profile(brightness)
    try:
        found = suggest_annuli(whole, beyond=BEYOND, dark=dark)
    except CannotEstimate as problem:
        return Profile(brightness, None, problem.sentence)
    return Profile(brightness, [round(one * length, 1) for one in found.positions])


def _cut_out(
    picture: Picture, radius: DrawnRadius
) -> tuple[npt.NDArray[np.uint8], tuple[float, float], tuple[float, float]]:
    """Return the part of a picture about a radius in gray, and the ends of the radius in it."""
    room = ABOUT_PX + AROUND * radius.length_px
    (x1, y1), (x2, y2) = radius.core, radius.edge
    left, top = (max(0, math.floor(min(pair) - room)) for pair in ((x1, x2), (y1, y2)))
    right = min(picture.width_px, math.ceil(max(x1, x2) + room))
    bottom = min(picture.height_px, math.ceil(max(y1, y2) + room))
    light = _gray(picture, left, top, right - left, bottom - top)
    return light, (x1 - left, y1 - top), (x2 - left, y2 - top)


def _gray(picture: Picture, left: int, top: int, width: int, height: int) -> Any:
    try:
        with picture.file.open("rb") as file:
            whole = pyvips.Image.jpegload_buffer(file.read(), access="sequential")
            return whole.crop(left, top, width, height).colourspace("b-w").numpy()
    except (FileNotFoundError, pyvips.Error) as problem:
        raise CannotRead("no_file", NOT_READABLE, "marks") from problem


def _thinned(values: npt.NDArray[np.float64]) -> list[float]:
    """Return at most as many values as are drawn, averages of their neighbors."""
    if values.size <= MOST_POINTS:
        return [round(float(one), 1) for one in values]
    parts = np.array_split(values, MOST_POINTS)
    return [round(float(part.mean()), 1) for part in parts]
