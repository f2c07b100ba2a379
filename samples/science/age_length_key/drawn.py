"""Ages drawn within the bin, for measured fish that were not aged."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from samples.science.age_length_key.inputs import Floats, Ints, Mask, bins_of, fixed, lengths_of
from samples.science.age_length_key.observed import Shares
from samples.science.arguments import not_negative

NO_AGE = -1
# 30 x 0.1 is a hair off 3: a part this near to a whole number is one.
NEARLY = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class DrawnAges:
    """An age for each fish, in the order in which their lengths were given.

    Attributes
    ----------
    ages : (fish,) int array
        Whole years; `NO_AGE` for a fish whose bin the key does not know.
    known : (fish,) bool array
        Which fish were given an age.
    no_age_known : int
        Fish that were not.
    """

    ages: Ints
    known: Mask
    no_age_known: int


def draw_ages(lengths: ArrayLike, key: Shares, rng: np.random.Generator) -> DrawnAges:
    """Draw an age for each fish, within its length bin [1]_.

    Of the N_i fish of a bin, N_i r_ij should be of age j. Its whole part is given out as it
    stands. The few fish left over are drawn, each age with the fractional part of its
    N_i r_ij as its chance and at most once, so that over many draws each age gets N_i r_ij.
    Which fish of the bin get which age is drawn too. The same generator state gives the same
    ages; repeat the draw where a variance is wanted, for one draw has none.

    Parameters
    ----------
    lengths : (fish,) array
        Lengths in mm of fish without an age. Aged fish keep their own: leave them out.
    key : AgeLengthKey or SmoothedKey
    rng : numpy.random.Generator

    Returns
    -------
    DrawnAges

    Raises
    ------
    ValueError
        If a length is not finite or not above zero.
    CannotEstimate
        no_fish, fish_below_bins.

    References
    ----------
    .. [1] Isermann & Knight (2005), N. Am. J. Fish. Manage. 25:1153-1160. Descriptions of their
       method differ in how fish left over are drawn, by the share of an age or by its
       fractional part; by the share, common ages gain on average.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.age_length_key import observed_key
    >>> from samples.science.age_length_key.drawn import draw_ages
    >>> lengths, ages = [205, 212, 231, 238, 244, 261], [2, 2, 2, 3, 3, 3]
    >>> measured = [208, 219, 226, 233, 241, 247, 255]
    >>> key = observed_key(lengths, ages, measured, lower_edges=[200, 225, 250])
    >>> draw_ages([207, 229, 258], key, np.random.default_rng(1)).ages
    array([2, 3, 3])
    """
    places = bins_of(lengths_of(lengths, "measured"), key.lower_edges)
    ages = np.full(places.size, NO_AGE, dtype=np.int64)
    known, shares = key.known, key.shares
    for place in np.unique(places):
        if known[place]:
            fish = np.flatnonzero(places == place)
            numbers = whole_numbers(fish.size * shares[place], rng)
            ages[rng.permutation(fish)] = np.repeat(key.ages, numbers)
    given = known[places]
    return DrawnAges(fixed(ages), fixed(given), int((~given).sum()))


def whole_numbers(expected: Floats, rng: np.random.Generator) -> Ints:
    """Round numbers up or down by chance, keeping their sum and each one's mean.

    Parameters
    ----------
    expected : (ages,) float array
        Numbers whose sum is whole.
    rng : numpy.random.Generator

    Returns
    -------
    (ages,) int array

    Raises
    ------
    ValueError
        If a number is negative or not finite, or the sum is not whole.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.age_length_key.drawn import whole_numbers
    >>> int(whole_numbers(np.array([1.5, 2.5]), np.random.default_rng(1)).sum())
    4
    """
    expected = not_negative(expected, "expected")
    if abs(expected.sum() - np.rint(expected.sum())) > 1e-6 * max(expected.sum(), 1.0):
        raise ValueError("expected must have a whole sum")
    whole = np.floor(expected + NEARLY)
    parts = expected - whole
    left = int(np.rint(expected.sum() - whole.sum()))
    numbers = whole.astype(np.int64)
    if left == 0:
        return numbers
    # Points one apart on a line of the parts end to end: each part is shorter than one, and
    # is hit with its own length as the chance.
    order = rng.permutation(np.flatnonzero(parts > NEARLY))
    ends = np.cumsum(parts[order])
    ends *= left / ends[-1]
    ends[-1] = left
    hits = np.ceil(ends - rng.random()).astype(np.int64)
    numbers[order] += np.diff(hits, prepend=0)
    return numbers
