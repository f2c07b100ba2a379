"""Likely annuli on a brightness profile, or the plain answer that it does not tell."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.ndimage import gaussian_filter1d
from scipy.signal import find_peaks, peak_prominences

from samples.science.annuli.paths import Dips, Paths
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
# A count that is less likely than this is no suggestion.
LEAST_PROBABILITY = 0.65


@dataclass(frozen=True, slots=True)
class SuggestedAnnuli:
    """Annuli that a profile speaks for.

    Attributes
    ----------
    positions : tuple of float
        Where each lies, as a share of the radius: 0 is the core, 1 the edge, the innermost first.
    probability : float
        How likely it is, by the model, that these are all annuli of the radius.
    """

    positions: tuple[float, ...]
    probability: float


def suggest_annuli(
    brightness: npt.ArrayLike,
    *,
    beyond: float = 0.0,
    dark: bool = True,
    least_probability: float = LEAST_PROBABILITY,
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
    least_probability : float
        How likely the count must be to be suggested.

    Returns
    -------
    SuggestedAnnuli
        It may hold no annulus, where the profile speaks for a fish of the year.

    Raises
    ------
    ValueError
        If brightness is not one-dimensional and finite, or the probability not between 0 and 1.
    CannotEstimate
        short_radius, with fewer than 60 samples; even_radius, where brightness does not vary;
        unclear_annuli, where no count is likely enough, or an annulus is expected that does not
        show.

    Notes
    -----
    Dips of the smoothed profile are candidates, each with its prominence d [1]_. A dip is an
    annulus, a check or noise: d is lognormal about the otolith's own contrast for an annulus and
    about a third of it for a check, and exponential for noise; where rings crowd it is smaller.
    Annuli follow the growth of the otolith, a von Bertalanffy curve with K from 0.08 to 0.32 a year
    [2]_: each increment is lognormal about the one expected, and the last is complete or not.
    Curves, contrast and all ways to name the dips are summed over, which gives a probability of
    each count.

    References
    ----------
    .. [1] Troadec & Benzinou (2002), in Panfili et al. (eds), Manual of Fish Sclerochronology, for
       counting rings on profiles of grey levels.
    .. [2] von Bertalanffy (1938), Hum. Biol. 10:181-213, for the curve.

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
    if not 0 < least_probability < 1:
        raise ValueError("least_probability must lie between 0 and 1")
    if not 0 <= beyond <= MOST_BEYOND:
        raise ValueError("beyond must be 0 to 0.2")
    if light.size < FEWEST_SAMPLES:
        raise CannotEstimate("short_radius", "The radius is too short to find annuli on it.")
    dips = _dips_of(light if dark else -light, beyond)
    if dips is None:
        raise CannotEstimate("even_radius", "Brightness does not vary along this radius.")
    paths = Paths(dips)
    count, probability = paths.likeliest()
    if probability < least_probability:
        raise CannotEstimate(
            "unclear_annuli",
            "The annuli on this radius are not clear enough to suggest. Mark them by eye, or draw "
            "the radius elsewhere.",
        )
    return SuggestedAnnuli(paths.positions(count), probability)


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
