"""Runs of neighboring vials whose otoliths fit the fish one number later, or earlier."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import Floats, alike, finite, share

FALSE_ALARMS = 0.001
# Two swapped vials are better off by one, too: a run has more with a gain than they and a neighbor,
# and gains something without its two best. More would cost shifted runs: of 29 trips of the
# invented reservoir, moved by one from the fourth vial on, 22 are told with 1, and 16 with 3.
FEWEST_OF_RUN, GAIN_OF_REST = 4, 1.0


@dataclass(frozen=True, slots=True)
class Shift:
    """A stretch of vials whose otoliths fit the fish of the next number, or the one before.

    Attributes
    ----------
    by : int
        1: each otolith is that of the fish logged one number later; -1: one number earlier.
    first, last : int
        Places of the stretch in its run.
    gain, needed : float
        Log of how much better it fits, and above which it is told.
    """

    by: int
    first: int
    last: int
    gain: float
    needed: float


def find_shift(
    later: npt.ArrayLike, earlier: npt.ArrayLike, *, false_alarms: float = FALSE_ALARMS
) -> Shift | None:
    """Find the stretch of a run of neighboring vials that a shift by one explains best.

    Parameters
    ----------
    later, earlier : array_like, shape (vials,)
        For each vial in order of number, log P(age, radius | length) with the length of the fish
        logged one number later, or earlier, less that with its own; 0 where either is not known.
    false_alarms : float
        Share of runs in order that may be told for shifted.

    Returns
    -------
    Shift or None
        None where no shift fits clearly better, or only two vials make it so: those were swapped.

    Raises
    ------
    ValueError
        If shapes differ, a gain is not finite, or the share is not between 0 and 1.

    Notes
    -----
    Where vials are in order, the exponential of the sum of gains from a given vial on has a mean of
    1, however far it goes: it passes exp(h) anywhere with a chance of exp(-h) at most (Ville's
    inequality [1]_). A stretch may begin at any of the n vials with a gain, in two ways: it is told
    above ``h = log(2 n / false alarms)``.

    References
    ----------
    .. [1] Ville (1939), Etude critique de la notion de collectif, Gauthier-Villars.

    Examples
    --------
    >>> from samples.science.shifted_runs import find_shift
    >>> find_shift([0.5, -1.0, 4.0, 3.5, 5.0, 2.0], [-3.0, -2, -4, -3, -5, 0])
    Shift(by=1, first=2, last=5, gain=14.5, needed=9.392661928770137)
    """
    share(false_alarms, "false_alarms")
    gains = {1: finite(later, "later"), -1: finite(earlier, "earlier")}
    alike(later=gains[1], earlier=gains[-1])
    known = int(np.count_nonzero((gains[1] != 0) | (gains[-1] != 0)))
    if not known:
        return None
    needed = float(np.log(2 * known / false_alarms))
    best = max((_best_stretch(row, by, needed) for by, row in gains.items()), key=_gain_of)
    return best if best.gain > needed and _is_run(gains[best.by], best) else None


def _gain_of(shift: Shift) -> float:
    return shift.gain


def _best_stretch(gains: Floats, by: int, needed: float) -> Shift:
    """Return the stretch with the largest sum; each begins where the sum before fell below 0."""
    best, start, total = Shift(by, 0, 0, 0.0, needed), 0, 0.0
    for place, gain in enumerate(gains.tolist()):
        if total <= 0:
            start, total = place, 0.0
        total += gain
        if total > best.gain:
            best = Shift(by, start, place, total, needed)
    return best


def _is_run(gains: Floats, shift: Shift) -> bool:
    """Return whether more than two vials speak for a shift."""
    stretch = gains[shift.first : shift.last + 1]
    rest = np.sort(stretch[stretch != 0])[:-2]
    return rest.size + 2 >= FEWEST_OF_RUN and float(rest.sum()) > GAIN_OF_REST
