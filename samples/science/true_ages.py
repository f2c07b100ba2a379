"""True ages of single fish, drawn back from what was read and how long the fish was."""

import numpy as np
import numpy.typing as npt

from samples.science.arguments import (
    Floats,
    Ints,
    alike,
    at_least,
    labels,
    not_negative,
    positive,
)
from samples.science.errors import CannotEstimate

# Few hold the shares near those of a smooth start; many fit the chance in a sample. On simulated
# lakes of 150 and 400 fish and a CV of 12 %, shares of ages were nearest the truth after about 10.
STEPS = 10
# Length grows with age less and less: its logarithm is a parabola over that of age.
MOST_TERMS = 3
SMALLEST_SD = 1e-3
# Fish that a class or group borrows from all. On simulated lakes of five arms and a CV of 11 %, the
# error of a share in an arm of 16 fish was 0.037 as read, 0.037 by none borrowed, 0.031 by ten.
BORROWED = 10.0
GOLDEN = (np.sqrt(5) - 1) / 2


def true_age_chances(
    read_given_true: npt.ArrayLike,
    lengths_mm: npt.ArrayLike,
    *,
    classes: npt.ArrayLike | None = None,
    groups: npt.ArrayLike | None = None,
    weights: npt.ArrayLike | None = None,
    steps: int = STEPS,
) -> Floats:
    """Return the chance of each true age of each fish, by what was read and its length [1]_, [2]_.

    Parameters
    ----------
    read_given_true : array_like, shape (fish, ages)
        q(x | a): the chance of what was read of a fish, x, if its true age were a = 0, 1, ...
        years. A column of `reading_shares`, or of `agreed_shares` for an age that two agreed on.
    lengths_mm : array_like, shape (fish,)
        Total length, L, mm.
    classes : array_like, shape (fish,), optional
        What fish of one mixture of ages have in common, such as arm and season. All are of one
        unless given.
    groups : array_like, shape (fish,), optional
        What grows alike, such as an arm. All are of one unless given.
    weights : array_like, shape (fish,), optional
        Measured fish that each aged one stands for; 1 unless given.
    steps : int
        Steps of EM.

    Returns
    -------
    ndarray, shape (fish, ages)
        P(a | x, L); rows sum to 1.

    Raises
    ------
    ValueError
        If shapes differ, a chance or weight is negative or not finite, a length not above zero, or
        steps is below 1.
    CannotEstimate
        no_fish; no_such_reading, of a fish that no true age lets be read so.

    Notes
    -----
    ``P(a | x, L)`` is in proportion to ``q(x | a) pi(a | L)``, with ``pi(a | L)`` in proportion to
    ``pi_a f(L | a)``: shares of ages pi by class, and f lognormal about a mean that is a parabola
    of log length over log(a + 1) and a level of the group, with one sd. Both are estimated with
    the chances, by EM; classes and groups of few fish borrow from all, as if they had 10 fish like
    those of all, so that chance in a few readings does not make an age vanish. Ages as
    read hold the error already: more of it is never added. Without fish of known age this is
    precision alone, and a mistake that all readers share stays.

    References
    ----------
    .. [1] Richards, Schnute, Kronlund & Beamish (1992), Can. J. Fish. Aquat. Sci. 49:1801-1815.
    .. [2] Dempster, Laird & Rubin (1977), J. R. Stat. Soc. B 39:1-38, for EM.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.ageing_error import reading_shares
    >>> from samples.science.true_ages import true_age_chances
    >>> ages = np.repeat([1, 2, 3, 4], 50)
    >>> lengths = 90.0 + 50 * ages + np.tile(np.arange(-24, 26), 4)
    >>> read = ages.copy()
    >>> read[50] = 3  # a fish of 166 mm; those of age 3 are 216 mm and longer
    >>> chances = true_age_chances(reading_shares(0.15, 5)[:, read].T, lengths)
    >>> chances[[50, 60, 100], 1:5].round(2)
    array([[0.  , 1.  , 0.  , 0.  ],
           [0.  , 1.  , 0.  , 0.  ],
           [0.  , 0.04, 0.96, 0.  ]])
    """
    at_least(steps, 1, "steps")
    likely = not_negative(read_given_true, "read_given_true", ndim=2)
    length = positive(lengths_mm, "lengths_mm")
    weight = np.ones(length.size) if weights is None else not_negative(weights, "weights")
    alike(lengths_mm=length, weights=weight, read_given_true=likely[:, 0])
    of_class, of_group = (
        _places(owner, name, length.size)
        for owner, name in ((classes, "classes"), (groups, "groups"))
    )
    if not length.size or not weight.sum():
        raise CannotEstimate("no_fish", "True ages need at least one aged fish.")
    if not likely.sum(axis=1).all():
        raise CannotEstimate("no_such_reading", "An age was read that no true age explains.")
    weight = weight * length.size / weight.sum()
    likely = likely / likely.max(axis=1, keepdims=True)
    chances: Floats = likely / likely.sum(axis=1, keepdims=True)
    log_length, levels = np.log(length), np.zeros(int(of_group.max()) + 1)
    for _ in range(int(steps)):
        weighted = chances * weight[:, None]
        shares = _shares(weighted, of_class)
        mean, sd = _length_at_age(weighted, log_length - levels[of_group])
        above = (log_length - levels[of_group])[:, None] - mean
        off = (above / sd) ** 2 / 2
        levels += _sums((weighted * above).sum(axis=1), of_group) / (
            _sums(weighted.sum(axis=1), of_group) + BORROWED
        )
        prior = shares[of_class] * np.exp(off.min(axis=1, keepdims=True) - off)
        joint = likely * np.maximum(prior, 1e-300)
        chances = joint / joint.sum(axis=1, keepdims=True)
    return chances


