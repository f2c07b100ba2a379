"""Two samples of lengths side by side."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import positive
from samples.science.errors import CannotEstimate

# Of fewer fish a difference of half the fish could be chance.
FEWEST = 20


@dataclass(frozen=True, slots=True)
class LengthComparison:
    """How two samples of lengths differ.

    Attributes
    ----------
    distance : float
        Largest difference between the shares of fish up to a length, of all lengths.
    p : float
        Of fish that are drawn one by one; of fish of the same trips it is too small.
    shift_mm : float
        Median of the second sample less that of the first.
    """

    n: int
    n_other: int
    median_mm: float
    median_other_mm: float
    distance: float
    p: float

    @property
    def shift_mm(self) -> float:
        return self.median_other_mm - self.median_mm


def compare_lengths(lengths_mm: npt.ArrayLike, other_mm: npt.ArrayLike) -> LengthComparison:
    """Compare two samples of lengths by the two-sample test of Kolmogorov and Smirnov [1]_.

    Parameters
    ----------
    lengths_mm, other_mm : array_like of float, shape (fish,) and (others,)

    Returns
    -------
    LengthComparison
        ``distance`` from 0 to 1, ``p`` from the asymptotic distribution.

    Raises
    ------
    ValueError
        If a length is not finite or not above zero.
    CannotEstimate
        too_few_fish, with fewer than 20 in either sample.

    References
    ----------
    .. [1] Sokal & Rohlf (1995), Biometry, 3rd ed., Freeman, for the test.

    Examples
    --------
    >>> from samples.science.length_samples import compare_lengths
    >>> compare_lengths(range(100, 140), range(120, 160)).distance
    0.5
    """
    from scipy.stats import ks_2samp

    first, second = positive(lengths_mm, "lengths"), positive(other_mm, "other lengths")
    if min(first.size, second.size) < FEWEST:
        raise CannotEstimate(
            "too_few_fish",
            f"Too few fish to compare ({first.size} and {second.size}; {FEWEST} of each are "
            "needed).",
        )
    found = ks_2samp(first, second, method="asymp")
    return LengthComparison(
        n=int(first.size),
        n_other=int(second.size),
        median_mm=float(np.median(first)),
        median_other_mm=float(np.median(second)),
        distance=float(found.statistic),
        p=float(found.pvalue),
    )
