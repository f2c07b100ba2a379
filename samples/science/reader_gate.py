"""The reader's gate: a reference set read before a season, and drift on it since.

Against known ages it tests accuracy. Against consensus ages it tests consistency alone: a reader
who repeats a mistake of the consensus passes.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.agreement import precision, symmetry
from samples.science.arguments import (
    Floats,
    Ints,
    ages_in_years,
    alike,
    at_least,
    finite,
    share,
    whole,
)
from samples.science.errors import CannotEstimate

# Ages up to 5 read exactly, older ones within a year and with a small CV. Common practice,
# no publication is known to us as its source; a CV of 5 % is the aim of Campana (2001).
YOUNG_TO = 5
LEAST_SHARE = 0.9
MOST_CV = 5.0
FEWEST, BETTER = 50, 100
FEWEST_IN_GROUP = 10
CLEAR = 0.05
LARGEST = 100_000


@dataclass(frozen=True, slots=True)
class GateGroup:
    """One group of ages of the reference set.

    ``right`` of ``n`` were read exactly (young) or within a year (older); ``lower`` and ``upper``
    are the exact 95 % interval of their share. ``cv`` is in per cent. ``passes`` is None where
    there are too few fish to say.
    """

    n: int
    right: int
    share: float
    lower: float
    upper: float
    cv: float
    passes: bool | None


@dataclass(frozen=True, slots=True)
class Gate:
    """What a reader's readings of the reference set come to.

    Attributes
    ----------
    n : int
        Otoliths read, to which the aging rule gave an age.
    young, older : GateGroup or None
        Ages up to 5, and older ones; None where the set has none.
    bias : float
        Mean of reading less reference age, years.
    bias_p : float
        Whether the reader is as often above as below, pooled by difference.
    passes : bool or None
        None where it cannot be said yet: fewer than 50, or no group with enough fish.
    chance_if_85, chance_if_90 : float
        How often a reader who is truly right in 85 % and in 90 % would reach 90 % of n.
    """

    n: int
    young: GateGroup | None
    older: GateGroup | None
    bias: float
    bias_p: float
    passes: bool | None
    chance_if_85: float
    chance_if_90: float


@dataclass(frozen=True, slots=True)
class Drift:
    """How a reader's readings of the reference set have moved since the gate.

    ``change`` is the share read exactly since, less that at the gate, with its 95 % interval;
    ``bias`` the mean of reading less reference age since, with its own (None where one reading or
    no spread sets none). ``drifts`` where one of the intervals leaves out 0 to the bad side.
    """

    n_before: int
    n_since: int
    share_before: float
    share_since: float
    change: float
    change_lower: float
    change_upper: float
    bias: float
    bias_lower: float | None
    bias_upper: float | None
    drifts: bool


def exact_interval(right: int, n: int) -> tuple[float, float]:
    """Return the exact 95 % interval of a share [1]_.

    Parameters
    ----------
    right, n : int
        Fish read right, of how many.

    Returns
    -------
    lower, upper : float
        Ends of the interval, 0 to 1.

    Raises
    ------
    ValueError
        If right does not lie between 0 and n.
    CannotEstimate
        no_fish, where n is 0.

    References
    ----------
    .. [1] Clopper & Pearson (1934), Biometrika 26:404-413.

    Examples
    --------
    >>> from samples.science.reader_gate import exact_interval
    >>> [round(end, 4) for end in exact_interval(81, 263)]
    [0.2527, 0.3676]
    """
    from scipy.stats import beta

    if not 0 <= right <= n <= LARGEST:
        raise ValueError("right must lie between 0 and n")
    if n == 0:
        raise CannotEstimate("no_fish", "No reference otolith was read yet.")
    lower = float(beta.ppf(0.025, right, n - right + 1)) if right else 0.0
    upper = float(beta.ppf(0.975, right + 1, n - right)) if right < n else 1.0
    return lower, upper


def chance_of_passing(n: int, true_share: float, least: float = LEAST_SHARE) -> float:
    """Return how often a reader who is truly right in some share reaches a gate.

    Parameters
    ----------
    n : int
        Otoliths in the set.
    true_share : float
        Share that the reader reads right in the long run.
    least : float
        Share of the set that the gate asks for.

    Returns
    -------
    float
        Binomial probability of at least ``least n`` right, 0 to 1.

    Raises
    ------
    ValueError
        If n is below 1, or a share does not lie between 0 and 1.

    Examples
    --------
    >>> from samples.science.reader_gate import chance_of_passing
    >>> round(chance_of_passing(50, 0.85), 2), round(chance_of_passing(50, 0.9), 2)
    (0.22, 0.62)
    """
    from scipy.stats import binom

    at_least(n, 1, "n")
    share(true_share, "true_share")
    share(least, "least")
    needed = int(np.ceil(least * n - 1e-9))
    return float(binom.sf(needed - 1, int(n), true_share))


def judge_reader(reference: npt.ArrayLike, read: npt.ArrayLike) -> Gate:
    """Judge a reader by the reference set [1]_, [2]_.

    Parameters
    ----------
    reference, read : array_like of int, shape (fish,)
        Ages of the set and ages by the reader, whole years.

    Returns
    -------
    Gate
        Passed with at least 90 % exact at ages up to 5, at least 90 % within a year and a CV of at
        most 5 % at older ages, and no bias by the test of symmetry pooled by difference. A group
        of fewer than 10 is not judged.

    Raises
    ------
    ValueError
        If the two differ in number, or an age is not a whole number from 0 to 300.
    CannotEstimate
        no_fish.

    Notes
    -----
    The CV is that of the two ages of each fish. A gate of 50 fish lets through one in five readers
    who are right in 85 %; `chance_of_passing` says so for any number.

    References
    ----------
    .. [1] Campana (2001), J. Fish Biol. 59:197-242.
    .. [2] Evans & Hoenig (1998), Biometrics 54:620-629.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.reader_gate import judge_reader
    >>> ages = np.tile([1, 2, 3, 4, 5], 12)
    >>> judge_reader(ages, ages).passes
    True
    """
    true, said = _ages(reference, read)
    is_young = true <= YOUNG_TO
    off = np.abs(said - true)
    young = _group(true[is_young], said[is_young], off[is_young] == 0, most_cv=None)
    older = _group(true[~is_young], said[~is_young], off[~is_young] <= 1, most_cv=MOST_CV)
    bias_p = _bias_p(true, said)
    return Gate(
        n=int(true.size),
        young=young,
        older=older,
        bias=float((said - true).mean()),
        bias_p=bias_p,
        passes=_passes(int(true.size), (young, older), bias_p),
        chance_if_85=chance_of_passing(int(true.size), 0.85),
        chance_if_90=chance_of_passing(int(true.size), 0.9),
    )


def _ages(reference: npt.ArrayLike, read: npt.ArrayLike) -> tuple[Ints, Ints]:
    true, said = (
        whole(ages_in_years(ages, name), name)
        for ages, name in ((reference, "reference"), (read, "read"))
    )
    alike(reference=true, read=said)
    if true.size == 0:
        raise CannotEstimate("no_fish", "No reference otolith was read yet.")
    return true, said


def _group(
    true: Ints, said: Ints, is_right: npt.NDArray[np.bool_], *, most_cv: float | None
) -> GateGroup | None:
    n, right = int(true.size), int(is_right.sum())
    if n == 0:
        return None
    lower, upper = exact_interval(right, n)
    cv = precision(np.column_stack([true, said])).cv
    passes = None
    if n >= FEWEST_IN_GROUP:
        passes = right >= LEAST_SHARE * n - 1e-9 and (most_cv is None or cv <= most_cv)
    return GateGroup(n, right, right / n, lower, upper, cv, passes)


def _bias_p(true: Ints, said: Ints) -> float:
    top = int(max(true.max(), said.max())) + 1
    table = np.zeros((top, top), dtype=np.int64)
    np.add.at(table, (true, said), 1)
    return symmetry(table)[0].p


def _passes(n: int, groups: tuple[GateGroup | None, ...], bias_p: float) -> bool | None:
    judged = [group.passes for group in groups if group is not None and group.passes is not None]
    if n < FEWEST or not judged:
        return None
    return all(judged) and bias_p >= CLEAR


def drift_since_gate(
    reference_before: npt.ArrayLike,
    read_before: npt.ArrayLike,
    reference_since: npt.ArrayLike,
    read_since: npt.ArrayLike,
) -> Drift:
    """Compare a reader's readings of the reference set since the gate with those at the gate.

    Parameters
    ----------
    reference_before, read_before : array_like of int, shape (fish,)
        Ages of the set and by the reader at the gate, whole years.
    reference_since, read_since : array_like of int, shape (readings,)
        The same of the otoliths that were mixed into sessions since.

    Returns
    -------
    Drift

    Raises
    ------
    ValueError
        As `judge_reader`.
    CannotEstimate
        no_fish, at the gate or since.

    Notes
    -----
    The interval of the change joins the Wilson intervals of the two shares [1]_; that of the bias
    is Student's t. The same otoliths read again make both a little too wide.

    References
    ----------
    .. [1] Newcombe (1998), Stat. Med. 17:873-890, method 10.

    Examples
    --------
    >>> from samples.science.reader_gate import drift_since_gate
    >>> found = drift_since_gate([2, 3, 4, 5], [2, 3, 4, 5], [2, 3, 4, 5], [2, 3, 4, 6])
    >>> found.change, found.drifts
    (-0.25, False)
    """
    true_0, said_0 = _ages(reference_before, read_before)
    true_1, said_1 = _ages(reference_since, read_since)
    before, since = int((true_0 == said_0).sum()), int((true_1 == said_1).sum())
    lower, upper = difference_interval(since, true_1.size, before, true_0.size)
    off = finite((said_1 - true_1).astype(np.float64), "difference")
    bias = float(off.mean())
    ends = _mean_interval(off)
    is_biased = ends is not None and (ends[0] > 0 or ends[1] < 0)
    return Drift(
        n_before=int(true_0.size),
        n_since=int(true_1.size),
        share_before=before / true_0.size,
        share_since=since / true_1.size,
        change=since / true_1.size - before / true_0.size,
        change_lower=lower,
        change_upper=upper,
        bias=bias,
        bias_lower=None if ends is None else ends[0],
        bias_upper=None if ends is None else ends[1],
        drifts=upper < 0 or is_biased,
    )


def _mean_interval(values: Floats) -> tuple[float, float] | None:
    from scipy.stats import t as t_distribution

    spread = float(values.std(ddof=1)) if values.size > 1 else 0.0
    if spread == 0:
        return None
    half = float(t_distribution.ppf(0.975, values.size - 1)) * spread / np.sqrt(values.size)
    return float(values.mean() - half), float(values.mean() + half)


def difference_interval(right_1: int, n_1: int, right_2: int, n_2: int) -> tuple[float, float]:
    """Return the 95 % interval of the difference of two shares, the first less the second [1]_.

    Parameters
    ----------
    right_1, n_1, right_2, n_2 : int
        Read right, of how many, in the one and in the other.

    Returns
    -------
    lower, upper : float
        Ends of the interval, -1 to 1.

    Raises
    ------
    ValueError
        If one does not lie between 0 and its number.
    CannotEstimate
        no_share, where a number is 0.

    References
    ----------
    .. [1] Newcombe (1998), Stat. Med. 17:873-890, method 10.

    Examples
    --------
    >>> from samples.science.reader_gate import difference_interval
    >>> [round(end, 4) for end in difference_interval(56, 70, 48, 80)]
    [0.0524, 0.3339]
    """
    from samples.science.size_structure import wilson

    lower_1, upper_1 = wilson(right_1, n_1)
    lower_2, upper_2 = wilson(right_2, n_2)
    one, other = right_1 / n_1, right_2 / n_2
    below = np.hypot(one - lower_1, upper_2 - other)
    above = np.hypot(upper_1 - one, other - lower_2)
    return float(one - other - below), float(one - other + above)
