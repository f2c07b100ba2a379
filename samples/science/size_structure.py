"""Size structure: length categories, proportional size distribution, relative weight."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
import numpy.typing as npt

from samples.science.arguments import LARGEST, alike, labels, not_negative, positive
from samples.science.errors import CannotEstimate

CATEGORIES = ("stock", "quality", "preferred", "memorable", "trophy")
MILLIMETRES, INCHES = "mm", "in"


@dataclass(frozen=True, slots=True)
class Lengths:
    """Least total length of each category, stock to trophy, in millimetres and in inches.

    The two are published apart: a fish counts in the unit in which it was measured.
    """

    mm: tuple[int, int, int, int, int]
    inches: tuple[int, int, int, int, int]


# Gabelhouse (1984), N. Am. J. Fish. Manage. 4:273-285; hybrid striped bass: Dumont & Neely (2011),
# N. Am. J. Fish. Manage. 31:722-725. Species whose published lengths were not seen are left out;
# what was seen of each stands in tests/published.
_CRAPPIE = Lengths((130, 200, 250, 300, 380), (5, 8, 10, 12, 15))
LENGTHS: Mapping[str, Lengths] = MappingProxyType(
    {
        "white-crappie": _CRAPPIE,
        "black-crappie": _CRAPPIE,
        "bluegill": Lengths((80, 150, 200, 250, 300), (3, 6, 8, 10, 12)),
        "walleye": Lengths((250, 380, 510, 630, 760), (10, 15, 20, 25, 30)),
        "hybrid-striped-bass": Lengths((250, 410, 510, 610, 710), (10, 16, 20, 24, 28)),
        "largemouth-bass": Lengths((200, 300, 380, 510, 630), (8, 12, 15, 20, 25)),
        "smallmouth-bass": Lengths((180, 280, 350, 430, 510), (7, 11, 14, 17, 20)),
        "channel-catfish": Lengths((280, 410, 610, 710, 910), (11, 16, 24, 28, 36)),
    }
)


@dataclass(frozen=True, slots=True)
class StandardWeight:
    """``log10 Ws = a + b log10 TL``, g and mm, used from stock length on."""

    a: float
    b: float
    shortest_mm: int


# Murphy, Brown & Springer (1990), N. Am. J. Fish. Manage. 10:85-97, for walleye; the others as in
# the lists of Blackwell, Brown & Willis (2000), Rev. Fish. Sci. 8:1-44. Each holds for shorter fish
# too; small ones are weighed too badly, so Wr begins at stock length, as Murphy & Willis (1991)
# advise. Species whose published values were not seen are left out.
STANDARD_WEIGHTS: Mapping[str, StandardWeight] = MappingProxyType(
    {
        "white-crappie": StandardWeight(-5.642, 3.332, 130),
        "black-crappie": StandardWeight(-5.618, 3.345, 130),
        "bluegill": StandardWeight(-5.374, 3.316, 80),
        "walleye": StandardWeight(-5.453, 3.180, 250),
        "largemouth-bass": StandardWeight(-5.528, 3.273, 200),
        "smallmouth-bass": StandardWeight(-5.329, 3.200, 180),
        "channel-catfish": StandardWeight(-5.800, 3.294, 280),
    }
)


@dataclass(frozen=True, slots=True)
class StockDensity:
    """A share of the stock-length fish, per cent, with its 95 % interval."""

    category: str
    fish: int
    percent: float
    lower: float
    upper: float


@dataclass(frozen=True, slots=True)
class SizeStructure:
    """Fish of stock length and over, and the shares of them that are longer.

    ``over`` counts from each category up (quality, preferred ...); ``between`` from each to the
    next. Intervals are Wilson's, of as many fish as the sets are worth.
    """

    n: int
    stock: int
    over: tuple[StockDensity, ...]
    between: tuple[StockDensity, ...]


def size_structure(
    species: str,
    lengths: Sequence[float],
    units: Sequence[str] | str = MILLIMETRES,
    *,
    sets: npt.ArrayLike | None = None,
) -> SizeStructure:
    """Return the proportional size distribution of a sample [1]_, [2]_, [3]_, [4]_.

    Parameters
    ----------
    species : str
        Code of the species list.
    lengths : sequence of float, shape (fish,)
        Total lengths, each in the unit in which it was measured.
    units : str or sequence of str
        "mm" or "in", for all or for each.
    sets : array_like, shape (fish,), optional
        The net set or trip of each fish: fish of one are alike, so that they are worth fewer.

    Returns
    -------
    SizeStructure

    Raises
    ------
    ValueError
        If a length is not finite or not above zero, or a unit is missing or unknown.
    CannotEstimate
        no_categories; no_stock, without a fish of stock length.

    References
    ----------
    .. [1] Gabelhouse (1984).
    .. [2] Guy et al. (2007), Fisheries 32:348, for the terms.
    .. [3] Wilson (1927), J. Am. Stat. Assoc. 22:209-212.
    .. [4] Korn & Graubard (1998), Survey Methodology 24:193-201, for the number of fish that
       sets are worth.

    Examples
    --------
    >>> from samples.science.size_structure import size_structure
    >>> round(size_structure("white-crappie", [140, 150, 210, 255, 260]).over[0].percent)
    60
    """
    if species not in LENGTHS:
        raise CannotEstimate(
            "no_categories", "There are no length categories for this species here."
        )
    positive(lengths, "lengths")
    each = [units] * len(lengths) if isinstance(units, str) else list(units)
    if len(each) != len(lengths) or not set(each) <= {MILLIMETRES, INCHES}:
        raise ValueError("units must be mm or in, one for each length")
    ranks = np.array([_rank(LENGTHS[species], *one) for one in zip(lengths, each, strict=True)])
    of_stock = ranks >= 1
    if not of_stock.any():
        raise CannotEstimate("no_stock", "No fish here is of stock length or over.")
    of_set = None if sets is None else labels(sets, "sets", size=ranks.size)[of_stock]
    ranks = ranks[of_stock]
    return SizeStructure(
        n=len(lengths),
        stock=int(ranks.size),
        over=tuple(
            _share(name, ranks > place, of_set) for place, name in enumerate(CATEGORIES[1:], 1)
        ),
        between=tuple(
            _share(name, ranks == place, of_set) for place, name in enumerate(CATEGORIES, 1)
        ),
    )


def _rank(categories: Lengths, length: float, unit: str) -> int:
    """Return how many category limits a fish has reached; one on a limit has reached it."""
    limits = categories.inches if unit == INCHES else categories.mm
    return sum(length >= limit for limit in limits)


def _share(
    category: str, counted: npt.NDArray[np.bool_], of_set: npt.NDArray[Any] | None
) -> StockDensity:
    fish, of = int(np.count_nonzero(counted)), int(counted.size)
    worth = 1.0 if of_set is None else _worth(counted, of_set)
    lower, upper = _score_interval(fish / of, of * worth)
    return StockDensity(category, fish, 100 * fish / of, 100 * lower, 100 * upper)


def _worth(counted: npt.NDArray[np.bool_], of_set: npt.NDArray[Any]) -> float:
    """Return what a fish of these sets is worth, against one drawn by itself; at most 1.

    The variance of a share over sets, as a ratio of totals, against that of as many fish drawn one
    by one; and Student's t of the sets, which few of them make wide.
    """
    from scipy.stats import t as t_distribution

    place = np.unique(of_set, return_inverse=True)[1].ravel()
    n, count, share = counted.size, int(place.max()) + 1, float(counted.mean())
    alone = share * (1 - share) / n
    # Sets of one fish each are fish one by one; a single set tells nothing of others.
    if not 2 <= count < n or alone == 0:
        return 1.0
    off = np.bincount(place, weights=counted - share)
    variance = count / (count - 1) * float(off @ off) / n**2
    few = t_distribution.ppf(0.975, n - 1) / t_distribution.ppf(0.975, count - 1)
    return min(alone / max(variance, alone) * float(few) ** 2, 1.0)


def _score_interval(share: float, n: float) -> tuple[float, float]:
    """Return Wilson's interval of a share of n fish, which need not be whole."""
    from scipy.stats import norm

    z2 = float(norm.ppf(0.975)) ** 2
    middle = (share + z2 / (2 * n)) / (1 + z2 / n)
    half = np.sqrt(z2 * share * (1 - share) / n + z2**2 / (4 * n**2)) / (1 + z2 / n)
    return float(max(middle - half, 0.0)), float(min(middle + half, 1.0))


