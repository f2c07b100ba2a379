"""Do groups of fish share a curve: likelihood ratios for the whole of it, and for each value."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.errors import CannotEstimate
from samples.science.growth.fit import FEWEST_FISH, checked, fit_curve
from samples.science.growth.profile import Floats

LINF, K, T0 = "linf", "k", "t0"
COINCIDENT = "coincident"


@dataclass(frozen=True, slots=True)
class Group:
    """Fish of one group: times in years, lengths in mm, weights or None."""

    name: str
    times: npt.ArrayLike
    lengths_mm: npt.ArrayLike
    weights: npt.ArrayLike | None = None


@dataclass(frozen=True, slots=True)
class RatioTest:
    """One likelihood ratio test against separate curves.

    Attributes
    ----------
    shared : str
        What the groups share in it: one value, or all ("coincident").
    chi2 : float
        ``n ln(rss_shared / rss_separate)``.
    df : int
        Values saved.
    p : float
        Probability of so large a chi2 if they do share it.
    """

    shared: str
    chi2: float
    df: int
    p: float


@dataclass(frozen=True, slots=True)
class Comparison:
    """Tests of coincident curves, then of Linf, K and t0 each; sums of squares beside them."""

    tests: Mapping[str, RatioTest]
    rss_separate: float
    n: int


def compare_curves(groups: Sequence[Group], *, fewest: int = FEWEST_FISH) -> Comparison:
    """Ask whether groups share a growth curve [1]_.

    Parameters
    ----------
    groups : sequence of Group
        Two or more.
    fewest : int
        Fewest fish (or means) of a group.

    Returns
    -------
    Comparison

    Raises
    ------
    ValueError
        With fewer than two groups; or as `fit_curve`.
    CannotEstimate
        As `fit_curve`, naming the group.

    References
    ----------
    .. [1] Kimura (1980), Fish. Bull. (U.S.) 77:765-776. It supposes one variance for all
       groups.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.growth.compare import Group, compare_curves
    >>> times = np.tile([1.2, 2.2, 3.2, 4.2, 5.2, 6.2], 5)
    >>> lengths = 350 * (1 - np.exp(-0.4 * times)) * np.random.default_rng(1).normal(1, 0.05, 30)
    >>> groups = [Group("Brindle", times, lengths), Group("Sallow", times, 0.9 * lengths)]
    >>> bool(compare_curves(groups).tests["coincident"].p < 0.01)
    True
    """
    if len(groups) < 2:
        raise ValueError("at least two groups are needed")
    data, starts = [], []
    for group in groups:
        try:
            data.append(checked(group.times, group.lengths_mm, group.weights, fewest=fewest))
            curve = fit_curve(
                group.times, group.lengths_mm, weights=group.weights, fewest=fewest
            ).curve
        except CannotEstimate as problem:
            raise CannotEstimate(problem.code, f"{group.name}: {problem.sentence}") from problem
        starts.append([curve.linf_mm, curve.k, curve.t0])
    separate = np.array(starts)
    rss = sum(_rss(one, values) for one, values in zip(data, separate, strict=True))
    n = sum(time.size for time, _, _ in data)
    shares = {
        COINCIDENT: (True, True, True),
        LINF: (True, False, False),
        K: (False, True, False),
        T0: (False, False, True),
    }
    tests = {
        name: _test(
            name, n, _rss_shared(data, separate, shared), rss, sum(shared) * (len(data) - 1)
        )
        for name, shared in shares.items()
    }
    return Comparison(tests, float(rss), n)


def _test(shared: str, n: int, rss_shared: float, rss: float, df: int) -> RatioTest:
    from scipy.stats import chi2 as chi2_distribution

    chi2 = max(n * float(np.log(rss_shared / rss)), 0.0)
    return RatioTest(shared, chi2, df, float(chi2_distribution.sf(chi2, df)))


def _residuals(one: tuple[Floats, Floats, Floats], values: Floats) -> Floats:
    time, length, weight = one
    whole, k, zero = values
    residual: Floats = np.sqrt(weight) * (length + whole * np.expm1(-k * (time - zero)))
    return residual


def _rss(one: tuple[Floats, Floats, Floats], values: Floats) -> float:
    return float(np.sum(_residuals(one, values) ** 2))


def _rss_shared(
    data: list[tuple[Floats, Floats, Floats]], separate: Floats, shared: tuple[bool, bool, bool]
) -> float:
    """Fit all groups at once with some values in common, from their separate fits."""
    from scipy.optimize import least_squares

    groups = len(data)
    scale = np.maximum(np.abs(separate).max(axis=0), 0.1)

    def spread_out(packed: Floats) -> Floats:
        values, start = np.empty((groups, 3)), 0
        for place, common in enumerate(shared):
            count = 1 if common else groups
            values[:, place] = packed[start : start + count] * scale[place]
            start += count
        return values

    def residuals(packed: Floats) -> Floats:
        rows = spread_out(packed)
        return np.concatenate([_residuals(one, row) for one, row in zip(data, rows, strict=True)])

    def packed_from(values: Floats) -> Floats:
        parts = [
            [values[:, place].mean() / scale[place]] if common else values[:, place] / scale[place]
            for place, common in enumerate(shared)
        ]
        return np.concatenate(parts)

    # From the mean of the separate fits, and from each of them: the least counts.
    starts = [separate, *(np.tile(row, (groups, 1)) for row in separate)]
    found = [
        least_squares(residuals, packed_from(one), method="lm", xtol=1e-12, ftol=1e-12)
        for one in starts
    ]
    return float(min(np.sum(one.fun**2) for one in found))
