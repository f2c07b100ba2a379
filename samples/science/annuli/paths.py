"""First guesses at annuli: ways to name the dips of a profile, weighed by growth."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from samples.science.arguments import Floats

MOST_ANNULI = 14
# Curves of otolith growth: K a year, t0 in years, and the age in years that gives their scale. K
# is low, for otoliths grow on when fish hardly do.
K = (0.08, 0.14, 0.22, 0.32)
T0 = (-0.8, -0.2)
AGES = 0.4 * 1.38 ** np.arange(12)
# How far one increment is from the curve: sd of its logarithm.
INCREMENT_SD = 0.19
# The typical depth of an annulus as a share of the deepest dip.
CONTRASTS = (0.45, 0.6, 0.8, 1.0)
# Where rings crowd, smoothing makes them shallow. Room is the smaller of the growth before an
# annulus and what is left after it, as a share of the radius. From each room on: the depth as a
# share of the typical one, and the sd of its logarithm.
ROOMS = (
    (0.0, 0.15, 1.5),
    (0.02, 0.3, 1.3),
    (0.035, 0.55, 0.9),
    (0.06, 0.75, 0.6),
    (0.09, 0.95, 0.42),
    (0.15, 1.0, 0.32),
)
CHECK_DEPTH, CHECK_SD, CHECKS_A_RADIUS = 0.33, 0.5, 0.8
# The mean depth of dips that are noise, as a share of the same; a part of them is deeper.
NOISES = (0.015, 0.03, 0.06, 0.1, 0.17, 0.3)
DEEPER_SHARE, DEEPER = 0.2, 2.5
SMALLEST = 1e-6


@dataclass(frozen=True, slots=True)
class Dips:
    """Dips from the core outward: where they lie, how deep they are, and where the edge lies."""

    at: Floats
    depth: Floats
    edge: float


class Paths:
    """The weight of every way to name some of the dips as annuli 1, 2, 3 ... and the rest not.

    Weights are relative to naming none of them. Axes, where they are there: curve, dip from which
    an increment starts (0 is the core), dip at which it ends, contrast.
    """

    def __init__(self, dips: Dips) -> None:
        self.dips = dips
        k, t0, age = (one.ravel() for one in np.meshgrid(K, T0, AGES, indexing="ij"))
        years = np.arange(MOST_ANNULI + 3)
        grown = -np.expm1(-k[:, None] * (years - t0[:, None]))
        grown[:, 0] = 0.0
        # Increment i, the first from the core, as a share of the radius at the age.
        self.expected = np.diff(grown, axis=1) / -np.expm1(-k * (age - t0))[:, None]
        # Curves are spread evenly over the logarithm of age: weigh them by it.
        self.of_curve = age / age.sum()
        self.at = np.concatenate([[0.0], dips.at])
        gaps = self.at[None, :] - self.at[:, None]
        self.gaps = np.where(gaps > 0, gaps, 0.0)
        room = np.minimum(self.gaps, np.maximum(dips.edge - self.at, 0.0))
        lower = np.array([one[0] for one in ROOMS])
        self.room = np.searchsorted(lower, room, side="right") - 1
        self.odds, self.of_contrast = self._depths()
        self.weights = self._walk()

    def positions(self, count: int) -> tuple[float, ...]:
        """Return the best places of so many annuli, on the likeliest curve."""
        if count == 0:
            return ()
        ends = self.weights[count] * self._closing(count)[:, :, None]
        by_curve = ends.sum(axis=1) * self.of_curve[:, None] * self.of_contrast
        curve, contrast = np.unravel_index(int(np.argmax(by_curve)), by_curve.shape)
        best = np.zeros(self.at.size)
        best[0] = 1.0
        came_from: list[npt.NDArray[np.int64]] = []
        for index in range(count):
            grows = self._grows(self.expected[[curve], index])[0]
            odds = self.odds[self.room, np.arange(self.at.size), contrast]
            step = grows * odds * best[:, None]
            came_from.append(step.argmax(axis=0))
            best = step.max(axis=0)
        here = int(np.argmax(best * self._closing(count)[curve]))
        places = []
        for back in reversed(came_from):
            places.append(float(self.at[here]))
            here = int(back[here])
        return tuple(reversed(places))

    def _depths(self) -> tuple[Floats, Floats]:
        """Return the odds of each dip to be an annulus by its depth, and the weight of contrasts.

        Odds have the shape (rooms, dips, contrasts). A contrast here is a pair: how deep annuli
        are, and how deep noise is.
        """
        pairs = np.array([(one, other) for one in CONTRASTS for other in NOISES if other < one / 2])
        depth = np.maximum(self.dips.depth, SMALLEST)
        odds = np.zeros((len(ROOMS), depth.size + 1, len(pairs)))
        if not depth.size:
            return odds, np.full(len(pairs), 1 / len(pairs))
        typical, noise = (pairs * depth.max()).T
        check = CHECKS_A_RADIUS * _lognormal(depth, CHECK_DEPTH * typical, CHECK_SD)
        shallow = (1 - DEEPER_SHARE) * _exponential(depth, noise)
        other = check + depth.size * (shallow + DEEPER_SHARE * _exponential(depth, DEEPER * noise))
        for place, (_, share, sd) in enumerate(ROOMS):
            odds[place, 1:] = _lognormal(depth, share * typical, sd) / other
        logs = np.log(other).sum(axis=0)
        of_contrast = np.exp(logs - logs.max())
        return odds, of_contrast / of_contrast.sum()

    def _walk(self) -> list[Floats]:
        """Return the weights of each count by the dip at which it ends."""
        start = np.zeros((self.of_curve.size, self.at.size, self.of_contrast.size))
        start[:, 0] = 1.0
        found = [start]
        for index in range(MOST_ANNULI):
            found.append(self._step(found[-1], self.expected[:, index]))
        return found

    def _step(self, weights: Floats, expected: Floats) -> Floats:
        """Return the weights one annulus further, an increment of about this size away."""
        grows = self._grows(expected).transpose(0, 2, 1)
        found = np.zeros_like(weights)
        for place in range(len(ROOMS)):
            found += (grows * np.equal(self.room.T, place)) @ weights * self.odds[place]
        return found

    def _grows(self, expected: Floats) -> Floats:
        """Return the density of every increment from dip to dip about the one expected."""
        found = _lognormal(self.gaps.ravel(), expected, INCREMENT_SD)
        by_curve = found.T.reshape(expected.size, *self.gaps.shape)
        return np.where(self.gaps > 0, by_curve, 0.0)

    def _closing(self, count: int) -> Floats:
        """Return the density of the growth after the last annulus, complete or not."""
        margin = np.maximum(self.dips.edge - self.at, SMALLEST)
        expected = self.expected[:, count][:, None]
        found: Floats = ndtr(np.log(expected / margin) / INCREMENT_SD) / expected
        return found


def _lognormal(values: Floats, middle: Floats, sd: float) -> Floats:
    """Return the density of each value about each middle, shape (values, middles)."""
    off = (np.log(np.maximum(values, SMALLEST))[:, None] - np.log(middle)) / sd
    found: Floats = (
        np.exp(-0.5 * off**2) / (sd * np.sqrt(2 * np.pi)) / (np.maximum(values, SMALLEST)[:, None])
    )
    return found


def _exponential(values: Floats, means: Floats) -> Floats:
    """Return the density of each value under each mean, shape (values, means)."""
    found: Floats = np.exp(-values[:, None] / means) / means
    return found
