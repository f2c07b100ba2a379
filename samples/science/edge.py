"""Edge analysis: when in the year a new annulus shows at the edge of an otolith."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from samples.science.arguments import alike, whole
from samples.science.errors import CannotEstimate
from samples.science.size_structure import wilson

CODES = (1, 2, 3, 4)
MONTHS = 12
# Annuli form in months in which clearly more otoliths than this have one at the edge.
FORMING_SHARE = 0.1


@dataclass(frozen=True, slots=True)
class EdgeOfMonth:
    """Otoliths of one month by the code of their margin, 1 at the edge to 4 nearly complete.

    Attributes
    ----------
    month : int
        1 to 12.
    counts : tuple of int
        Otoliths of each code.
    share, lower, upper : float
        Share with an annulus at the edge (code 1), with its 95 % interval by Wilson.
    """

    month: int
    counts: tuple[int, int, int, int]
    share: float
    lower: float
    upper: float

    @property
    def n(self) -> int:
        return sum(self.counts)


@dataclass(frozen=True, slots=True)
class FormationWindow:
    """Months in which annuli form, as far as margins show them.

    Attributes
    ----------
    first, last : int
        Months, 1 to 12; the first may come after the last, across New Year.
    missing : tuple of int
        Months beside the window with too few otoliths to tell whether annuli form in them too.
    """

    first: int
    last: int
    missing: tuple[int, ...]


def edge_by_month(months: Sequence[int], codes: Sequence[int]) -> list[EdgeOfMonth]:
    """Count the margins of each month of capture [1]_.

    Parameters
    ----------
    months : sequence of int, shape (otoliths,)
        Month of capture, 1 to 12.
    codes : sequence of int, shape (otoliths,)
        Code of the margin, 1 to 4.

    Returns
    -------
    list of EdgeOfMonth
        Months with otoliths, in order.

    Raises
    ------
    ValueError
        If shapes differ, a month is not 1 to 12, or a code not 1 to 4.
    CannotEstimate
        no_margins, without an otolith.

    References
    ----------
    .. [1] Campana (2001), J. Fish Biol. 59:197-242, for edge analysis and what it cannot tell.

    Examples
    --------
    >>> from samples.science.edge import edge_by_month
    >>> edge_by_month([4, 4, 5], [4, 1, 1])[0].counts
    (1, 0, 0, 1)
    """
    when, code = whole(months, "months"), whole(codes, "codes")
    alike(months=when, codes=code)
    if not when.size:
        raise CannotEstimate("no_margins", "No margin of these fish was read.")
    if not ((when >= 1) & (when <= MONTHS)).all():
        raise ValueError("months must be 1 to 12")
    if not np.isin(code, CODES).all():
        raise ValueError("codes must be 1 to 4")
    found = []
    for month in np.unique(when).tolist():
        one, two, three, four = (
            int(np.count_nonzero((when == month) & (code == kind))) for kind in CODES
        )
        total = one + two + three + four
        lower, upper = wilson(one, total)
        found.append(EdgeOfMonth(month, (one, two, three, four), one / total, lower, upper))
    return found


def month_of_formation(found: Sequence[EdgeOfMonth], *, fewest: int) -> int | None:
    """Return the month in which annuli form: where a new one is clearly the commonest.

    Parameters
    ----------
    found : sequence of EdgeOfMonth
    fewest : int
        Otoliths that a month needs to be told of.

    Returns
    -------
    int or None
        None where fewer than two months have enough, or where the month with the largest share
        does not stand above all others that do not adjoin it.

    Examples
    --------
    >>> from samples.science.edge import edge_by_month, month_of_formation
    >>> months = [4] * 20 + [6] * 20 + [9] * 20
    >>> codes = [4] * 18 + [1] * 2 + [1] * 17 + [2] * 3 + [2] * 20
    >>> month_of_formation(edge_by_month(months, codes), fewest=15)
    6
    """
    told = [one for one in found if one.n >= fewest]
    if len(told) < 2:
        return None
    best = max(told, key=lambda one: one.share)
    apart = [one for one in told if (one.month - best.month) % MONTHS not in (0, 1, MONTHS - 1)]
    if not apart or any(one.share >= best.lower for one in apart):
        return None
    return best.month


def formation_window(found: Sequence[EdgeOfMonth], *, fewest: int) -> FormationWindow | None:
    """Return the months about that of formation in which annuli form too.

    Parameters
    ----------
    found : sequence of EdgeOfMonth
    fewest : int
        Otoliths that a month needs to be told of.

    Returns
    -------
    FormationWindow or None
        None where no month of formation stands out, or where annuli seem to form all year.

    Notes
    -----
    From the month of `month_of_formation` on, both ways, months join while the lower end of the
    interval of the share with an annulus at the edge lies above a tenth: ours, no source. The
    window ends where a month with enough otoliths shows no such share.

    Examples
    --------
    >>> from samples.science.edge import edge_by_month, formation_window
    >>> months = [4] * 20 + [5] * 20 + [6] * 20 + [7] * 20 + [9] * 20
    >>> codes = [4] * 20 + [1] * 17 + [4] * 3 + [1] * 8 + [2] * 12 + [2] * 40
    >>> formation_window(edge_by_month(months, codes), fewest=15)
    FormationWindow(first=5, last=6, missing=())
    """
    best = month_of_formation(found, fewest=fewest)
    if best is None:
        return None
    told = {one.month: one for one in found if one.n >= fewest}
    forming = {month for month, one in told.items() if one.lower > FORMING_SHARE} | {best}
    ends = {}
    for step in (-1, 1):
        end = best
        while (beyond := (end - 1 + step) % MONTHS + 1) in forming:
            if beyond == best:
                return None
            end = beyond
        ends[step] = (end, beyond)
    missing = tuple(sorted({beyond for _, beyond in ends.values() if beyond not in told}))
    return FormationWindow(ends[-1][0], ends[1][0], missing)