def wilson(fish: int, of: int) -> tuple[float, float]:
    """Return the 95 % interval of a share by Wilson's score, as fractions.

    Parameters
    ----------
    fish, of : int
        Fish that are so, of how many.

    Returns
    -------
    lower, upper : float
        Ends of the 95 % interval of the share, 0 to 1.

    Raises
    ------
    ValueError
        If fish does not lie between 0 and of.
    CannotEstimate
        no_share, where of is 0.

    Examples
    --------
    >>> from samples.science.size_structure import wilson
    >>> [round(end, 2) for end in wilson(3, 10)]
    [0.11, 0.6]
    """
    if not 0 <= fish <= of <= LARGEST:
        raise ValueError("fish must lie between 0 and of")
    if of == 0:
        raise CannotEstimate("no_share", "A share needs fish to be a part of.")
    return _score_interval(fish / of, of)


def standard_weight(species: str, lengths_mm: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Return Ws in g at lengths in mm.

    Parameters
    ----------
    species : str
        Code of a species in `STANDARD_WEIGHTS`.
    lengths_mm : array_like, shape (fish,)
        Total lengths in mm.

    Returns
    -------
    ndarray, shape (fish,)
        Standard weights in g.

    Raises
    ------
    ValueError
        If a length is not finite or not above zero.
    CannotEstimate
        no_standard; too_short, where a length is below the shortest the equation holds for.

    Examples
    --------
    >>> from samples.science.size_structure import standard_weight
    >>> standard_weight("white-crappie", [210, 254]).round()
    array([125., 235.])
    """
    if species not in STANDARD_WEIGHTS:
        raise CannotEstimate("no_standard", "There is no standard weight for this species here.")
    line = STANDARD_WEIGHTS[species]
    length = positive(lengths_mm, "lengths_mm", ndim=None)
    if (length < line.shortest_mm).any():
        raise CannotEstimate(
            "too_short", f"Relative weight is used from stock length on, {line.shortest_mm} mm."
        )
    weight: npt.NDArray[np.float64] = 10 ** (line.a + line.b * np.log10(length))
    return weight


@dataclass(frozen=True, slots=True)
class RelativeWeight:
    """Mean Wr of n fish with its 95 % interval by Student's t; None of one fish."""

    n: int
    mean: float
    lower: float | None
    upper: float | None


def relative_weight(
    species: str, lengths_mm: npt.ArrayLike, weights_g: npt.ArrayLike
) -> RelativeWeight:
    """Return the mean relative weight, ``100 W / Ws``, of the fish that are long enough.

    Parameters
    ----------
    species, lengths_mm
        As for `standard_weight`.
    weights_g : array_like, shape (fish,)
        Weights in g; 0 where a fish was not weighed.

    Returns
    -------
    RelativeWeight

    Raises
    ------
    ValueError
        If shapes differ, a length is not above zero, or a weight is negative; 0 is "not weighed".
    CannotEstimate
        no_standard; no_weights, where no fish was weighed; too_short, where those that were are
        all below stock length.

    Examples
    --------
    >>> from samples.science.size_structure import relative_weight
    >>> round(relative_weight("white-crappie", [180, 210, 254], [70, 120, 235]).mean)
    97
    """
    length = positive(lengths_mm, "lengths_mm")
    weight = not_negative(weights_g, "weights_g")
    alike(lengths_mm=length, weights_g=weight)
    if species not in STANDARD_WEIGHTS:
        raise CannotEstimate("no_standard", "There is no standard weight for this species here.")
    weighed = weight > 0
    if not weighed.any():
        raise CannotEstimate("no_weights", "No fish was weighed.")
    shortest = STANDARD_WEIGHTS[species].shortest_mm
    kept = (length >= shortest) & weighed
    if not kept.any():
        raise CannotEstimate(
            "too_short",
            f"The {np.count_nonzero(weighed)} weighed fish are all below stock length, "
            f"{shortest} mm.",
        )
    return _mean_of(100 * weight[kept] / standard_weight(species, length[kept]))


def _mean_of(values: npt.NDArray[np.float64]) -> RelativeWeight:
    from scipy.stats import t as t_distribution

    mean = float(values.mean())
    if values.size == 1:
        return RelativeWeight(1, mean, None, None)
    error = values.std(ddof=1) / np.sqrt(values.size)
    half = float(t_distribution.ppf(0.975, values.size - 1) * error)
    return RelativeWeight(int(values.size), mean, mean - half, mean + half)


def relative_weight_by_length(
    species: str, lengths_mm: npt.ArrayLike, weights_g: npt.ArrayLike
) -> dict[str, RelativeWeight]:
    """Return the mean relative weight of each length category that has weighed fish [1]_.

    A mean over all lengths hides fish that are thin at one length and plump at another.

    Parameters
    ----------
    species, lengths_mm, weights_g
        As for `relative_weight`.

    Returns
    -------
    dict of str to RelativeWeight
        By category, stock to trophy: fish from its length up to the next one's.

    Raises
    ------
    ValueError, CannotEstimate
        As `relative_weight`.

    References
    ----------
    .. [1] Murphy, Brown & Springer (1990), N. Am. J. Fish. Manage. 10:85-97.

    Examples
    --------
    >>> from samples.science.size_structure import relative_weight_by_length
    >>> found = relative_weight_by_length("white-crappie", [180, 210, 254], [70, 120, 235])
    >>> {category: one.n for category, one in found.items()}
    {'stock': 1, 'quality': 1, 'preferred': 1}
    """
    relative_weight(species, lengths_mm, weights_g)  # refuses what carries no mean
    length, weight = np.asarray(lengths_mm, float), np.asarray(weights_g, float)
    kept = (length >= STANDARD_WEIGHTS[species].shortest_mm) & (weight > 0)
    values = 100 * weight[kept] / standard_weight(species, length[kept])
    place = np.searchsorted(LENGTHS[species].mm, length[kept], side="right") - 1
    return {
        name: _mean_of(values[place == rank])
        for rank, name in enumerate(CATEGORIES)
        if (place == rank).any()
    }
