"""Pictures of the scenario's otoliths, drawn anew from the radii that were read.

Reflected light: growth is pale, annuli are dark, on slate. Every shape is our own invention.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from math import dist
from typing import Final

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw

WIDTH_PX, HEIGHT_PX = 1200, 900
UM_PER_PX: Final = 5.0
MM_PX: Final = round(1000 / UM_PER_PX)
# Where every otolith's core lies, and the way to its edge along which it is read.
CORE: Final = (610.0, 450.0)
TOWARD: Final = (0.98, -0.199)
_SLATE: Final = 24.0


@dataclass(frozen=True, slots=True)
class OtolithPicture:
    """A file, and what is true of it: core, edge and annuli in pixels."""

    data: bytes
    core: tuple[float, float]
    edge: tuple[float, float]
    annuli_px: tuple[float, ...]

    @property
    def edge_px(self) -> float:
        """Return how far from the core the edge lies."""
        return dist(self.core, self.edge)


def draw_otolith(radii_um: Sequence[int], edge_um: int, *, seed: int) -> OtolithPicture:
    """Draw an otolith whose annuli lie as far from the core as was read."""
    rng = np.random.default_rng(seed)
    length = edge_um / UM_PER_PX
    annuli = tuple(radius / UM_PER_PX for radius in radii_um)
    y, x = np.mgrid[0:HEIGHT_PX, 0:WIDTH_PX].astype(np.float32)
    share = _share_of_radius(x - CORE[0], y - CORE[1], rng) / length
    light = 168 - 70 * np.exp(-((share / 0.11) ** 2)) - 26 * share
    for at in (annulus / length for annulus in annuli):
        off = share - at
        # It darkens slowly from within and ends sharply.
        wide = np.where(off < 0, 0.024, 0.009)
        light -= rng.uniform(48, 66) * np.exp(-0.5 * (off / wide) ** 2)
    light += 5 * np.sin(share * 95 + rng.uniform(0, 6))
    light += rng.normal(0, 5, light.shape).astype(np.float32)
    # The rim is thin: light passes it.
    inside = np.clip((1 - share) / 0.02, 0, 1)
    light = _SLATE + (light - _SLATE) * inside
    end = (CORE[0] + TOWARD[0] * length, CORE[1] + TOWARD[1] * length)
    return OtolithPicture(_jpeg(light), CORE, end, annuli)


def draw_micrometer() -> bytes:
    """Draw a stage micrometer of 5 mm, at the scale of the otoliths."""
    image = Image.new("L", (WIDTH_PX, HEIGHT_PX), 214)
    pen = ImageDraw.Draw(image)
    (x, y), _ = micrometer_ends()
    for tenth in range(51):
        at = x + tenth * MM_PX // 10
        tall = 90 if tenth % 10 == 0 else 60 if tenth % 5 == 0 else 36
        pen.line([(at, y), (at, y - tall)], fill=30, width=2)
    pen.line([(x, y), (x + 5 * MM_PX, y)], fill=30, width=2)
    return _jpeg(np.asarray(image, dtype=np.float32))


def micrometer_ends() -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the first and the last mark of the stage micrometer, which are 5 mm apart."""
    return (100.0, 480.0), (100.0 + 5 * MM_PX, 480.0)


def _share_of_radius(
    across: npt.NDArray[np.float32], down: npt.NDArray[np.float32], rng: np.random.Generator
) -> npt.NDArray[np.float32]:
    """Return how far from the core each pixel lies, in pixels of the radius that is read."""
    along = across * TOWARD[0] + down * TOWARD[1]
    beside = -across * TOWARD[1] + down * TOWARD[0]
    angle = np.arctan2(beside, along)
    # Longer than it is tall, shorter behind the core, with a wavy rim: none of it on the radius.
    out = 1.0 - 0.16 * (1 - np.cos(2 * angle)) - 0.05 * (1 - np.cos(angle))
    out = out + rng.uniform(0.004, 0.009) * np.sin(11 * angle) + 0.012 * np.sin(5 * angle)
    share: npt.NDArray[np.float32] = np.hypot(along, beside) / out
    return share


def _jpeg(light: npt.NDArray[np.float32]) -> bytes:
    tint = np.array([1.0, 0.965, 0.89], dtype=np.float32)
    colors = np.clip(light[..., None] * tint, 0, 255).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(colors, "RGB").save(out, "JPEG", quality=86)
    return out.getvalue()
