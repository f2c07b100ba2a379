"""Numbers at age of each season and way of capture, from the first fully recruited age on."""

from dataclasses import dataclass

import numpy as np

from samples.findings.sample import KEPT_BY_ANGLERS, Sample
from samples.findings.topics.age_structures import as_classes, structure_of
from samples.findings.topics.grown import curve_of
from samples.findings.topics.study import Study
from samples.science.age_length_key import AgeStructure
from samples.science.catch_at_age import CatchAtAge
from samples.science.errors import CannotEstimate
from samples.science.year_class_model import effective_number

ANGLERS, NETS = "anglers", "nets and others"
FULLY_KEPT = 0.95
# Ages past the oldest fish that stay in with 0 fish: to stop at the oldest makes Z too low.
AGES_BEYOND = 3


@dataclass(frozen=True, slots=True, eq=False)
class SeasonCatch:
    """Fish of one season and one way of capture, with the ages of all that were measured.

    Attributes
    ----------
    season_year : int
    capture : str
        "anglers" or "nets and others".
    first_age : int
        First fully recruited age.
    structure : AgeStructure
        Of all ages.
    drawn : (draws, ages) float array
        Numbers at age of each resample.
    n : float
        Measured fish of recruited ages, expanded by the key.
    aged : int
        Aged fish of recruited ages.
    effective : float
        Independently aged fish that would know the shares as well.
    trips : int
    kept : float array
        Share of each recruited age that is long enough to be kept.
    """

    season_year: int
    capture: str
    first_age: int
    structure: AgeStructure
    drawn: np.ndarray
    n: float
    aged: int
    effective: float
    trips: int
    kept: np.ndarray

    def as_series(self, last_age: int, group: int = 0) -> CatchAtAge:
        """Return numbers at age up to the last age, 0 where none were caught."""
        ages = np.arange(self.first_age, last_age + 1)
        numbers = np.zeros(ages.size)
        recruited = self.structure.ages >= self.first_age
        places = self.structure.ages[recruited] - self.first_age
        found = self.structure.numbers[recruited]
        numbers[places] = found * self.effective / found.sum()
        kept = np.ones(ages.size)
        kept[: self.kept.size] = self.kept[: ages.size]
        return CatchAtAge(self.season_year, ages, numbers, kept, self.aged, group)


def catches_of(study: Study, sample: Sample) -> list[SeasonCatch]:
    """Return the catch at age of every season, anglers and nets apart.

    :raises CannotEstimate: where no season has a key; of several, those without are left out
    """
    found, problem = [], CannotEstimate("no_fish", "No aged fish in this choice yet.")
    rng = study.rng
    for kind, of_kind in _kinds(sample):
        structures = []
        for season in np.unique(of_kind.season):
            of_season = as_classes(of_kind.where(of_kind.season == season))
            try:
                _, structure, drawn = structure_of(
                    of_season, lower_edges=study.lower_edges, rng=rng
                )
            except CannotEstimate as one:
                problem = one
                continue
            structures.append((of_season, structure, drawn.numbers))
        if structures:
            first = _first_age(study, sample, kind, [one[1] for one in structures])
            caught = [_caught(study, kind, first, *one) for one in structures]
            found += [one for one in caught if one is not None]
    if not found:
        raise problem
    return found


def series_of(*groups: list[SeasonCatch]) -> list[CatchAtAge]:
    """Return the numbers at age that a model takes, all up to a few ages past the oldest fish.

    Each group of catches dies at a rate of its own; year classes are those of all.
    """
    every = [one for group in groups for one in group]
    last = max(int(one.structure.ages[one.structure.numbers > 0].max()) for one in every)
    return [
        one.as_series(last + AGES_BEYOND, place)
        for place, group in enumerate(groups)
        for one in group
    ]


def year_of(study: Study, sample: Sample) -> int:
    """Return the calendar year that classes of a season are counted from."""
    dated = sample.year[sample.year > 0]
    if dated.size:
        return int(dated.min())
    return study.first_years[int(sample.season[0])]


def _kinds(sample: Sample) -> list[tuple[str, Sample]]:
    anglers = np.array([method in KEPT_BY_ANGLERS for method in sample.method], dtype=bool)
    parts = ((ANGLERS, sample.where(anglers)), (NETS, sample.where(~anglers)))
    return [(kind, part) for kind, part in parts if part.n]


def _first_age(
    study: Study, sample: Sample, capture: str, structures: list[AgeStructure]
) -> tuple[int, np.ndarray]:
    """Return the first age of which nearly all fish are kept, and that share of it and later ones.

    Of nets nobody knows it: there it is the age after the most numerous of all seasons together.
    """
    oldest = max(int(one.ages[-1]) for one in structures) + AGES_BEYOND
    if capture == ANGLERS:
        try:
            kept = _kept_at(study, sample, np.arange(0, oldest + 1))
        except CannotEstimate:
            kept = None
        if kept is not None and (kept >= FULLY_KEPT).any():
            first = int(np.argmax(kept >= FULLY_KEPT))
            return first, kept[first:]
    numbers = np.zeros(oldest + 1)
    for one in structures:
        numbers[one.ages] += one.numbers
    first = int(np.argmax(numbers)) + 1
    return first, np.ones(max(oldest - first + 1, 0))


def _kept_at(study: Study, sample: Sample, ages: np.ndarray) -> np.ndarray | None:
    from scipy.special import ndtr

    curve, spread, kept_from = curve_of(study, sample)
    if kept_from is None:
        return None
    dated = np.isfinite(sample.clock) & sample.aged
    grown = float(np.median(sample.clock[dated] - sample.age[dated]))
    mean = np.maximum(curve.length_at(ages + grown), 1.0)
    return np.asarray(1 - ndtr((kept_from - mean) / np.maximum(spread.sd_at(mean), 1e-6)))


def _caught(
    study: Study,
    capture: str,
    first: tuple[int, np.ndarray],
    sample: Sample,
    structure: AgeStructure,
    drawn: np.ndarray,
) -> SeasonCatch | None:
    """Put one season together; None where it has no fish of recruited ages."""
    first_age, kept = first
    recruited = structure.ages >= first_age
    n = float(structure.numbers[recruited].sum())
    if n <= 0:
        return None
    totals = drawn[:, recruited].sum(axis=1)
    shares = drawn[totals > 0][:, recruited] / totals[totals > 0, None]
    try:
        worth = effective_number(structure.numbers[recruited] / n, shares)
    except CannotEstimate:
        # All of one age in every resample: they say as much as the fish that were aged.
        worth = float(np.count_nonzero(sample.age >= first_age))
    return SeasonCatch(
        season_year=year_of(study, sample),
        capture=capture,
        first_age=first_age,
        structure=structure,
        drawn=drawn,
        n=n,
        aged=int(np.count_nonzero(sample.age >= first_age)),
        effective=min(worth, n),
        trips=int(np.unique(sample.party).size),
        kept=kept,
    )
