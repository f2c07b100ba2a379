"""Joint draws of Linf, K and t0: parties drawn first, then their fish, all curves fitted at once.

A resample is a count for every fish. Three sums over the fish set the best curve at a given K;
they are smooth in K, so they are taken at a few Chebyshev points by one matrix product for all
resamples, and K is found on the polynomials between.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import at_least, labels
from samples.science.errors import CannotEstimate
from samples.science.growth.fit import Curve, checked, fit_curve
from samples.science.growth.profile import Floats

Whole = npt.NDArray[np.int64]

# K is sought from a fifth to five times that of all the fish; a resample at an end is counted out.
REACH = 5.0
NODES = 20
GRID = 65
STEPS = 4
STRIDE = 2 / (GRID - 1)
AT_ONCE = 1_000
# Fish drawn at once, all resamples together: what stands in memory.
MOST_DRAWN = 20_000_000
MANY_FAILED = 0.05
LOWER, UPPER = 0.025, 0.975

POINTS = np.cos(np.pi * (np.arange(NODES) + 0.5) / NODES)
# From values at the points to the coefficients of a Chebyshev series, and from these to a grid.
TO_SERIES = np.cos(np.pi * np.outer(np.arange(NODES), np.arange(NODES) + 0.5) / NODES) * 2 / NODES
TO_SERIES[0] /= 2
ON_GRID = np.polynomial.chebyshev.chebvander(np.linspace(-1, 1, GRID), NODES - 1)


@dataclass(frozen=True, slots=True)
class Draws:
    """Curves of the resamples that carry one.

    Attributes
    ----------
    linf_mm, k, t0 : ndarray, shape (draws,)
        Linf in mm, K per year, t0 in years, drawn together.
    asked : int
        How many resamples were drawn.
    warnings : tuple of (str, str)
        Code and sentence, where many of them carry no curve.
    """

    linf_mm: Floats
    k: Floats
    t0: Floats
    asked: int
    warnings: tuple[tuple[str, str], ...] = ()

    @property
    def failed(self) -> int:
        """Return how many resamples carry no curve."""
        return self.asked - int(self.k.size)

    def interval(self, values: Floats) -> tuple[float, float]:
        """Return the middle 95% of something worked out for each draw."""
        lower, upper = np.quantile(values, (LOWER, UPPER))
        return float(lower), float(upper)


def resample_curves(
    times: npt.ArrayLike,
    lengths_mm: npt.ArrayLike,
    *,
    rng: np.random.Generator,
    draws: int = 2_000,
    parties: npt.ArrayLike | None = None,
    weights: npt.ArrayLike | None = None,
) -> Draws:
    """Draw the fish anew many times and fit a curve to each [1]_.

    Parameters
    ----------
    times, lengths_mm, weights
        As for `fit_curve`.
    rng : numpy.random.Generator
        Source of chance; the same seed gives the same draws.
    draws : int
        Number of resamples.
    parties : array_like, shape (fish,), optional
        The party of each fish: fish of one party are alike, so parties are drawn first, then as
        many fish within each as it has. Without it every fish is a party of its own.

    Returns
    -------
    Draws

    Raises
    ------
    ValueError
        As `fit_curve`; if draws is below 1, or parties are not one for each fish.
    CannotEstimate
        As `fit_curve`; resamples_fail, where no more than half of them carry a curve.

    References
    ----------
    .. [1] Efron & Tibshirani (1993), An Introduction to the Bootstrap, for drawing in two
       stages.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.resample import resample_curves
    >>> times = np.tile([1.2, 2.2, 3.2, 4.2, 5.2, 6.2], 5)
    >>> lengths = 350 * (1 - np.exp(-0.4 * times)) * np.random.default_rng(1).normal(1, 0.05, 30)
    >>> drawn = resample_curves(times, lengths, rng=np.random.default_rng(1), draws=100)
    >>> drawn.k.size
    100
    """
    time, length, weight = checked(times, lengths_mm, weights)
    whole = fit_curve(time, length, weights=weight).curve
    at_least(draws, 1, "draws")
    start = float(time.min())
    own = np.arange(time.size)
    groups = own if parties is None else labels(parties, "parties", size=time.size)
    cells = _Cells.of(time - start, length, weight, groups)
    at_once = max(1, min(AT_ONCE, MOST_DRAWN // time.size))
    found = [
        cells.fit(cells.draw(rng, min(at_once, draws - start)), whole)
        for start in range(0, draws, at_once)
    ]
    values = np.concatenate(found, axis=1)
    if values.shape[1] * 2 <= draws:
        raise CannotEstimate(
            "resamples_fail",
            "Resampled, these fish give a growth curve less than half of the time. More old and "
            "more young fish are needed.",
        )
    return Draws(values[0], values[1], values[2] + start, draws, _warnings(draws, values.shape[1]))


def _warnings(asked: int, found: int) -> tuple[tuple[str, str], ...]:
    if asked - found <= MANY_FAILED * asked:
        return ()
    share = 100 * (asked - found) / asked
    sentence = (
        f"In {share:.0f}% of the resamples no curve could be fitted; the intervals leave them "
        "out and are too narrow."
    )
    return (("resamples_fail", sentence),)


@dataclass(frozen=True, slots=True)
class _Cells:
    """Different fish, by party: the same age, length and weight in a party are one cell."""

    time: Floats
    length: Floats
    weight: Floats
    party: Whole
    fish: Whole

    @classmethod
    def of(cls, time: Floats, length: Floats, weight: Floats, groups: npt.ArrayLike) -> "_Cells":
        _, party = np.unique(np.asarray(groups), return_inverse=True)
        if np.unique(party).size == time.size:
            # Every fish for itself: alike fish are then exchangeable whatever their party.
            party = np.zeros(time.size, dtype=np.int64)
        rows = np.column_stack([party, time, length, weight])
        cells, counts = np.unique(rows, axis=0, return_counts=True)
        order = np.argsort(cells[:, 0], kind="stable")
        cells, counts = cells[order], counts[order]
        return cls(cells[:, 1], cells[:, 2], cells[:, 3], cells[:, 0].astype(np.int64), counts)

    def draw(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw resamples: how often each cell is in it, shape (count, cells)."""
        sizes = np.bincount(self.party, weights=self.fish).astype(np.int64)
        parties = sizes.size
        if parties == 1:
            return _alone(rng, self.fish, count)
        times = rng.multinomial(parties, np.full(parties, 1 / parties), size=count)
        drawn = np.empty((count, self.time.size))
        start = 0
        for place in range(parties):
            cells = int(np.count_nonzero(self.party == place))
            share = self.fish[start : start + cells] / sizes[place]
            drawn[:, start : start + cells] = rng.multinomial(times[:, place] * sizes[place], share)
            start += cells
        return drawn

    def fit(self, counts: Floats, whole: Curve) -> Floats:
        """Fit each resample: Linf, K and t0 of those that carry a curve, shape (3, found)."""
        low, high = whole.k / REACH, whole.k * REACH
        sums = _Sums.of(self, counts, low, high)
        return sums.solve()


