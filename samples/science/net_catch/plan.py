"""How many net sets a wanted catch takes, from sets that were made before."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import at_least, not_negative, positive, share, whole
from samples.science.errors import CannotEstimate

# Fewer sets than this say too little of how uneven catches are: mean and clumping are drawn.
FEWEST_TO_RESAMPLE = 15
FEWEST_FISH = 3
DRAWS = 2_000
MOST_SETS = 60
# Places of the mean, in standard errors of its logarithm, and of the clumping parameter.
_MEANS = np.linspace(-4, 4, 41)
_CLUMPING = np.geomspace(0.05, 50, 61)


@dataclass(frozen=True, slots=True, eq=False)
class SetsNeeded:
    """What a number of sets is expected to bring.

    Attributes
    ----------
    sets : int or None
        Fewest sets that bring the wanted number of every bin with the wanted chance; None where
        even ``most`` do not.
    chance : float array
        Chance that all bins are filled, with 1, 2 ... sets.
    catch : (draws, sets, bins) array
        Drawn catches of all sets up to each.
    is_resampled : bool
        Whole sets were drawn; else catches by mean and clumping, both uncertain.
    """

    sets: int | None
    chance: np.ndarray
    catch: np.ndarray
    is_resampled: bool


def sets_needed(
    catches: npt.ArrayLike,
    wanted: npt.ArrayLike,
    *,
    rng: np.random.Generator,
    chance: float = 0.8,
    most: int = MOST_SETS,
    draws: int = DRAWS,
) -> SetsNeeded:
    """Return the fewest sets that bring so many fish of each bin with this chance.

    Whole sets are drawn, so that bins rise and fall together as they do in a net. Which sets the
    lake would give is uncertain as well: each draw weights the sets anew [1]_. Of fewer than 15
    sets the catch of a set is negative binomial, with mean and clumping drawn from what the sets
    say of them [2]_: that widens the answer.

    Parameters
    ----------
    catches : array_like of int, shape (sets, bins)
        Fish of each set and bin.
    wanted : array_like of int, shape (bins,)
        Fish wanted of each bin.
    rng : numpy.random.Generator
    chance : float
        Chance that all bins are filled.
    most : int
        Most sets to think of.
    draws : int

    Returns
    -------
    SetsNeeded

    Raises
    ------
    ValueError
        If shapes differ, or a number is negative or not whole.
    CannotEstimate
        no_sets; too_few_caught, where the sets caught fewer than 3 fish of all bins.

    References
    ----------
    .. [1] Rubin (1981), Ann. Stat. 9:130-134.
    .. [2] Bliss & Fisher (1953), Biometrics 9:176-200.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.net_catch import sets_needed
    >>> sets_needed([[2]] * 20, [10], rng=np.random.default_rng(1)).sets
    5
    """
    fish = whole(not_negative(catches, "catches", ndim=2), "catches", ndim=2)
    needed = whole(not_negative(wanted, "wanted"), "wanted")
    share(chance, "chance")
    at_least(most, 1, "most")
    at_least(draws, 1, "draws")
    if fish.shape[1:] != needed.shape:
        raise ValueError("wanted must have one entry for each bin of catches")
    catch = _draw_catches(fish, rng, int(most), int(draws))
    filled = np.asarray((catch >= needed).all(axis=2).mean(axis=0))
    enough = np.flatnonzero(filled >= chance)
    sets = int(enough[0]) + 1 if enough.size else None
    return SetsNeeded(sets, filled, catch, fish.shape[0] >= FEWEST_TO_RESAMPLE)


def _draw_catches(fish: np.ndarray, rng: np.random.Generator, sets: int, draws: int) -> np.ndarray:
    """Draw what 1, 2 ... sets bring of each bin together."""
    if not fish.shape[0]:
        raise CannotEstimate("no_sets", "No net sets of this kind yet.")
    if fish.sum() < FEWEST_FISH:
        raise CannotEstimate(
            "too_few_caught",
            f"These net sets caught {int(fish.sum())} such fish: too few to plan from.",
        )
    draw = _draw_whole_sets if fish.shape[0] >= FEWEST_TO_RESAMPLE else _draw_uneven
    return np.asarray(draw(fish, rng, sets, draws).cumsum(axis=1, dtype=np.int64))


def _draw_whole_sets(
    fish: np.ndarray, rng: np.random.Generator, sets: int, draws: int
) -> np.ndarray:
    weights = rng.dirichlet(np.ones(fish.shape[0]), size=draws).cumsum(axis=1)
    at = rng.random((draws, sets))
    picked = (weights[:, None, :] < at[:, :, None]).sum(axis=2)
    return np.asarray(fish[np.minimum(picked, fish.shape[0] - 1)])


def _draw_uneven(fish: np.ndarray, rng: np.random.Generator, sets: int, draws: int) -> np.ndarray:
    """Draw negative binomial catches, split over the bins as all fish together were."""
    totals = fish.sum(axis=1)
    # Flat in the logarithm of both: neither a small nor a large mean is preferred beforehand.
    means = totals.mean() * np.exp(_MEANS * _log_se(totals))
    log_weight = clumping_likelihood(totals, means, _CLUMPING)
    weight = np.exp(log_weight - log_weight.max()).ravel()
    at = rng.choice(weight.size, size=draws, p=weight / weight.sum())
    mean, size = means[at // _CLUMPING.size], _CLUMPING[at % _CLUMPING.size]
    rate = rng.gamma(size[:, None], (mean / size)[:, None], size=(draws, sets))
    bins = fish.shape[1]
    shares = rng.dirichlet(fish.sum(axis=0) + 1 / bins, size=draws)
    return np.asarray(rng.poisson(rate[:, :, None] * shares[:, None, :]))


def _log_se(totals: np.ndarray) -> float:
    """Return the standard error of the logarithm of the mean, clumping taken in."""
    n, mean = totals.size, totals.mean()
    spread = totals.var(ddof=1) if n > 1 else mean + mean**2
    return float(np.sqrt(max(spread, mean) / n) / mean)


def clumping_likelihood(
    counts: npt.ArrayLike, means: npt.ArrayLike, sizes: npt.ArrayLike
) -> np.ndarray:
    """Return the log-likelihood of negative binomial means and clumping parameters k [1]_.

    The variance of a count is ``mean + mean**2 / k``: a small k is an uneven catch.

    Parameters
    ----------
    counts : array_like of int, shape (n,)
    means : array_like of float, shape (means,)
    sizes : array_like of float, shape (sizes,)
        Values of k.

    Returns
    -------
    (means, sizes) float array

    Raises
    ------
    ValueError
        If a count is negative or not whole, or a mean or k not above zero.

    References
    ----------
    .. [1] Bliss & Fisher (1953), Biometrics 9:176-200.

    Examples
    --------
    >>> from samples.science.net_catch import clumping_likelihood
    >>> clumping_likelihood([0, 1, 4], [1.0, 2.0], [0.5, 1.0]).shape
    (2, 2)
    """
    from scipy.special import gammaln

    x = whole(not_negative(counts, "counts"), "counts")[:, None, None]
    mean = positive(means, "means")[None, :, None]
    k = positive(sizes, "sizes")[None, None, :]
    log_p = (
        gammaln(x + k)
        - gammaln(k)
        - gammaln(x + 1)
        + k * np.log(k / (k + mean))
        + x * np.log(mean / (k + mean))
    )
    return np.asarray(log_p.sum(axis=0))
