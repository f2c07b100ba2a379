"""Brightness along a radius of a picture."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from scipy.ndimage import gaussian_filter1d, map_coordinates, median_filter

from samples.science.arguments import Floats, at_least, finite

# A radius shorter than this holds no ring; no picture of 60 megapixels has a longer one.
SHORTEST_PX, LONGEST_PX = 8.0, 20_000.0
WIDEST = 0.5
# The band is narrower at the core, where rings bend most, by this part of its width.
AT_CORE = 0.8
# Lines beside the radius are followed so much further, for their edge may lie further out.
FURTHER = 0.09
# The edge of a line is looked for from here on, and on so many lines it must be found.
EDGE_FROM, FEWEST_EDGES = 0.9, 7
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

    The band opens towards the edge as the rings do, and is averaged along the rings: each line is
    stretched until its own edge falls on that of the radius. Where no edge shows, lines are
    averaged at the slant that keeps rings sharpest.

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
    reach = 1 + beyond + FURTHER
    along = np.linspace(0.0, reach, int(np.ceil(reach * length)) + 1)
    # An even number of pixels from line to line; the middle one is the radius itself.
    lines = 2 * min(16, int(width * length / 4)) + 1
    across = np.linspace(-width / 2, width / 2, lines)
    opening = AT_CORE + (1 - AT_CORE) * along
    bands, on_picture = _sampled(light, start, end, along, across * opening[:, None])
    wanted = np.linspace(0.0, 1 + beyond, int(np.ceil((1 + beyond) * length)) + 1)
    return _along_rings(bands, on_picture, along, across, wanted)


def _sampled(
    light: Floats, start: Floats, end: Floats, along: Floats, across: Floats
) -> tuple[Floats, npt.NDArray[np.bool_]]:
    """Return the brightness of lines on both sides of a radius, and what lies on the picture.

    Both have the shape (samples, lines).
    """
    direction = end - start
    # A circle about the core is reached sooner, on the radius, by lines beside it.
    reach = np.sqrt(np.maximum(along[:, None] ** 2 - across**2, 0.0))
    x = start[0] + reach * direction[0] - across * direction[1]
    y = start[1] + reach * direction[1] + across * direction[0]
    found: Floats = map_coordinates(light, [y, x], order=1, mode="nearest")
    rows, columns = light.shape
    return found, (x >= 0) & (y >= 0) & (x <= columns - 1) & (y <= rows - 1)


def _along_rings(
    bands: Floats,
    on_picture: npt.NDArray[np.bool_],
    along: Floats,
    across: Floats,
    wanted: Floats,
) -> Floats:
    """Return the average of lines, each stretched from the core so that rings fall together."""
    middle = across.size // 2
    # A line that leaves the picture before the edge is of no use.
    whole = on_picture[along < 1].mean(axis=0) > 0.98
    whole[middle] = True
    slants = [
        _stretched(bands[:, whole], along, 1 + across[whole] * tilt, wanted) for tilt in TILTS
    ]
    even = slants[TILTS.size // 2]
    best = max(slants, key=_sharpness)
    slanted = best if _sharpness(best) > 1.02 * _sharpness(even) else even
    edges = _edges(bands, on_picture, along)
    edges[~whole] = np.nan
    found = np.isfinite(edges)
    if found.sum() < FEWEST_EDGES or not found[middle - 1 : middle + 2].all():
        return slanted
    smooth = np.interp(np.arange(across.size), np.flatnonzero(found), edges[found])
    smooth = gaussian_filter1d(median_filter(smooth, 3, mode="nearest"), 1.0, mode="nearest")
    aligned = _stretched(bands[:, found], along, smooth[found] / smooth[middle], wanted)
    return aligned if _sharpness(aligned) > 0.98 * _sharpness(slanted) else slanted


def _stretched(bands: Floats, along: Floats, stretches: Floats, wanted: Floats) -> Floats:
    """Return the average of lines, each stretched from the core by so much."""
    lines = [
        np.interp(wanted * stretch, along, bands[:, place])
        for place, stretch in enumerate(stretches)
    ]
    found: Floats = np.mean(lines, axis=0)
    return found


def _sharpness(profile: Floats) -> float:
    """Return how much a profile varies: sharp rings most; from pixel to pixel it is no ring."""
    smooth = gaussian_filter1d(profile, 1 + 0.004 * profile.size)
    return float(np.square(np.diff(smooth)).sum())


def _edges(bands: Floats, on_picture: npt.NDArray[np.bool_], along: Floats) -> Floats:
    """Return where each line leaves the otolith, NaN where it does not darken or brighten there.

    It is halfway from what is inside the edge to what lies beside the otolith.
    """
    smooth = gaussian_filter1d(bands, 1.5, axis=0)
    within = np.median(smooth[(along > 0.85) & (along < 0.95)])
    beside = np.median(smooth[along > 1.06])
    half = (within + beside) / 2
    inside = (smooth > half) if within > beside else (smooth < half)
    edges = np.full(bands.shape[1], np.nan)
    for line in range(bands.shape[1]):
        on_it = np.flatnonzero(inside[:, line] & on_picture[:, line])
        last = int(on_it[-1]) if on_it.size else along.size
        if last + 1 >= along.size or along[last] < EDGE_FROM or not on_picture[last + 1, line]:
            continue
        fall = smooth[last, line] - smooth[last + 1, line]
        edges[line] = along[last] + (along[1] * (smooth[last, line] - half) / fall if fall else 0)
    return edges