def _alone(rng: np.random.Generator, fish: Whole, count: int) -> Floats:
    """Draw fish one by one, every fish alike likely, and count them by cell."""
    total = int(fish.sum())
    # The narrower the number, the quicker it is drawn; its greatest is one below the count.
    narrow = np.uint16 if total <= 2**16 else np.uint32
    cell_of = np.repeat(np.arange(fish.size, dtype=narrow), fish)
    drawn = cell_of[rng.integers(0, total, (count, total), dtype=narrow)].astype(np.intp)
    drawn += np.arange(count)[:, None] * fish.size
    tallied = np.bincount(drawn.ravel(), minlength=count * fish.size)
    return tallied.reshape(count, fish.size).astype(np.float64)


@dataclass(frozen=True, slots=True)
class _Sums:
    """Sums over the fish of each resample at Chebyshev points of log K, on -1 to 1."""

    total: Floats
    mean: Floats
    # Shape (nodes, resamples): sums of e, of e squared, and of (length - mean) e.
    left: Floats
    square: Floats
    product: Floats
    middle: float
    half: float

    @classmethod
    def of(cls, cells: _Cells, counts: Floats, low: float, high: float) -> "_Sums":
        middle, half = (np.log(high) + np.log(low)) / 2, (np.log(high) - np.log(low)) / 2
        shift = float(np.average(cells.length, weights=cells.weight * cells.fish))
        time, fish, above = _by_time(cells, counts, shift)
        left = np.exp(-np.exp(middle + half * POINTS) * time[:, None])
        total = fish.sum(axis=1)
        mean = above.sum(axis=1) / total
        of_left = (fish @ left).T
        return cls(
            total,
            mean + shift,
            of_left,
            (fish @ left**2).T,
            # Taken about each resample's own mean, so that no digits are lost.
            (above @ left).T - mean * of_left,
            float(middle),
            float(half),
        )

    def solve(self) -> Floats:
        """Find Linf, K and t0 of the resamples that carry a curve: (3, found)."""
        explained = self.product**2 / (self.square - self.left**2 / self.total)
        series = TO_SERIES @ explained
        place = np.argmax(ON_GRID @ series, axis=0)
        edge = (place == 0) | (place == GRID - 1)
        at = _top_of(series, np.linspace(-1, 1, GRID)[place])
        left, square, product = (
            _clenshaw(TO_SERIES @ sums, at) for sums in (self.left, self.square, self.product)
        )
        factor = product / (square - left**2 / self.total)
        whole = self.mean - factor * left / self.total
        k = np.exp(self.middle + self.half * at)
        good = ~edge & (factor < 0) & (whole > 0)
        zero = np.log(-factor[good] / whole[good]) / k[good]
        return np.stack([whole[good], k[good], zero])


