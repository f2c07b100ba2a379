"""Growth of groups of fish, fitted together: their curves, draws, and which fish are in them."""

from dataclasses import dataclass

import numpy as np

from samples.findings.sample import KEPT_BY_ANGLERS, Sample
from samples.findings.topics.study import FishGroup, Study
from samples.science.errors import CannotEstimate
from samples.science.growth.cells import mean_lengths
from samples.science.growth.fit import FEWEST_FISH, Curve, checked, fit_curve
from samples.science.growth.likelihood import FormFit, fit_form
from samples.science.growth.resample import Draws
from samples.science.growth.summaries import Spread, SpreadModel, spread_about
from samples.science.growth.year_effects import DrawnCurve, YearEffects, fit_year_effects

DRAWS = 2_000
# Anglers' fish show growth from the length below which a twentieth of what they keep lies.
KEPT_SHARE = 0.05
FEWEST_KEPT = 20


@dataclass(frozen=True, slots=True, eq=False)
class Grown:
    """One group's fish with a curve.

    Attributes
    ----------
    measured : Sample
        All its fish.
    sample : Sample
        The aged ones that the curve stands on, with ``weights``.
    kept_from_mm : float or None
        Length from which anglers keep fish; the fish of theirs below it are not in the curve.
    kept_mm : (fish,) float array
        The same for each fish of the sample; 0 where fish of every length were caught.
    clock : (fish,) float array
        Average years of growth behind each fish of the sample.
    average, recent : DrawnCurve
        In a growth year without effect, and at the mean growth of recent years.
    effects : YearEffects
        Of all groups that were fitted together.
    fishing : float or None
        F at which the fish that anglers took are counted in; None where they are not.
    """

    name: str
    measured: Sample
    sample: Sample
    weights: np.ndarray
    kept_from_mm: float | None
    kept_mm: np.ndarray
    clock: np.ndarray
    average: DrawnCurve
    recent: DrawnCurve
    effects: YearEffects
    spread: Spread
    fishing: float | None = None

    @property
    def curve(self) -> Curve:
        return self.average.curve

    @property
    def draws(self) -> Draws:
        return self.average.draws

    @property
    def oldest_time(self) -> float:
        """Return the clock of the oldest fish: beyond it nothing is told."""
        return float(self.sample.clock.max())

    @property
    def youngest_time(self) -> float:
        """Return the clock of the youngest fish: before it nothing is told."""
        return float(self.sample.clock.min())

    @property
    def short_left_out(self) -> int:
        """Count the aged fish that anglers kept below the length from which they keep them."""
        dated = np.isfinite(self.measured.clock) & self.measured.aged
        return int(np.count_nonzero(dated)) - self.sample.n


@dataclass(frozen=True, slots=True, eq=False)
class Usable:
    """The fish of a group that a curve may stand on."""

    group: FishGroup
    sample: Sample
    weights: np.ndarray
    kept_from_mm: float | None
    kept_mm: np.ndarray


def weights_of(study: Study, sample: Sample) -> np.ndarray:
    """Return for each aged fish the measured fish of its bin over the aged ones: shape (aged,)."""
    bins = study.bin_of(sample)
    size = int(bins.max(initial=0)) + 1
    measured = np.bincount(bins[sample.of_sample], minlength=size)
    own = bins[sample.aged]
    aged = np.bincount(own, minlength=size)
    # A picked fish longer than any measured at random still is one fish.
    return np.asarray(np.maximum(measured[own], 1) / aged[own], dtype=np.float64)


def kept_from(sample: Sample) -> float | None:
    """Return the length at which anglers begin to keep fish, mm:
    a twentieth of theirs is shorter.
    """
    of_anglers = _by_anglers(sample) & sample.of_sample
    if np.count_nonzero(of_anglers) < FEWEST_KEPT:
        return None
    return float(np.quantile(sample.length_mm[of_anglers], KEPT_SHARE))


def _by_anglers(sample: Sample) -> np.ndarray:
    return np.array([method in KEPT_BY_ANGLERS for method in sample.method], dtype=bool)


def curve_of(study: Study, sample: Sample) -> tuple[Curve, Spread, float | None]:
    """Fit the curve of one group's aged fish without its draws.

    :raises CannotEstimate: where they carry none
    """
    usable = np.isfinite(sample.clock) & sample.aged
    weights = np.zeros(sample.n)
    weights[sample.aged] = weights_of(study, sample)
    aged, weight = sample.where(usable), weights[usable]
    curve = fit_curve(aged.clock, aged.length_mm, weights=weight).curve
    return curve, spread_about(curve, aged.clock, aged.length_mm, weight), kept_from(sample)


