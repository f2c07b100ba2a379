"""How far two readers, or two ways of reading, agree: percent, APE, CV, bias and symmetry."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import ages_in_years, alike, not_negative, whole
from samples.science.errors import CannotEstimate

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]

CLEAR = 0.05


@dataclass(frozen=True, slots=True)
class Precision:
    """Agreement over all readings of each fish.

    Attributes
    ----------
    n, readings : int
        Fish, and readings of each.
    ape, cv : float
        Mean over fish of the average percent error and of the coefficient of variation, per cent.
    ape_by_fish, cv_by_fish : ndarray, shape (fish,)
        The same fish by fish.
    all_agree : float
        Per cent of the fish of which all readings agree.
    """

    n: int
    readings: int
    ape: float
    cv: float
    ape_by_fish: Floats
    cv_by_fish: Floats
    all_agree: float


@dataclass(frozen=True, slots=True)
class AtAge:
    """Fish that reader A called one age: how reader B read them.

    ``lower`` and ``upper`` are the 95 % interval of B's mean, by Student's t; None where one fish
    or no spread sets none. ``exact`` and ``within_1`` are per cent.
    """

    age: int
    n: int
    mean: float
    lower: float | None
    upper: float | None
    exact: float
    within_1: float


@dataclass(frozen=True, slots=True)
class SymmetryTest:
    """Whether one reader is as often above the other as below.

    ``df`` is the number of comparisons; ``meaning`` says in a sentence what came of it.
    """

    name: str
    chi2: float
    df: int
    p: float
    meaning: str


@dataclass(frozen=True, slots=True)
class Agreement:
    """Two readers side by side.

    Attributes
    ----------
    n : int
        Fish read by both.
    exact, within_1 : float
        Per cent of the fish read alike, and no more than a year apart.
    ape, cv : float
        As in `Precision`, of the two readings.
    ages : tuple of int
        Ages of the table's rows and columns.
    table : ndarray of int, shape (ages, ages)
        Fish by age of reader A (rows) and reader B (columns).
    by_age : tuple of AtAge
        Reader B at each age of reader A.
    symmetry : tuple of SymmetryTest
        Pooled by difference first, then cell by cell, then all pooled.
    """

    n: int
    exact: float
    within_1: float
    ape: float
    cv: float
    ages: tuple[int, ...]
    table: Whole
    by_age: tuple[AtAge, ...]
    symmetry: tuple[SymmetryTest, ...]


def precision(readings: npt.ArrayLike) -> Precision:
    """Describe how far readings of the same fish lie apart [1]_, [2]_.

    Parameters
    ----------
    readings : array_like of int, shape (fish, readings)
        Ages in years, two readings or more of each fish.

    Returns
    -------
    Precision
        ``APE_j = 100 / R sum |x_ij - m_j| / m_j`` and ``CV_j = 100 sd_j / m_j`` with R - 1 in
        the sd; both 0 where all readings of a fish are 0.

    Raises
    ------
    ValueError
        If the readings are no table, or an age is not finite or beyond 0 to 300 years.
    CannotEstimate
        no_fish; one_reading, with one of each.

    References
    ----------
    .. [1] Beamish & Fournier (1981), Can. J. Fish. Aquat. Sci. 38:982-983.
    .. [2] Chang (1982), Can. J. Fish. Aquat. Sci. 39:1208-1210.

    Examples
    --------
    >>> from samples.science.agreement import precision
    >>> round(precision([[2, 2], [3, 4], [5, 5]]).cv, 2)
    6.73
    """
    ages = ages_in_years(readings, "readings", ndim=2)
    if ages.shape[0] == 0:
        raise CannotEstimate("no_fish", "No fish was read twice yet.")
    if ages.shape[1] < 2:
        raise CannotEstimate("one_reading", "Agreement needs at least two readings of each fish.")
    mean = ages.mean(axis=1)
    divisor = np.where(mean > 0, mean, 1.0)
    ape = 100 * np.abs(ages - mean[:, None]).mean(axis=1) / divisor
    cv = 100 * ages.std(axis=1, ddof=1) / divisor
    alike = (ages == ages[:, :1]).all(axis=1)
    return Precision(
        n=int(ages.shape[0]),
        readings=int(ages.shape[1]),
        ape=float(ape.mean()),
        cv=float(cv.mean()),
        ape_by_fish=ape,
        cv_by_fish=cv,
        all_agree=float(100 * alike.mean()),
    )


def agreement(
    reader_a: npt.ArrayLike, reader_b: npt.ArrayLike, *, names: Sequence[str] = ("A", "B")
) -> Agreement:
    """Compare two readers, or two methods, fish by fish.

    Parameters
    ----------
    reader_a, reader_b : array_like of int, shape (fish,)
        Ages in years of the same fish.
    names : sequence of str
        What the two are called in sentences.

    Returns
    -------
    Agreement

    Raises
    ------
    ValueError
        As `precision`; if an age is not whole, or the two differ in number.
    CannotEstimate
        As `precision`.

    Examples
    --------
    >>> from samples.science.agreement import agreement
    >>> found = agreement([1, 2, 2, 3, 4, 4], [1, 2, 3, 3, 4, 5])
    >>> round(found.exact, 1), found.within_1
    (66.7, 100.0)
    """
    one = whole(ages_in_years(reader_a, "reader_a"), "reader_a")
    other = whole(ages_in_years(reader_b, "reader_b"), "reader_b")
    alike(reader_a=one, reader_b=other)
    both = precision(np.column_stack([one, other]))
    first, last = int(min(one.min(), other.min())), int(max(one.max(), other.max()))
    ages = tuple(range(first, last + 1))
    table = np.zeros((len(ages), len(ages)), dtype=np.int64)
    np.add.at(table, (one - first, other - first), 1)
    return Agreement(
        n=both.n,
        exact=float(100 * np.mean(one == other)),
        within_1=float(100 * np.mean(np.abs(one - other) <= 1)),
        ape=both.ape,
        cv=both.cv,
        ages=ages,
        table=table,
        by_age=tuple(_at_age(int(age), other[one == age]) for age in np.unique(one)),
        symmetry=symmetry(table, names=names),
    )


def _at_age(age: int, read: Whole) -> AtAge:
    from scipy.stats import t as t_distribution

    n, mean = read.size, float(read.mean())
    lower = upper = None
    if n > 1:
        half = float(t_distribution.ppf(0.975, n - 1) * read.std(ddof=1) / np.sqrt(n))
        lower, upper = mean - half, mean + half
    return AtAge(
        age=age,
        n=int(n),
        mean=mean,
        lower=lower,
        upper=upper,
        exact=float(100 * np.mean(read == age)),
        within_1=float(100 * np.mean(np.abs(read - age) <= 1)),
    )


def symmetry(
    table: npt.ArrayLike, *, names: Sequence[str] = ("A", "B")
) -> tuple[SymmetryTest, ...]:
    """Test whether readers differ by chance alone, three ways [1]_, [2]_, [3]_.

    Parameters
    ----------
    table : array_like of int, shape (ages, ages)
        Fish by age of the first reader (rows) and of the second (columns).
    names : sequence of str
        What the two are called in sentences.

    Returns
    -------
    tuple of SymmetryTest
        Pooled by how many years they differ (fits readers best), cell by cell, and all pooled.
        Where they never differ, chi2 is 0, df 0 and p 1.

    Raises
    ------
    ValueError
        If the table is not square, or a count is negative or not whole.
    CannotEstimate
        no_fish.

    References
    ----------
    .. [1] Evans & Hoenig (1998), Biometrics 54:620-629.
    .. [2] Bowker (1948), J. Am. Stat. Assoc. 43:572-574.
    .. [3] McNemar (1947), Psychometrika 12:153-157.

    Examples
    --------
    >>> from samples.science.agreement import symmetry
    >>> pooled = symmetry([[5, 4, 0], [1, 6, 3], [0, 1, 7]])[0]
    >>> pooled.name, round(pooled.chi2, 2), pooled.df
    ('pooled by difference', 2.78, 1)
    """
    counts = not_negative(whole(table, "table", ndim=2), "table", ndim=2)
    if counts.shape[0] != counts.shape[1]:
        raise ValueError("table must have the same ages in rows and columns")
    if not counts.any():
        raise CannotEstimate("no_fish", "No fish was read twice yet.")
    rows, columns = np.triu_indices_from(counts, k=1)
    above, below = counts[rows, columns], counts[columns, rows]
    years = columns - rows
    by_years = [np.bincount(years, weights=side).astype(np.float64) for side in (above, below)]
    return (
        _test("pooled by difference", by_years[0], by_years[1], names=names),
        _test("cell by cell", above, below, names=names),
        _test("all pooled", np.array([above.sum()]), np.array([below.sum()]), names=names),
    )


def _test(name: str, above: Floats, below: Floats, *, names: Sequence[str]) -> SymmetryTest:
    from scipy.stats import chi2 as chi2_distribution

    differ = above + below > 0
    df = int(np.count_nonzero(differ))
    chi2 = float(((above - below)[differ] ** 2 / (above + below)[differ]).sum())
    p = float(chi2_distribution.sf(chi2, df)) if df else 1.0
    return SymmetryTest(name, chi2, df, p, _meaning(p, df, float((above - below).sum()), names))


def _meaning(p: float, df: int, more_above: float, names: Sequence[str]) -> str:
    if df == 0:
        return f"{names[0]} and {names[1]} read every fish alike."
    if p >= CLEAR:
        return f"{names[0]} and {names[1]} differ no more to one side than chance would have it."
    if more_above == 0:
        return (
            f"{names[0]} and {names[1]} differ more to one side at some ages, and back at others."
        )
    higher, lower = (names[1], names[0]) if more_above > 0 else (names[0], names[1])
    return f"{higher} reads older than {lower} more often than chance would have it."
