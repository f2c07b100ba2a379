"""How well rings that somebody supposes explain the brightness along a radius."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from scipy.linalg import solve_triangular
from scipy.special import logsumexp

from samples.science.annuli.growth import (
    LAST_SEEN,
    MOST_ANNULI,
    gaps_after,
    gaps_before,
    log_density,
)
from samples.science.arguments import Floats, Ints

# Brightness is looked at from the first share of the radius to the last, at equal steps; rings
# may lie at as small steps.
FIRST, LAST, STEP = 0.06, 0.993, 0.004
SEEN_AT = np.arange(FIRST, LAST, STEP)
PLACES = np.arange(0.1, LAST_SEEN + STEP / 8, STEP)
# Widths of rings, sd on the outer side; they darken slowly from within and end sharply.
WIDTHS = 0.0042 * 1.38 ** np.arange(6)
INNER = 1.5
# A ring is as wide as so much of the smaller growth beside it, and blur; all may be narrower.
OF_GAP, NARROWEST, WIDEST, BLUR = 0.18, 0.005, 0.022, 0.002
NARROWER = (0.35, 0.6, 1.0)
CHECK_WIDTH = 0.008
# In units of how much brightness varies on the otolith: sd and reach of what else varies along a
# radius (the light on it, the dark core, sub-annual bands, grain).
SLOPE_SD, SLOPE_REACH = 1.0, 0.16
CORE_SD, CORE_REACH = 1.3, 0.12
BANDS_SD, BANDS_REACH = 0.08, 0.009
LEVEL_SD = 5.0
# What differs from one step to the next; measured on each radius, and rounded to one of these.
GRAINS = (0.0075, 0.03, 0.12)
# The noise may be so many times as strong; how dark annuli are, in the same units.
NOISES = np.array([0.45, 0.8, 1.3, 2.3])
CONTRASTS = np.array([0.35, 0.55, 0.85])
# The depth of one annulus about its otolith's contrast, and of a check, as shares of it.
ANNULUS_SD, CHECK_DEPTH, CHECK_SD = 0.27, 0.36, 0.14
LOG_CHECKS = float(np.log(0.7 / 0.9))
MOST_RINGS = MOST_ANNULI + 1

ANNULUS, CHECK = 0, 1
# A supposition: rings, each by its place and what it is said to be.
Rings = frozenset[tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Templates:
    """What each ring takes from the light, whitened, and how they overlap."""

    factor: Floats
    rings: Floats
    overlap: Floats


@lru_cache(maxsize=len(GRAINS))
def templates(grain: float) -> Templates:
    """Return the templates of every width and place, where so much grain is on the radius."""
    apart = SEEN_AT[:, None] - SEEN_AT[None, :]
    covariance = LEVEL_SD**2 + SLOPE_SD**2 * np.exp(-0.5 * (apart / SLOPE_REACH) ** 2)
    covariance += BANDS_SD**2 * np.exp(-0.5 * (apart / BANDS_REACH) ** 2)
    core = CORE_SD * np.exp(-((SEEN_AT / CORE_REACH) ** 2))
    covariance += np.outer(core, core) + grain**2 * np.eye(SEEN_AT.size)
    factor = np.asarray(np.linalg.cholesky(covariance), dtype=np.float64)
    off = SEEN_AT[:, None, None] - PLACES[None, :, None]
    rings = np.exp(-0.5 * (off / np.where(off < 0, INNER * WIDTHS, WIDTHS)) ** 2)
    whitened = solve_triangular(factor, rings.reshape(SEEN_AT.size, -1), lower=True)
    return Templates(factor, whitened, whitened.T @ whitened)


@dataclass(frozen=True, slots=True)
class Supposed:
    """Many suppositions at once, a row each; ``place`` is -1 where a row has no more rings."""

    place: Ints
    kind: Ints

    @property
    def is_ring(self) -> npt.NDArray[np.bool_]:
        return self.place >= 0

    @property
    def is_annulus(self) -> npt.NDArray[np.bool_]:
        found: npt.NDArray[np.bool_] = self.is_ring & (self.kind == ANNULUS)
        return found

    @property
    def at(self) -> Floats:
        found: Floats = np.where(self.is_ring, PLACES[self.place], 0.0)
        return found


@dataclass(frozen=True, slots=True)
class Scores:
    """Log weight of each supposition, that of one more annulus unseen, and what fits it best."""

    seen: Floats
    unseen: Floats
    annuli: Ints
    fits: Floats


class Radius:
    """Brightness along one radius, in the units of this module."""

    def __init__(self, darkness: Floats) -> None:
        # Second differences leave little but grain.
        grain = float(np.diff(darkness, 2).std()) / np.sqrt(6)
        nearest = np.abs(np.log(np.array(GRAINS) / max(grain, GRAINS[0]))).argmin()
        self.templates = templates(GRAINS[nearest])
        factor = self.templates.factor
        white = solve_triangular(factor, darkness - darkness.mean(), lower=True)
        self.explained: Floats = self.templates.rings.T @ white
        self.total = float(white @ white)

    def clearest_places(self, most: int = 22) -> list[int]:
        """Return the places where one ring alone would explain most, the best first."""
        scale = np.sqrt(np.diag(self.templates.overlap))
        by_width = (self.explained / scale).reshape(PLACES.size, WIDTHS.size)
        found: set[int] = set()
        for width in (1, 3, 5):
            values = by_width[:, width]
            peaks = [
                place
                for place in range(PLACES.size)
                if values[place] > 0.5
                and values[place] >= values[max(0, place - 3) : place + 4].max()
            ]
            found.update(sorted(peaks, key=lambda place: -values[place])[:14])
        apart: list[int] = []
        for place in sorted(found, key=lambda place: -by_width[place].max()):
            if all(abs(place - other) > 1 for other in apart):
                apart.append(place)
        return apart[:most]

    def score(self, rings: list[Rings]) -> Scores:
        """Weigh suppositions over all contrasts, noises and widths of rings."""
        rows = _rows(rings)
        fits = np.array([(n, c, s) for n in NARROWER for c in CONTRASTS for s in NOISES])
        odds = []
        for narrower in NARROWER:
            wide = _template_of(rows, np.full(len(rings), narrower))
            odds += [
                self._odds(rows, wide, np.full(len(rings), contrast), np.full(len(rings), noise))
                for contrast in CONTRASTS
                for noise in NOISES
            ]
        every = np.array(odds)
        seen, unseen = _log_prior(rows)
        total = logsumexp(every, axis=0)
        annuli = rows.is_annulus.sum(axis=1)
        return Scores(seen + total, unseen + total, annuli, fits[every.argmax(axis=0)])

    def score_at(self, rings: list[Rings], fits: Floats) -> tuple[Floats, Ints]:
        """Weigh suppositions, each at one width, contrast and noise alone."""
        rows = _rows(rings)
        odds = self._odds(rows, _template_of(rows, fits[:, 0]), fits[:, 1], fits[:, 2])
        return odds + _log_prior(rows)[0], rows.is_annulus.sum(axis=1)

    def _odds(self, rows: Supposed, wide: Ints, contrast: Floats, noise: Floats) -> Floats:
        """Return the log likelihood, the depths of rings integrated out."""
        ring = rows.is_ring
        overlap = self.templates.overlap[wide[:, :, None], wide[:, None, :]]
        overlap = overlap * (ring[:, :, None] & ring[:, None, :])
        explained = np.where(ring, self.explained[wide], 0.0)
        expected = np.where(rows.is_annulus, 1.0, CHECK_DEPTH) * ring * contrast[:, None]
        spread = np.where(rows.is_annulus, ANNULUS_SD, CHECK_SD) * ring * contrast[:, None]
        taken = np.einsum("nij,nj->ni", overlap, expected)
        left = self.total - 2 * (explained * expected).sum(axis=1) + (expected * taken).sum(axis=1)
        pull = (explained - taken) * spread
        inner = overlap * spread[:, :, None] * spread[:, None, :] / noise[:, None, None] ** 2
        inner[:, np.arange(ring.shape[1]), np.arange(ring.shape[1])] += 1
        gained = (pull * np.linalg.solve(inner, pull[..., None])[..., 0]).sum(axis=1)
        volume = 2 * SEEN_AT.size * np.log(noise) + np.linalg.slogdet(inner)[1]
        found: Floats = -0.5 * (volume + left / noise**2 - gained / noise**4)
        return found


def _rows(rings: list[Rings]) -> Supposed:
    place = np.full((len(rings), MOST_RINGS), -1)
    kind = np.zeros((len(rings), MOST_RINGS), dtype=int)
    for row, one in enumerate(rings):
        for column, (where, what) in enumerate(sorted(one)):
            place[row, column], kind[row, column] = where, what
    return Supposed(place, kind)


def _template_of(rows: Supposed, narrower: Floats) -> Ints:
    """Return which template each ring is: its place and how wide it is there."""
    beside = np.minimum(
        gaps_before(rows.at, rows.is_annulus), gaps_after(rows.at, rows.is_annulus, 1.1) + 0.01
    )
    wide = np.clip(OF_GAP * beside, NARROWEST, WIDEST) + BLUR
    # Checks vary less in width than annuli do.
    wide = np.where(rows.is_annulus, wide * narrower[:, None], CHECK_WIDTH)
    nearest = np.abs(np.log(wide[..., None] / WIDTHS)).argmin(axis=-1)
    found: Ints = np.maximum(rows.place, 0) * WIDTHS.size + nearest
    return found


def _log_prior(rows: Supposed) -> tuple[Floats, Floats]:
    annulus = rows.is_annulus
    last = np.where(annulus, rows.at, 0.0).max(axis=1)
    seen, unseen = log_density(gaps_before(rows.at, annulus), annulus, last)
    rings = rows.is_ring.sum(axis=1)
    checks = rings - annulus.sum(axis=1)
    placed = rings * np.log(STEP) + checks * LOG_CHECKS
    return seen + placed, unseen + placed