def usable_of(study: Study, group: FishGroup) -> Usable:
    """Return the fish of a group that a curve may stand on.

    :raises CannotEstimate: where they are too few
    """
    sample = group.sample
    dated = np.isfinite(sample.clock) & sample.aged
    undated = int(np.count_nonzero(sample.aged & ~dated))
    if np.count_nonzero(dated) < FEWEST_FISH <= np.count_nonzero(dated) + undated:
        raise CannotEstimate(
            "no_dates",
            f"{undated} aged fish have no catch date, so growth within the year is unknown. Enter "
            "their dates.",
        )
    weights = np.zeros(sample.n)
    weights[sample.aged] = weights_of(study, sample)
    start = kept_from(sample)
    kept = np.where(_by_anglers(sample), start or 0.0, 0.0)
    used = dated & (sample.length_mm >= kept)
    checked(sample.clock[used], sample.length_mm[used], None)
    return Usable(group, sample.where(used), weights[used], start, kept[used])


def grow_groups(
    study: Study, groups: list[FishGroup], *, draws: int = DRAWS
) -> tuple[list[Grown], dict[str, CannotEstimate]]:
    """Fit the growth of all groups together; give also why some have no curve, by name.

    Species are fitted apart: they do not share good and bad years.
    """
    usable, refused = [], {}
    for group in groups:
        try:
            usable.append(usable_of(study, group))
        except CannotEstimate as problem:
            refused[group.name] = problem
    grown: list[Grown] = []
    for species in dict.fromkeys(one.group.species for one in usable):
        together = [one for one in usable if one.group.species == species]
        try:
            grown += _fitted(study, together, draws)
        except CannotEstimate as problem:
            refused |= {one.group.name: problem for one in together}
    return grown, refused


def grow_alone(study: Study, group: FishGroup) -> Grown:
    """Fit the growth of one group by itself.

    :raises CannotEstimate: where its fish carry no curve
    """
    grown, refused = grow_groups(study, [group])
    for problem in refused.values():
        raise problem
    return grown[0]


def _fitted(study: Study, together: list[Usable], draws: int) -> list[Grown]:
    samples = [one.sample for one in together]
    group = np.repeat(np.arange(len(together)), [one.n for one in samples])
    columns = {
        name: np.concatenate([getattr(one, name) for one in samples])
        for name in ("clock", "age", "length_mm", "party")
    }
    kept = np.concatenate([one.kept_mm for one in together])
    weights = np.concatenate([one.weights for one in together])
    year = np.concatenate([_years_of(study, one) for one in samples])
    part = np.clip(columns["clock"] - columns["age"], 0.0, 1.0)
    first = fit_form(columns["clock"], columns["length_mm"], weights=weights, kept_from_mm=kept)
    cells = mean_lengths(
        [_first_of(one, first) for one in together],
        group=group,
        year=year,
        age=columns["age"],
        part=part,
        lengths_mm=columns["length_mm"],
        trips=columns["party"],
        weights=weights,
        kept_from_mm=kept,
    )
    found = fit_year_effects(cells, first.curve, rng=study.rng, draws=draws)
    clock = found.clock_of(year, columns["age"], part)
    return [
        Grown(
            name=one.group.name,
            measured=one.group.sample,
            sample=one.sample,
            weights=one.weights,
            kept_from_mm=one.kept_from_mm,
            kept_mm=one.kept_mm,
            clock=clock[group == place],
            average=found.average[place],
            recent=found.recent[place],
            effects=found,
            spread=_spread(one, float(cells.cv[cells.group == place][0])),
        )
        for place, one in enumerate(together)
    ]


def _first_of(one: Usable, of_all: FormFit) -> FormFit:
    """Fit a group's own curve; that of all groups where its fish carry none."""
    sample = one.sample
    try:
        return fit_form(
            sample.clock, sample.length_mm, weights=one.weights, kept_from_mm=one.kept_mm
        )
    except CannotEstimate:
        return of_all


def _spread(one: Usable, cv: float) -> Spread:
    mean = float(np.average(one.sample.length_mm, weights=one.weights))
    return Spread(SpreadModel.IN_PROPORTION, cv * mean, cv)


def _years_of(study: Study, sample: Sample) -> np.ndarray:
    """Return the calendar year of capture of each fish; without a date, that of its season."""
    return np.array(
        [
            year if year > 0 else study.first_years[season]
            for year, season in zip(sample.year.tolist(), sample.season.tolist(), strict=True)
        ],
        dtype=np.int64,
    )
