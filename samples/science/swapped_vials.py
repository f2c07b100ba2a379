"""Otoliths that do not go with the fish of their vial: what a length says of age and radius."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from samples.science.arguments import (
    Floats,
    Ints,
    ages_in_years,
    alike,
    finite,
    labels,
    not_negative,
    positive,
    share,
    whole,
)
from samples.science.errors import CannotEstimate

Mask = npt.NDArray[np.bool_]
Groups = Sequence[object] | npt.NDArray[Any]

CONFIDENCE = 0.999
FEWEST_FISH = 30
# Groups with fewer fish have no level of their own.
FEWEST_OF_GROUP = 15
# Rounds in which fish that do not fit are taken out of what the others say.
ROUNDS = 10
# A normal would let one odd fish outweigh a whole run. On simulated lakes whose lengths at age had
# heavy tails (t with 4 df), a normal called 1 run in 20 shifted that was not; t with 5 df none.
TAIL_DF = 5
BEYOND = 2
TINY = 1e-9
SMALLEST_SD = 1e-4


@dataclass(frozen=True, slots=True, eq=False)
class Regression:
    """A straight fit of fish that fit it, and how far each fish is from what the others say.

    Attributes
    ----------
    values : (terms,) float array
        Coefficients.
    sd : float
        Residual sd.
    off : (fish,) float array
        Studentized residuals, each from a fit without the fish itself.
    fits : (fish,) bool array
        Which lie within the prediction interval of the others.
    """

    values: Floats
    sd: float
    off: Floats
    fits: Mask


@dataclass(frozen=True, slots=True, eq=False)
class OtolithModel:
    """What the length of a fish says of its age and of the radius of its otolith.

    Attributes
    ----------
    groups : tuple
        Those with a level of their own, in order.
    oldest : int
        Ages 0 to this one have a share.
    age_shares : (ages,) float array
    by_age : Regression
        Log length on log age.
    by_radius : Regression or None
        Log radius on log length and log age; None of fewer than 30 measured otoliths.
    measured : (measured otoliths,) int array
        Places of the fish of ``by_radius``.
    """

    groups: tuple[object, ...]
    oldest: int
    age_shares: Floats
    by_age: Regression
    by_radius: Regression | None
    measured: Ints

    @property
    def age_fits(self) -> Mask:
        """Return which fish are as long as fish of their age are; shape (fish,)."""
        return self.by_age.fits

    @property
    def radius_fits(self) -> Mask:
        """Return which have an otolith as large as fish of their length and age have."""
        found = np.ones(self.by_age.fits.size, dtype=bool)
        if self.by_radius is not None:
            found[self.measured] = self.by_radius.fits
        return found

    def ages_of_length(
        self, length_mm: float, part: float, group: object
    ) -> tuple[int, int] | None:
        """Return the youngest and the oldest age seen that go with a length, by 99.9 %."""
        from scipy.special import stdtrit

        ages = np.arange(self.oldest - BEYOND + 1)
        off = np.abs(self._off_length(np.full(ages.size, length_mm), ages, part, [group]))
        df = int(self.by_age.fits.sum()) - self.by_age.values.size
        within = ages[off <= stdtrit(df, (1 + CONFIDENCE) / 2)]
        return (int(within[0]), int(within[-1])) if within.size else None

    def log_chance(
        self,
        ages: npt.ArrayLike,
        radii_um: npt.ArrayLike,
        *,
        lengths_mm: npt.ArrayLike,
        parts: npt.ArrayLike,
        groups: Groups,
    ) -> Floats:
        """Return log P(age, radius | length) of otoliths, were they of fish of these lengths.

        Ages are whole years; a radius of 0 was not measured and counts for nothing. ``parts`` are
        years from the birthday to the capture of the fish that the length is of.
        """
        years, radius = whole(ages, "ages"), not_negative(radii_um, "radii_um")
        length, part = positive(lengths_mm, "lengths_mm"), finite(parts, "parts")
        alike(ages=years, radii_um=radius, lengths_mm=length, parts=part)
        every = np.arange(self.oldest + 1)
        chances = np.log(self.age_shares) + np.column_stack(
            [
                _log_t(self._off_length(length, np.full(length.size, age), part, groups))
                for age in every
            ]
        )
        chances = chances - np.logaddexp.reduce(chances, axis=1, keepdims=True)
        found: Floats = chances[np.arange(years.size), np.clip(years, 0, self.oldest)]
        known = radius > 0
        if self.by_radius is None or not known.any():
            return found
        design = self._radius_design(length, years, part, groups)[known]
        off = (np.log(radius[known]) - design @ self.by_radius.values) / self.by_radius.sd
        found[known] += _log_t(off) - np.log(self.by_radius.sd)
        return found

    def _off_length(
        self, lengths: Floats, ages: Ints, part: Floats | float, groups: Groups
    ) -> Floats:
        design = _age_design(ages, np.broadcast_to(part, ages.shape), groups, self.groups)
        off: Floats = (np.log(lengths) - design @ self.by_age.values) / self.by_age.sd
        return off

    def _radius_design(self, lengths: Floats, ages: Ints, parts: Floats, groups: Groups) -> Floats:
        return _radius_design(lengths, ages, parts, groups, self.groups)


def fit_otolith_model(
    lengths_mm: npt.ArrayLike,
    ages: npt.ArrayLike,
    *,
    parts: npt.ArrayLike,
    radii_um: npt.ArrayLike,
    groups: npt.ArrayLike,
    confidence: float = CONFIDENCE,
) -> OtolithModel:
    """Learn from fish of one species what a length says of age and otolith [1]_, [2]_.

    Parameters
    ----------
    lengths_mm : array_like, shape (fish,)
        Total length, L, mm.
    ages : array_like of int, shape (fish,)
        Age, a, in whole years.
    parts : array_like, shape (fish,)
        Years from the birthday to the capture, within a year of 0; below 0 before it.
    radii_um : array_like, shape (fish,)
        Radius of the otolith at capture, R, micrometers; 0 where it was not measured.
    groups : array_like, shape (fish,)
        What grows alike, such as an arm. One with 15 fish or more has a level of its own.
    confidence : float
        Of the prediction intervals.

    Returns
    -------
    OtolithModel

    Raises
    ------
    ValueError
        If shapes differ, a length is not above zero, an age not whole or not from 0 to 300, a part
        not within a year of 0, a radius negative, or the confidence not between 0 and 1.
    CannotEstimate
        few_fish, with fewer than 30.

    Notes
    -----
    ``log L = b0 + b1 x + b2 x^2 + level of the group``, ``x = log(a + part + 1)``; and
    ``log R = c0 + c1 log L + c2 x + level``: slow growers have the larger otoliths at a length
    [2]_. Length is regressed on age and not age on length: where growth levels off, ages of one
    length spread without end. Each residual is studentized without the fish itself [1]_; fish
    beyond the prediction interval are taken out and the fit is made again, so that several odd
    fish do not hide each other.

    References
    ----------
    .. [1] Cook & Weisberg (1982), Residuals and Influence in Regression, Chapman & Hall.
    .. [2] Reznick, Lindbeck & Bryga (1989), Can. J. Fish. Aquat. Sci. 46:108-112.

    Examples
    --------
    >>> import numpy as np
    >>> from samples.science.swapped_vials import fit_otolith_model
    >>> ages = np.tile([1, 2, 3, 4], 10)
    >>> lengths = np.array([140.0, 200, 240, 265])[ages - 1] + np.tile(np.arange(-9, 11), 2)
    >>> ages[1] = 4  # a fish of 192 mm
    >>> none = np.zeros(40)
    >>> model = fit_otolith_model(lengths, ages, parts=none, radii_um=none, groups=none)
    >>> np.flatnonzero(~model.age_fits), model.ages_of_length(192.0, 0.0, 0.0)
    (array([1]), (2, 2))
    """
    share(confidence, "confidence")
    length, years = positive(lengths_mm, "lengths_mm"), whole(ages_in_years(ages), "ages")
    part, radius = finite(parts, "parts"), not_negative(radii_um, "radii_um")
    alike(lengths_mm=length, ages=years, parts=part, radii_um=radius)
    owner = labels(groups, "groups", size=length.size)
    if (np.abs(part) > 1).any():
        raise ValueError("parts must lie within a year of 0")
    if length.size < FEWEST_FISH:
        raise CannotEstimate(
            "few_fish",
            f"Lengths say what ages to expect from {FEWEST_FISH} aged fish on; here are "
            f"{length.size}.",
        )
    names, counts = np.unique(owner, return_counts=True)
    # The first group is the base that the levels of the others stand against.
    own = tuple(names[counts >= FEWEST_OF_GROUP].tolist()[1:])
    by_age = _regress(np.log(length), _age_design(years, part, owner, own), confidence)
    measured = np.flatnonzero(radius > 0)
    by_radius = None
    if measured.size >= FEWEST_FISH:
        design = _radius_design(length, years, part, owner, own)[measured]
        by_radius = _regress(np.log(radius[measured]), design, confidence)
    oldest = int(years.max()) + BEYOND
    seen = np.bincount(years[by_age.fits], minlength=oldest + 1) + 0.5
    return OtolithModel(own, oldest, seen / seen.sum(), by_age, by_radius, measured)


def _age_design(ages: Ints, parts: Floats, groups: Groups, own: tuple[object, ...]) -> Floats:
    grown = _log_age(ages, parts)
    levels = _levels(groups, own, ages.size)
    return np.column_stack([np.ones(ages.size), grown, grown**2, *levels])


def _radius_design(
    lengths: Floats, ages: Ints, parts: Floats, groups: Groups, own: tuple[object, ...]
) -> Floats:
    levels = _levels(groups, own, ages.size)
    return np.column_stack([np.ones(ages.size), np.log(lengths), _log_age(ages, parts), *levels])


def _log_age(ages: Ints, parts: Floats) -> Floats:
    found: Floats = np.log1p(np.maximum(ages + parts, 0.0))
    return found


def _levels(groups: Groups, own: tuple[object, ...], size: int) -> list[Floats]:
    named = np.broadcast_to(np.asarray(groups), (size,))
    return [(named == one).astype(np.float64) for one in own]


def _regress(values: Floats, design: Floats, confidence: float) -> Regression:
    """Fit the fish that fit, and set every fish against what the others say."""
    from scipy.special import stdtrit

    used = np.ones(values.size, dtype=bool)
    for _ in range(ROUNDS):
        left, sizes, turned = np.linalg.svd(design[used], full_matrices=False)
        kept = sizes > TINY * sizes[0]
        to_values = turned[kept].T / sizes[kept]
        found = to_values @ (left[:, kept].T @ values[used])
        leverage = ((design @ to_values) ** 2).sum(axis=1)
        residual = values - design @ found
        df = int(used.sum()) - int(kept.sum())
        squares = float((residual[used] ** 2).sum())
        without = (squares - residual**2 / np.maximum(1 - leverage, TINY)) / max(df - 1, 1)
        inside = np.sqrt(np.maximum(without, SMALLEST_SD**2) * np.maximum(1 - leverage, TINY))
        sd = max(float(np.sqrt(squares / max(df, 1))), SMALLEST_SD)
        off = residual / np.where(used, inside, sd * np.sqrt(1 + leverage))
        fits = np.abs(off) <= stdtrit(max(df - 1, 1), (1 + confidence) / 2)
        # Of fish that mostly do not fit, what is left says nothing of the others.
        if (fits == used).all() or fits.sum() * 2 < values.size:
            break
        used = fits
    return Regression(found, sd, off, fits)


def _log_t(off: Floats) -> Floats:
    """Return the log density of Student's t with 5 df and an sd of 1."""
    from scipy.special import gammaln

    scale = np.sqrt((TAIL_DF - 2) / TAIL_DF)
    front = gammaln((TAIL_DF + 1) / 2) - gammaln(TAIL_DF / 2)
    front = front - np.log(TAIL_DF * np.pi) / 2 - np.log(scale)
    found: Floats = front - (TAIL_DF + 1) / 2 * np.log1p((off / scale) ** 2 / TAIL_DF)
    return found
