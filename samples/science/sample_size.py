"""How many fish to age, so that every share of an age is known near enough."""

from dataclasses import dataclass
from math import ceil, sqrt
from statistics import NormalDist

from samples.science.arguments import at_least, share
from samples.science.errors import CannotEstimate

CONFIDENCE = 0.95
# Equal shares of more ages than this are small, and never the hardest to know.
MOST_AGES = 1_000
# A product of floats this little above a whole number is that number.
NEARLY = 1e-9


@dataclass(frozen=True, slots=True)
class HardestShares:
    """The age structure that needs the most fish: so many ages, of one share each.

    Attributes
    ----------
    ages : int
        How many ages share the fish equally, m; others have none.
    fish_times_square : float
        Fish times the square of the distance allowed, n d^2.
    """

    ages: int
    fish_times_square: float


def hardest_shares(*, confidence: float = CONFIDENCE) -> HardestShares:
    """Find the age structure that needs the most fish [1]_.

    Parameters
    ----------
    confidence : float
        Probability, between 0 and 1, that all shares together are within the distance; 1 less
        alpha.

    Returns
    -------
    HardestShares
        ``n d^2 = max over m of z^2 (1/m) (1 - 1/m)``, with z the normal point exceeded with
        probability ``alpha / (2 m)``.

    Raises
    ------
    ValueError
        If the confidence does not lie between 0 and 1.

    References
    ----------
    .. [1] Thompson (1987), The American Statistician 41:42-46.

    Examples
    --------
    >>> from samples.science.sample_size import hardest_shares
    >>> hardest_shares().ages
    3
    """
    normal, alpha = NormalDist(), 1 - share(confidence, "confidence")
    best = HardestShares(1, 0.0)
    for ages in range(2, MOST_AGES + 1):
        z = normal.inv_cdf(alpha / (2 * ages))
        needed = z * z * (1 - 1 / ages) / ages
        if needed > best.fish_times_square:
            best = HardestShares(ages, needed)
    return best


def fish_to_age(within: float, *, confidence: float = CONFIDENCE) -> int:
    """Return the fish to age so that the shares of all ages are within a distance at once [1]_.

    It holds whatever the shares are, for fish taken at random one by one. Fish of a party are
    alike and say less, and fish picked by length are no such sample.

    Parameters
    ----------
    within : float
        Distance d allowed between each share and its estimate, above 0 and below 1: 0.05 is 5
        hundredths of all fish.
    confidence : float
        As for `hardest_shares`.

    Returns
    -------
    int
        Fish, rounded up.

    Raises
    ------
    ValueError
        If distance or confidence do not lie between 0 and 1.

    References
    ----------
    .. [1] Thompson (1987), The American Statistician 41:42-46.

    Examples
    --------
    >>> from samples.science.sample_size import fish_to_age
    >>> fish_to_age(0.05)
    510
    """
    needed = hardest_shares(confidence=confidence).fish_times_square / share(within, "within") ** 2
    return ceil(needed * (1 - NEARLY))


def shares_within(fish: int, *, confidence: float = CONFIDENCE) -> float:
    """Return how near the shares of all ages are known from so many aged fish [1]_.

    Parameters
    ----------
    fish : int
        Aged fish, taken at random.
    confidence : float
        As for `hardest_shares`.

    Returns
    -------
    float
        Distance d, as a share of all fish, whatever the shares are; at most 1.

    Raises
    ------
    ValueError
        If fish is negative or not finite, or the confidence does not lie between 0 and 1.
    CannotEstimate
        no_fish.

    References
    ----------
    .. [1] Thompson (1987), The American Statistician 41:42-46, solved for d.

    Examples
    --------
    >>> from samples.science.sample_size import shares_within
    >>> round(shares_within(510), 3)
    0.05
    """
    at_least(fish, 0, "fish")
    if fish < 1:
        raise CannotEstimate("no_fish", "There are no aged fish yet.")
    return min(sqrt(hardest_shares(confidence=confidence).fish_times_square / fish), 1.0)


def fish_to_measure(length_bins: int) -> int:
    """Return the fewest fish to measure for a length frequency: ten for each length bin [1]_.

    Parameters
    ----------
    length_bins : int
        Length bins that hold fish.

    Returns
    -------
    int
        Fish; a rule of thumb.

    Raises
    ------
    ValueError
        If length_bins is negative or not finite.
    CannotEstimate
        no_bins.

    References
    ----------
    .. [1] Gerritsen & McGrath (2007), Fish. Bull. (U.S.) 105.

    Examples
    --------
    >>> from samples.science.sample_size import fish_to_measure
    >>> fish_to_measure(20)
    200
    """
    at_least(length_bins, 0, "length_bins")
    if length_bins < 1:
        raise CannotEstimate("no_bins", "There are no length bins.")
    return 10 * length_bins
