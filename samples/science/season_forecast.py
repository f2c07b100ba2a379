"""How far the rest of a season fills what is wanted, from weeks like those that are to come."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import lgamma

import numpy as np
import numpy.typing as npt

from samples.science.arguments import Floats, Ints, at_least, not_negative
from samples.science.errors import CannotEstimate

# With fewer weeks an interval would rest on next to nothing: common practice, no source.
FEWEST_WEEKS = 6
FEWEST_FISH = 10
# No season brings more.
MOST_FISH = 1_000_000_000
# Of the draws. Seasons differ by more than draws from the few weeks of one do: simulated seasons
# lie between these two about four times of five, so the page calls it an 80% interval.
ENDS = (0.05, 0.5, 0.95)
DRAWS = 1000
# Trips that every arm is given beforehand: one that nobody fished yet may still be fished. Common
# practice, no source.
TRIPS_BEFORE = 1.0
# Fish that the lake's lengths may be worth in an arm: its own fish tell which of these.
WEIGHTS = (5.0, 10.0, 20.0, 50.0, 100.0, 300.0)
# Next to nothing, where a share must not be 0.
TRACE = 1e-6
SEED = 20260506


@dataclass(frozen=True, slots=True, eq=False)
class Wanted:
    """Fish wanted of each length bin: lake-wide, and at least from each arm.

    Attributes
    ----------
    lake_wide : (bins,) array
    arms : (arms, bins) array
    """

    lake_wide: Ints
    arms: Ints

    @property
    def total(self) -> int:
        """Return the fish that meet everything: a fish of an arm counts for the lake too."""
        return int(np.maximum(self.lake_wide, self.arms.sum(axis=0)).sum())

    def short(self, counts: npt.ArrayLike) -> Ints:
        """Return the fish short, bin by bin and summed: those beyond a bin's number fill none.

        :param counts: fish by arm and bin, in the last two dimensions
        """
        fish = np.asarray(counts, dtype=np.int64)
        lake_wide = np.maximum(self.lake_wide - fish.sum(axis=-2), 0)
        arms = self.short_by_arm_and_bin(fish).sum(axis=-2)
        return np.asarray(np.maximum(lake_wide, arms).sum(axis=-1), dtype=np.int64)

    def short_by_arm(self, counts: npt.ArrayLike) -> Ints:
        """Return the fish short of each arm's own numbers."""
        return np.asarray(self.short_by_arm_and_bin(counts).sum(axis=-1), dtype=np.int64)

    def short_by_arm_and_bin(self, counts: npt.ArrayLike) -> Ints:
        return np.maximum(self.arms - np.asarray(counts, dtype=np.int64), 0)

    def filled(self, counts: npt.ArrayLike) -> Ints:
        """Return the fish that fill what is wanted."""
        return np.asarray(self.total - self.short(counts), dtype=np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class KnownWeeks:
    """Weeks that the weeks to come are like, and what fish they bring.

    Attributes
    ----------
    like : (weeks,) array
        Fish of each week that is drawn from.
    this_so_far, last_so_far : (weeks,) arrays
        Fish of each week up to now, of this season and of the last: the weeks that are drawn from
        are scaled by the ratio of their sums. Empty where they are of this season itself.
    fish : (arms, bins) array
        Where and how long the known fish were.
    a_trip : int
        Fish that come together from one arm, as a rule.
    """

    like: Ints
    this_so_far: Ints
    last_so_far: Ints
    fish: Ints
    a_trip: int = 1


@dataclass(frozen=True, slots=True, eq=False)
class SeasonForecast:
    """What a season comes to: 5%, 50% and 95% of the draws.

    Attributes
    ----------
    short : (3,) array
        Fish short at the season's end.
    short_by_arm : (3, arms) array
    filled : (3, steps + 1) array
        Fish that fill what is wanted: now, and at the end of each step.
    """

    short: Ints
    short_by_arm: Ints
    filled: Ints


def forecast_season(
    known: KnownWeeks,
    so_far: npt.ArrayLike,
    wanted: Wanted,
    *,
    left: Sequence[float],
    draws: int = DRAWS,
    seed: int = SEED,
) -> SeasonForecast:
    """Fill the rest of a season with weeks drawn from those that are known.

    Good, bad and empty weeks come as often as they came, and how often each comes again is itself
    drawn, by the Bayesian bootstrap [1]_, so that few weeks widen the interval. So is the ratio
    of this season to the last. Trips are spread over arms, and the fish of an arm over bins, by
    shares that are drawn from Dirichlet distributions about the known fish.

    Parameters
    ----------
    known : KnownWeeks
    so_far : (arms, bins) array
        Fish of this season until now.
    wanted : Wanted
    left : sequence of float
        The steps to the season's end, as shares of a week: 1 for a whole one.
    draws : int
    seed : int
        The same data give the same forecast.

    Returns
    -------
    SeasonForecast

    Raises
    ------
    CannotEstimate
        few_weeks, few_fish
    ValueError
        If a number of fish is negative, not finite or above a billion; if a step is longer than a
        week, or not finite; if ``draws`` or ``seed`` is no count.

    References
    ----------
    .. [1] Rubin (1981), The Bayesian bootstrap. Annals of Statistics 9:130-134.

    Examples
    --------
    Every week brought 5 fish; 12 more are wanted in two weeks.

    >>> import numpy as np
    >>> from samples.science.season_forecast import KnownWeeks, Wanted, forecast_season
    >>> wanted = Wanted(np.array([32]), np.array([[0]]))
    >>> none = np.array([], dtype=int)
    >>> known = KnownWeeks(np.full(6, 5), none, none, np.array([[30]]))
    >>> found = forecast_season(known, [[20]], wanted, left=[1.0, 1.0])
    >>> found.short.tolist(), found.filled[1].tolist()
    ([2, 2, 2], [20, 25, 30])
    """
    like = _fish(known.like, "like", ndim=1)
    fish = not_negative(known.fish, "fish", ndim=2)
    now = _fish(so_far, "so_far", ndim=2)
    parts = not_negative(left, "left")
    if (parts > 1).any():
        raise ValueError("left must be shares of a week, at most 1")
    at_least(draws, 1, "draws")
    at_least(seed, 0, "seed")
    if len(like) < FEWEST_WEEKS:
        raise CannotEstimate("few_weeks", f"{FEWEST_WEEKS} full weeks are needed.")
    if fish.sum() < FEWEST_FISH:
        raise CannotEstimate("few_fish", f"{FEWEST_FISH} fish in those weeks are needed.")
    random = np.random.default_rng(seed)
    ratio = _ratios(known, draws, random)
    ends = np.cumsum(random.dirichlet(np.ones(len(like)), size=draws), axis=1)
    spread = _Spread(fish, wanted, known.a_trip, draws, random)
    counts = np.broadcast_to(now, (draws, *now.shape)).copy()
    filled = [wanted.filled(counts)]
    for part in parts:
        at = (random.random((draws, 1)) > ends).sum(axis=1)
        expected = ratio * part * like[np.minimum(at, len(like) - 1)]
        # Rounded up as often as it says: 2.3 fish are 3 in three draws of ten.
        total = np.floor(expected + random.random(draws)).astype(np.int64)
        counts += spread.over_cells(total)
        filled.append(wanted.filled(counts))
    return SeasonForecast(
        short=_ends(wanted.short(counts)),
        short_by_arm=_ends(wanted.short_by_arm(counts)),
        filled=_ends(np.array(filled).T),
    )


def _ratios(known: KnownWeeks, draws: int, random: np.random.Generator) -> Floats:
    """Draw how many times the fish of last season this one brings; drawn to 1 by six weeks."""
    this, last = known.this_so_far, known.last_so_far
    if not len(this) or not len(last):
        return np.ones(draws)
    usual = FEWEST_WEEKS * (this.sum() + last.sum() + 1) / (len(this) + len(last))
    sums = [
        usual + len(weeks) * (random.dirichlet(np.ones(len(weeks)), size=draws) @ weeks)
        for weeks in (this, last)
    ]
    return np.asarray(sums[0] / sums[1], dtype=np.float64)


def _fish(values: npt.ArrayLike, name: str, *, ndim: int) -> Ints:
    found = not_negative(values, name, ndim=ndim)
    if (found > MOST_FISH).any():
        raise ValueError(f"{name} must be at most {MOST_FISH:,} fish")
    return found.astype(np.int64)


class _Spread:
    """Shares of arms, and of length bins within each, for each draw."""

    def __init__(
        self, fish: Floats, wanted: Wanted, a_trip: int, draws: int, random: np.random.Generator
    ) -> None:
        self.a_trip, self.random = a_trip, random
        of_arm, of_bin = fish.sum(axis=1), fish.sum(axis=0)
        # Fish of no known arm stand in a row that nobody wants fish of.
        may_come = (of_arm > 0) | (wanted.arms.sum(axis=1) > 0)
        self.arms = random.dirichlet(of_arm / a_trip + TRIPS_BEFORE * may_come + TRACE, size=draws)
        lake = _dirichlet(np.tile(of_bin + TRACE, (draws, 1)), random)
        weight = random.choice(WEIGHTS, p=_likely_weights(fish), size=draws)
        about = weight[:, None, None] * lake[:, None, :]
        self.bins = _dirichlet(fish + about + TRACE, random)

    def over_cells(self, total: Ints) -> Ints:
        """Spread the fish of each draw: whole trips first, then what is left over."""
        trips, rest = np.divmod(total, self.a_trip)
        arms = self.a_trip * self.random.multinomial(trips, self.arms)
        arms += self.random.multinomial(rest, self.arms)
        return np.asarray(self.random.multinomial(arms, self.bins), dtype=np.int64)


def _dirichlet(about: Floats, random: np.random.Generator) -> Floats:
    """Draw shares that sum to 1 over the last dimension, each row about its own."""
    drawn = random.standard_gamma(about) + TRACE
    return np.asarray(drawn / drawn.sum(axis=-1, keepdims=True), dtype=np.float64)


def _likely_weights(fish: Floats) -> Floats:
    """Return how likely each of the weights is: arms alike in length make the large ones so."""
    shares = (fish.sum(axis=0) + TRACE) / (fish.sum() + TRACE * fish.shape[1])
    found = []
    for weight in WEIGHTS:
        rows = [
            sum(
                lgamma(n + weight * q) - lgamma(weight * q)
                for n, q in zip(row, shares, strict=True)
            )
            - lgamma(row.sum() + weight)
            + lgamma(weight)
            for row in fish
        ]
        found.append(sum(rows))
    likely = np.exp(np.array(found) - max(found))
    return np.asarray(likely / likely.sum(), dtype=np.float64)


def _ends(values: Ints) -> Ints:
    """Return the quantiles over the draws, in whole fish."""
    found = np.quantile(values, ENDS, axis=0, method="inverted_cdf")
    return np.asarray(found, dtype=np.int64)