def _places(owner: npt.ArrayLike | None, name: str, size: int) -> Ints:
    """Return the place of what each fish belongs to; all are of one where nothing is said."""
    if owner is None:
        return np.zeros(size, dtype=np.int64)
    return np.asarray(np.unique(labels(owner, name, size=size), return_inverse=True)[1])


def _sums(values: Floats, owner: Ints) -> Floats:
    """Return the sums of what belongs together, along the first axis."""
    sums = np.zeros((int(owner.max()) + 1, *values.shape[1:]))
    np.add.at(sums, owner, values)
    return sums


def _shares(weighted: Floats, of_class: Ints) -> Floats:
    """Return the shares of ages of each class; shape (classes, ages)."""
    of_all = weighted.sum(axis=0)
    sums = _sums(weighted, of_class) + BORROWED * of_all / of_all.sum()
    shares: Floats = sums / sums.sum(axis=1, keepdims=True)
    return shares


def _length_at_age(weighted: Floats, log_length: Floats) -> tuple[Floats, float]:
    """Return the mean of log length at each age, never falling, and the sd about it."""
    of_age = weighted.sum(axis=0)
    means = log_length @ weighted / np.maximum(of_age, 1e-300)
    terms = min(MOST_TERMS, int(np.count_nonzero(of_age > 1e-6 * of_age.sum())))
    design = np.vander(np.log(np.arange(of_age.size) + 1.0), terms)
    root = np.sqrt(of_age)
    values = np.linalg.lstsq(design * root[:, None], means * root, rcond=None)[0]
    mean = np.maximum.accumulate(design @ values)
    squares = (weighted * (log_length[:, None] - mean) ** 2).sum()
    return mean, max(float(np.sqrt(squares / of_age.sum())), SMALLEST_SD)


def draw_true_ages(chances: npt.ArrayLike, rng: np.random.Generator) -> Ints:
    """Draw one true age for each fish, with as many fish of each age as the chances say.

    Parameters
    ----------
    chances : array_like, shape (fish, ages)
        `true_age_chances`. Fish that are alike in age and length should follow each other.
    rng : numpy.random.Generator

    Returns
    -------
    ndarray of int, shape (fish,)
        Whole years.

    Raises
    ------
    ValueError
        If a chance is negative or not finite, or a row does not sum to 1.

    Notes
    -----
    The points at which the sums of the chances are cut follow each other by the golden section
    [1]_: neighbors get points far apart, so that the numbers at age differ from the sums of the
    chances by far less than those of points drawn one by one would.

    References
    ----------
    .. [1] Niederreiter (1992), Random Number Generation and Quasi-Monte Carlo Methods, SIAM.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.true_ages import draw_true_ages
    >>> chances = np.tile([0.0, 0.25, 0.75], (8, 1))
    >>> np.bincount(draw_true_ages(chances, np.random.default_rng(1)))
    array([0, 2, 6])
    """
    each = not_negative(chances, "chances", ndim=2)
    if not np.allclose(each.sum(axis=1), 1):
        raise ValueError("chances must sum to 1 for each fish")
    points = (rng.random() + GOLDEN * np.arange(each.shape[0])) % 1
    passed = np.cumsum(each, axis=1)[:, :-1] <= points[:, None]
    return np.asarray(passed.sum(axis=1), dtype=np.int64)
