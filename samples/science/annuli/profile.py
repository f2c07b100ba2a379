"""Brightness along a radius of a picture."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from scipy.ndimage import gaussian_filter1d, map_coordinates

from samples.science.arguments import Floats, at_least, finite

# A radius shorter than this holds no ring; no picture of 60 megapixels has a longer one.
SHORTEST_PX, LONGEST_PX = 8.0, 20_000.0
WIDEST = 0.5
# The band is narrower at the core, where rings bend most, by this part of its width.
AT_CORE = 0.8
# How far rings may lie askew to the radius, in pixels along it for each pixel across.
TILTS = np.linspace(-0.4, 0.4, 17)


def brightness_profile(
    picture: npt.ArrayLike,
    core: Sequence[float],
    edge: Sequence[float],
    *,
    width: float = 0.16,
    beyond: float = 0.0,
) -> Floats:
    """Return the brightness along a radius, averaged over a narrow band across it.

    The band opens towards the edge as the rings do, and is averaged along the rings: where they
    lie askew to the radius, at the slant that keeps them sharpest.

    Parameters
    ----------
    picture : array_like, shape (rows, columns)
        Brightness of each pixel, on any scale.
    core, edge : sequence of float
        Ends of the radius, (x, y) in pixels: x to the right, y down, (0, 0) the center of the
        upper left pixel.
    width : float
        Width of the band at the edge, as a share of the radius. Wider takes more grain away, but
        blurs rings that are no smooth curves. 0 is a line.

    beyond : float
        How far to go on past the edge, as a share of the radius.

    Returns
    -------
    ndarray, shape (samples,)
        Brightness at equal steps of at most one pixel, the first at the core, the last at the
        edge or as far beyond it as was asked. Between pixels it is bilinear; beyond the picture
        its border goes on.

    Raises
    ------
    ValueError
        If the picture is not two-dimensional or has no pixel, an end is not two numbers, the radius
        is under 8 or over 20,000 pixels long, width or beyond not 0 to 0.5, or a number is not
        finite.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.annuli import brightness_profile
    >>> picture = np.tile(np.arange(20.0), (5, 1))
    >>> brightness_profile(picture, (2, 2), (12, 2), width=0).round(1)
    array([ 2.,  3.,  4.,  5.,  6.,  7.,  8.,  9., 10., 11., 12.])
    """
    light = finite(picture, "picture", ndim=2)
    start, end = finite(core, "core"), finite(edge, "edge")
    if not light.size:
        raise ValueError("picture must have a pixel")
    if start.shape != (2,) or end.shape != (2,):
        raise ValueError("core and edge must be x and y")
    for share, name in ((width, "width"), (beyond, "beyond")):
        at_least(share, 0, name)
    length = float(np.hypot(*(end - start)))
    if not SHORTEST_PX <= length <= LONGEST_PX or max(width, beyond) > WIDEST:
        raise ValueError("the radius must be 8 to 20000 pixels long, width and beyond at most 0.5")
    reach = 1 + beyond
    along = np.linspace(0.0, reach, int(np.ceil(reach * length)) + 1)
    # An even number of pixels from line to line; the middle one is the radius itself.
    lines = 2 * min(12, int(width * length / 4)) + 1
    across = np.linspace(-width / 2, width / 2, lines)
    opening = AT_CORE + (1 - AT_CORE) * along
    bands = _sampled(light, start, end, along, across * opening[:, None])
    return _along_rings(bands, along, across)


def _sampled(light: Floats, start: Floats, end: Floats, along: Floats, across: Floats) -> Floats:
    """Return the brightness of lines on both sides of a radius, shape (samples, lines)."""
    direction = end - start
    # A circle about the core is reached sooner, on the radius, by lines beside it.
    reach = np.sqrt(np.maximum(along[:, None] ** 2 - across**2, 0.0))
    x = start[0] + reach * direction[0] - across * direction[1]
    y = start[1] + reach * direction[1] + across * direction[0]
    found: Floats = map_coordinates(light, [y, x], order=1, mode="nearest")
    return found


def _along_rings(bands: Floats, along: Floats, across: Floats) -> Floats:
    """Return the average of lines, shifted against each other by the slant that is sharpest."""
    if across.size == 1:
        return bands[:, 0]
    averages = [_slanted(bands, along, across * tilt) for tilt in TILTS]
    # Sharp rings vary most; what varies from pixel to pixel is no ring.
    smoothed = [gaussian_filter1d(one, 1 + 0.004 * along.size) for one in averages]
    variation = [float(np.square(np.diff(one)).sum()) for one in smoothed]
    even = TILTS.size // 2
    best = int(np.argmax(variation))
    clearly = variation[best] > 1.02 * variation[even]
    return averages[best if clearly else even]


def _slanted(bands: Floats, along: Floats, shifts: Floats) -> Floats:
    """Return the average of lines, each stretched from the core by its shift at the edge."""
    lines = [
        np.interp(along * (1 + shift), along, bands[:, place]) for place, shift in enumerate(shifts)
    ]
    found: Floats = np.mean(lines, axis=0)
    return found