def _by_time(cells: _Cells, counts: Floats, shift: float) -> tuple[Floats, Floats, Floats]:
    """Add up fish and lengths at each time: whole years leave few, decimal ages nearly all."""
    time, place = np.unique(cells.time, return_inverse=True)
    weighted = cells.weight * (cells.length - shift)
    if time.size * 2 > cells.time.size:
        return cells.time, counts * cells.weight, counts * weighted
    here = np.zeros((cells.time.size, 2 * time.size))
    rows = np.arange(cells.time.size)
    here[rows, place] = cells.weight
    here[rows, place + time.size] = weighted
    table = counts @ here
    return time, table[:, : time.size], table[:, time.size :]


def _top_of(series: Floats, at: Floats) -> Floats:
    """Climb from near the top of each series to where its slope is nought, by Newton's steps."""
    slope = np.asarray(np.polynomial.chebyshev.chebder(series, axis=0), dtype=np.float64)
    bend = np.asarray(np.polynomial.chebyshev.chebder(slope, axis=0), dtype=np.float64)
    for _ in range(STEPS):
        with np.errstate(divide="ignore", invalid="ignore"):
            step = _clenshaw(slope, at) / _clenshaw(bend, at)
        step = np.where(np.isfinite(step), np.clip(step, -STRIDE, STRIDE), 0.0)
        at = np.clip(at - step, -1, 1)
    return at


def _clenshaw(series: Floats, at: Floats) -> Floats:
    """Evaluate a Chebyshev series of each resample at a point of its own."""
    twice = 2 * at
    before = np.zeros_like(at)
    last = np.zeros_like(at)
    for row in series[:0:-1]:
        before, last = row + twice * before - last, before
    value: Floats = series[0] + at * before - last
    return value
