"""How likely annuli are to lie where they are said to, by the growth of otoliths."""

import numpy as np
import numpy.typing as npt
from scipy.special import log_ndtr, logsumexp, ndtr

from samples.science.arguments import Floats

MOST_ANNULI = 15
# Curves of otolith growth: K a year, t0 in years, and the age in years that gives their scale. K
# is low, for otoliths grow on when fish hardly do.
K = (0.1, 0.16, 0.23, 0.32)
T0 = -0.5
AGES = 0.5 * 1.3 ** np.arange(14)
# How far one increment is from the curve: sd of its logarithm.
INCREMENT_SD = 0.19
# From this share of the radius on, an annulus cannot be told from the edge.
LAST_SEEN = 0.992
SMALLEST = 1e-3

_k, _age = (one.ravel() for one in np.meshgrid(K, AGES, indexing="ij"))
_years = np.arange(MOST_ANNULI + 3)
_grown = -np.expm1(-_k[:, None] * (_years - T0))
_grown[:, 0] = 0.0
# Logarithm of increment i, the first from the core, as a share of the radius at the age.
EXPECTED = np.log(np.diff(_grown, axis=1) / -np.expm1(-_k * (_age - T0))[:, None])
# Curves are spread evenly over the logarithm of age: weigh them by it.
LOG_WEIGHT = np.log(_age / _age.sum())


def log_density(
    gaps: Floats, is_annulus: npt.NDArray[np.bool_], last: Floats
) -> tuple[Floats, Floats]:
    """Return the log density of annuli: all of them seen, and one more unseen at the edge.

    ``gaps`` (rows, places) is the growth before each, ``last`` where the last of a row lies.
    """
    number = np.clip(np.cumsum(is_annulus, axis=1) - 1, 0, MOST_ANNULI)
    grown = np.log(np.maximum(gaps, SMALLEST / 10))
    off = (grown - EXPECTED[:, number]) / INCREMENT_SD
    each = -0.5 * off**2 - grown - np.log(INCREMENT_SD * np.sqrt(2 * np.pi))
    placed = np.where(is_annulus, each, 0.0).sum(axis=2) + LOG_WEIGHT[:, None]
    count = is_annulus.sum(axis=1)
    following, further = EXPECTED[:, count], EXPECTED[:, count + 1]
    past_edge = (following - np.log(np.maximum(1 - last, SMALLEST))) / INCREMENT_SD
    past_seen = (following - np.log(np.maximum(LAST_SEEN - last, SMALLEST))) / INCREMENT_SD
    # The growth after the last annulus, complete or not.
    seen = placed + log_ndtr(past_edge) - following
    between = np.maximum(ndtr(past_seen) - ndtr(past_edge), 1e-12)
    unseen = placed + np.log(between) - further
    return logsumexp(seen, axis=0), logsumexp(unseen, axis=0)


def gaps_before(at: Floats, is_annulus: npt.NDArray[np.bool_]) -> Floats:
    """Return the growth from the annulus before, or from the core, to each place."""
    passed = np.maximum.accumulate(np.where(is_annulus, at, 0.0), axis=1)
    found: Floats = at - np.concatenate([np.zeros((at.shape[0], 1)), passed[:, :-1]], axis=1)
    return found


def gaps_after(at: Floats, is_annulus: npt.NDArray[np.bool_], end: float) -> Floats:
    """Return the growth from each place to the next annulus, or to the end."""
    ahead = np.where(is_annulus, at, end)[:, ::-1]
    nearest = np.minimum.accumulate(ahead, axis=1)[:, ::-1]
    nothing = np.full((at.shape[0], 1), end)
    found: Floats = np.concatenate([nearest[:, 1:], nothing], axis=1) - at
    return found
