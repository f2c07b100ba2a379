"""Pictures of otoliths drawn from known annuli, for what is measured and suggested on them.

An otolith grows along a von Bertalanffy curve with good and poor years; annuli are darker than
what lies between. Light, grain, sub-annual bands, false checks and a crowded edge get in the way.
All values are our own invention: no published set of pictures stands behind them.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.ndimage import gaussian_filter, gaussian_filter1d

AGES = range(1, 11)
UM_PER_PX = 3.2
MARGIN_PX = 24


@dataclass(frozen=True)
class Difficulty:
    """How hard a picture is to read. Brightness runs from 0, black, to 1.

    ``contrast`` is how much darker an annulus is than its surroundings, ``noise`` the sd of a
    pixel, ``grain`` that of spots a few pixels wide, ``bands`` that of sub-annual bands, which
    run along the rings, ``checks`` the mean number of false checks.
    """

    contrast: float
    noise: float
    grain: float
    bands: float
    checks: float


DIFFICULTIES = {
    "low": Difficulty(0.30, 0.03, 0.02, 0.010, 0.3),
    "middle": Difficulty(0.22, 0.06, 0.04, 0.020, 0.6),
    "high": Difficulty(0.15, 0.10, 0.06, 0.035, 1.2),
}


@dataclass(frozen=True)
class DrawnOtolith:
    """A picture and what is true of it; places are (x, y) in pixels of the picture.

    ``core`` and ``edge`` are the true ends of the radius, ``annuli`` how far each lies along it
    as a share of its length, ``checks`` the same of the false ones.
    """

    picture: npt.NDArray[np.float64]
    core: tuple[float, float]
    edge: tuple[float, float]
    annuli: npt.NDArray[np.float64]
    checks: npt.NDArray[np.float64]

    @property
    def radii_um(self):
        length = np.hypot(self.edge[0] - self.core[0], self.edge[1] - self.core[1])
        return self.annuli * length * UM_PER_PX

    def clicked(self, rng):
        """Return core and edge as a reader sets them, off by about 1 % of the radius."""
        off = 0.01 * np.hypot(self.edge[0] - self.core[0], self.edge[1] - self.core[1])
        core, edge = (np.asarray(end) + rng.normal(0, off, 2) for end in (self.core, self.edge))
        return tuple(core), tuple(edge)


def draw_otolith(age, rng, difficulty=DIFFICULTIES["middle"]):
    """Draw the part of an otolith that lies about one radius."""
    annuli = _annuli(age, rng)
    checks = _checks(annuli, rng, difficulty.checks)
    axis = rng.uniform(0, 2 * np.pi)
    length = rng.uniform(300, 460)
    core, edge, x, y = _window(axis, length)
    share = _share_of_radius(x - core[0], y - core[1], axis, length, rng)
    light = _base(share) * (1 - _dips(share, x, y, annuli, checks, difficulty, rng))
    light += _bands(share, difficulty.bands, rng)
    light *= (
        1
        + rng.uniform(-0.15, 0.15) * (x / x.max() - 0.5)
        + rng.uniform(-0.15, 0.15) * (y / y.max() - 0.5)
    )
    grain = gaussian_filter(rng.standard_normal(light.shape), 2.5)
    light += difficulty.grain * grain / grain.std()
    light += difficulty.noise * rng.standard_normal(light.shape)
    light = gaussian_filter(np.where(share > 1, 0.06, light), 1.0)
    picture = np.round(255 * np.clip(light, 0, 1))
    return DrawnOtolith(picture, core, edge, annuli, checks)


def _annuli(age, rng):
    """Return where annuli lie on a radius of 1: growth slows down, and years differ.

    K is lower than that of fish: otoliths of old fish grow on (Reznick et al. 1989, recalled).
    """
    k = rng.uniform(0.12, 0.35)
    begun = rng.uniform(0.3, 0.7)
    years = np.arange(age + 1)
    grown = np.exp(-k * (years + begun)) * -np.expm1(-k)
    grown[0] = -np.expm1(-k * (1 + begun))
    grown *= np.exp(rng.normal(0, 0.15, age + 1))
    grown[-1] *= rng.uniform(0.15, 1.0)
    return np.cumsum(grown)[:-1] / grown.sum()


def _checks(annuli, rng, mean):
    """Return false checks: anywhere within the first years, clear of annuli."""
    reach = annuli[min(3, annuli.size) - 1] if annuli.size else 1.0
    found = rng.uniform(0.1, max(reach, 0.3), rng.poisson(mean))
    return np.sort([one for one in found if np.abs(annuli - one).min(initial=1) > 0.04])


def _window(axis, length):
    """Return core and edge and the pixels about them."""
    across, down = length * np.cos(axis), length * np.sin(axis)
    core = (MARGIN_PX + max(0.0, -across), MARGIN_PX + max(0.0, -down))
    edge = (core[0] + across, core[1] + down)
    width, height = int(abs(across)) + 2 * MARGIN_PX + 1, int(abs(down)) + 2 * MARGIN_PX + 1
    y, x = np.mgrid[0:height, 0:width].astype(float)
    return core, edge, x, y


def _share_of_radius(across, down, axis, length, rng):
    """Return how far out each pixel lies, 1 at the edge; rings are no circles."""
    angle = np.arctan2(down, across) - axis
    out = 1.0
    for waves, size in ((1, 0.15), (2, 0.1), (7, 0.008), (11, 0.006)):
        part, turn = rng.uniform(-size, size), rng.uniform(0, 2 * np.pi)
        out = out + part * (np.cos(waves * angle + turn) - np.cos(turn))
    return np.hypot(across, down) / (length * out)


def _base(share):
    """Return the brightness without annuli: a dark core, a plateau, a fall towards the edge."""
    core = 0.22 * np.exp(-((share / 0.12) ** 2))
    return 0.72 - core - 0.10 * np.clip(share - 0.85, 0, None) / 0.15


def _dips(share, x, y, annuli, checks, difficulty, rng):
    """Return how much of the light annuli and checks take away at each pixel."""
    gaps = np.diff(np.concatenate([[0.0], annuli, [1.1]]))
    taken = np.zeros(share.shape)
    for place, at in enumerate(annuli):
        # A reader could not tell rings wider than the growth between them.
        wide = min(0.022, 0.18 * min(gaps[place], gaps[place + 1] + 0.01)) + 0.002
        depth = difficulty.contrast * np.exp(rng.normal(0, 0.25))
        taken += depth * _ring(share, at, wide, inner=1.6)
    for at in checks:
        depth = difficulty.contrast * rng.uniform(0.15, 0.55)
        taken += depth * _ring(share, at, 0.012, inner=1.0)
    return np.clip(taken, 0, 0.9)


def _ring(share, at, wide, *, inner):
    """Return a ring that darkens slowly from within and ends sharply."""
    off = share - at
    return np.exp(-0.5 * (off / np.where(off < 0, inner * wide, wide)) ** 2)


def _bands(share, sd, rng):
    """Return sub-annual bands that run along the rings; no averaging takes them away."""
    along = gaussian_filter1d(rng.standard_normal(1_200), 5.0)
    return np.interp(share, np.linspace(0, 1.5, along.size), sd * along / along.std())
