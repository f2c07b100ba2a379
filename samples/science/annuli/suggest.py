"""Likely annuli on a brightness profile, or the plain answer that it does not tell."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.ndimage import gaussian_filter1d
from scipy.signal import find_peaks, peak_prominences

from samples.science.annuli.paths import Dips, Paths
from samples.science.annuli.rings import ANNULUS, PLACES, SEEN_AT, Radius, Rings
from samples.science.annuli.supposing import (
    Likeliest,
    annuli_between_places,
    likeliest_rings,
)
from samples.science.arguments import Floats, finite
from samples.science.errors import CannotEstimate

FEWEST_SAMPLES = 60
# How far past the edge a profile goes on where annuli are to be suggested.
BEYOND, MOST_BEYOND = 0.03, 0.2
# Dips further in than this share of the radius are the dark core; what is darker than any dip and
# further out than the other is no otolith any more.
FIRST_AT, LAST_AT = 0.06, 0.95
# Within this share of the radius from the edge, blur mixes the otolith with what is beside it.
BRIM = 0.012
# Rings are wide near the core and narrow at the edge: sd of the smoothing at both.
AT_CORE_SD, AT_EDGE_SD = 0.024, 0.004
SAMPLES = 800
MOST_DIPS = 18
MOST_GUESSED = 12
# About how much brightness varies on an otolith, as a share of the step at its edge.
OF_STEP = 0.43
# Between these shares of the radius brightness tells how much it varies on the otolith.
INSIDE, TINY = (0.15, 0.97), 1e-3
# From each number of annuli on: how likely it must be, and it with those one off, to be suggested,
# and how much better each annulus must explain the radius than none does, as a logarithm. Crowded
# annuli make the model too sure. Chosen on drawn otoliths that the benchmark does not use.
LEAST = ((1, 0.3, 0.8, 4.0), (6, 0.45, 0.9, 5.5), (7, 0.65, 0.97, 5.5))


@dataclass(frozen=True, slots=True)
class SuggestedAnnuli:
    """Annuli that a profile speaks for.

    Attributes
    ----------
    positions : tuple of float
        Where each lies, as a share of the radius: 0 is the core, 1 the edge, the innermost first.
    probability : float
        How likely it is, by the model, that these are all annuli of the radius.
    within_1 : float
        How likely it is that there are at most one more or fewer.
    """

    positions: tuple[float, ...]
    probability: float
    within_1: float


def suggest_annuli(
    brightness: npt.ArrayLike,
    *,
    beyond: float = 0.0,
    dark: bool = True,
) -> SuggestedAnnuli:
    """Find likely annuli on a radius from core to edge.

    Parameters
    ----------
    brightness : array_like, shape (samples,)
        Brightness at equal steps from the core to the edge, on any scale.
    beyond : float
        How far the samples go on past the edge, as a share of the radius. With 0.02 or more the
        edge is looked for about where it was set.
    dark : bool
        Whether annuli are darker than what lies between them, as translucent zones are in reflected
        light; False where they are brighter.

    Returns
    -------
    SuggestedAnnuli
        It holds at least one annulus.

    Raises
    ------
    ValueError
        If brightness is not one-dimensional and finite, or beyond not 0 to 0.2.
    CannotEstimate
        short_radius, with fewer than 60 samples; even_radius, where brightness does not vary;
        unclear_annuli, where none stands out, or no count is likely enough, by itself or with
        those one off.

    Notes
    -----
    Brightness is taken for rings, each darkening slowly from within and ending sharply, on a
    smooth slope with sub-annual bands and grain, a Gaussian process [3]_. A ring is an annulus or
    a check, about a third as deep. Annuli follow the growth of the otolith, a von Bertalanffy
    curve with K from 0.1 to 0.32 a year [2]_: each increment is lognormal about the one expected,
    the last is complete or not, and rings are narrower where growth is. Depths of rings are
    integrated out, contrast, noise and curves summed over, so that models of k and k + 1 annuli
    are compared by their likelihood. One more annulus may hide at the edge. First guesses name
    dips of the profile by their prominence [1]_; then rings are added, taken away, shifted and
    called checks as long as that explains the radius better.

    References
    ----------
    .. [1] Troadec & Benzinou (2002), in Panfili et al. (eds), Manual of Fish Sclerochronology, for
       counting rings on profiles of grey levels.
    .. [2] von Bertalanffy (1938), Hum. Biol. 10:181-213, for the curve.
    .. [3] Rasmussen & Williams (2006), Gaussian Processes for Machine Learning, ch. 2 and 5.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.annuli import suggest_annuli
    >>> along = np.linspace(0, 1, 400)
    >>> rings = [0.42, 0.66, 0.82, 0.92]
    >>> light = 0.7 - sum(0.2 * np.exp(-(((along - at) / 0.012) ** 2)) for at in rings)
    >>> [round(at, 2) for at in suggest_annuli(light).positions]
    [0.42, 0.66, 0.82, 0.92]
    """
    light = finite(brightness, "brightness")
    if not 0 <= beyond <= MOST_BEYOND:
        raise ValueError("beyond must be 0 to 0.2")
    if light.size < FEWEST_SAMPLES:
        raise CannotEstimate("short_radius", "The radius is too short to find annuli on it.")
    dips = _dips_of(light if dark else -light, beyond)
    if dips is None:
        raise CannotEstimate("even_radius", "Brightness does not vary along this radius.")
    radius = _radius_of(light if dark else -light, beyond, dips)
    likeliest = likeliest_rings(radius, _guesses(dips))
    seen, unseen = _shares(likeliest)
    count = int(np.argmax(seen))
    within_1 = float((seen + unseen)[max(0, count - 1) : count + 2].sum())
    if not _is_sure(likeliest, count, float(seen[count]), within_1):
        raise CannotEstimate(
            "unclear_annuli",
            "The annuli on this radius are not clear enough to suggest. Mark them by eye, or draw "
            "the radius elsewhere.",
        )
    at = annuli_between_places(radius, likeliest.rings[count])
    positions = tuple(float(one * dips.edge) for one in at)
    return SuggestedAnnuli(positions, float(seen[count]), within_1)


def _is_sure(likeliest: Likeliest, count: int, probability: float, within_1: float) -> bool:
    # No annulus to be seen is no proof of a fish of the year.
    if count == 0:
        return False
    _, least, least_within_1, each = [one for one in LEAST if one[0] <= count][-1]
    explained = float(likeliest.seen[count] - likeliest.seen[0])
    return probability >= least and within_1 >= least_within_1 and explained >= each * count


def _guesses(dips: Dips) -> list[Rings]:
    """Return the best way to name dips as each number of annuli, as places of rings."""
    paths = Paths(dips)
    found = []
    for count in range(min(MOST_DIPS, MOST_GUESSED) + 1):
        at = np.array(paths.positions(count)) / dips.edge
        nearest = np.abs(at[:, None] - PLACES[None, :]).argmin(axis=1) if count else []
        found.append(frozenset((int(place), ANNULUS) for place in nearest))
    return found


def _radius_of(light: Floats, beyond: float, dips: Dips) -> Radius:
    """Return how dark a radius is, in a unit of brightness.

    The unit is a share of the step at the edge, or how much brightness varies where none shows.
    """
    given = np.linspace(0.0, 1 + beyond, light.size)
    inside = gaussian_filter1d(light, 1.0)[(given > INSIDE[0]) & (given < INSIDE[1] * dips.edge)]
    varies = max(float(np.ptp(inside)), TINY * float(np.ptp(light)))
    beside = light[given > dips.edge + BRIM]
    step = abs(float(np.median(inside) - np.median(beside))) if beside.size else 0.0
    # Where the otolith hardly differs from what lies beside it, the step says nothing.
    unit = OF_STEP * step if step > varies else varies
    return Radius(-np.interp(SEEN_AT * dips.edge, given, light) / unit)


def _shares(likeliest: Likeliest) -> tuple[Floats, Floats]:
    """Return how likely each number of annuli is: all of them seen, and the last one unseen."""
    best = max(likeliest.seen.max(), likeliest.unseen.max())
    seen = np.append(np.exp(likeliest.seen - best), 0.0)
    unseen = np.append(0.0, np.exp(likeliest.unseen - best))
    total = seen.sum() + unseen.sum()
    return seen / total, unseen / total


def _dips_of(light: Floats, beyond: float) -> Dips | None:
    """Find the dips of a profile; their depth is in units of its own spread."""
    spread = float(np.ptp(light))
    if spread <= 1e-9 * max(1.0, float(np.abs(light).max())):
        return None
    given = np.linspace(0.0, 1 + beyond, light.size)
    edge, brim = _edge_of(light, given)
    at, smooth = _smoothed(light[:brim] / spread, given[:brim])
    minima, _ = find_peaks(-smooth)
    minima = minima[at[minima] > FIRST_AT]
    depth = peak_prominences(-smooth, minima)[0]
    deepest = np.sort(np.argsort(-depth)[:MOST_DIPS])
    return Dips(at[minima][deepest], depth[deepest], edge)


def _edge_of(light: Floats, given: Floats) -> tuple[float, int]:
    """Return where the edge lies, and how many samples are not yet blurred with what is beside it.

    A reader may have set it a little off. Beside the otolith it is darker or brighter than
    anywhere on it; the edge is halfway there.
    """
    inside = np.count_nonzero(given <= 1)
    lightly = gaussian_filter1d(light, 1.0, mode="nearest")
    sure = lightly[(given > FIRST_AT) & (given < LAST_AT)]
    beside = float(lightly[-1])
    darker = beside < sure.min()
    if not darker and beside <= sure.max():
        return 1.0, int(inside)
    half = (beside + (sure.min() if darker else sure.max())) / 2
    on_it = (lightly > half) if darker else (lightly < half)
    last = int(np.flatnonzero(on_it | (given < LAST_AT))[-1])
    first = last - max(3, round(BRIM * light.size))
    rim = lightly[first : last + 1] if darker else -lightly[first : last + 1]
    return float(given[last]), first + int(np.argmax(rim)) + 1


def _smoothed(light: Floats, given: Floats) -> tuple[Floats, Floats]:
    """Smooth a profile over as much as a ring is wide there; return where, and how bright.

    The samples returned stand closer where rings do, so that one filter serves them all.
    """
    slope = AT_CORE_SD - AT_EDGE_SD
    ends = np.log(AT_CORE_SD - slope * np.array([0.0, min(given[-1], 1.0)]))
    sds = np.exp(np.linspace(ends[0], ends[1], SAMPLES))
    at = (AT_CORE_SD - sds) / slope
    step = at[-1] - at[-2]
    at = np.concatenate([at, np.arange(at[-1] + step, given[-1], step)])
    sd = (SAMPLES - 1) * slope / float(ends[0] - ends[1])
    return at, gaussian_filter1d(np.interp(at, given, light), sd, mode="nearest")
