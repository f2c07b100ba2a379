"""Total mortality of each group, and what natural mortality and tags make of it."""

from dataclasses import dataclass

import numpy as np

from samples.findings.entered import Elsewhere, Entered, NaturalInput, TagInput
from samples.findings.sample import KEPT_BY_ANGLERS, Floats, Ints, Sample
from samples.findings.topics.died import Died, die
from samples.findings.topics.fishing import (
    compare_ways,
    draw_natural,
    fishing_by_difference,
    m_of,
    tags_of,
)
from samples.findings.topics.grown import curve_of
from samples.findings.topics.study import FishGroup, Study
from samples.science.errors import CannotEstimate
from samples.science.rates import (
    Exploitation,
    exploitation_from_tags,
    fishing_left,
    natural_from_growth,
    natural_from_oldest,
    rates_of,
)
from samples.science.tags import FishingCompared, draw_reporting_rate

REPORTING_DRAWS = 4_000
LOWER, UPPER = 0.025, 0.975


@dataclass(frozen=True, slots=True, eq=False)
class CatchCurveDots:
    """Log of the fish of each age that has any, and the decline by Z as far as all gear counts."""

    ages: Ints
    logs: Floats
    lower: Floats
    upper: Floats
    line_ages: Ints
    line_logs: Floats


@dataclass(frozen=True, slots=True)
class NaturalRules:
    """M, per year, by rules of thumb; none where there is nothing to use one on.

    Attributes
    ----------
    by_growth : float or None
        By Linf and K of these fish.
    by_oldest, by_oldest_then : float or None
        By the oldest fish that was entered: Hamel & Cope (2022), and Then et al. (2015).
    """

    by_growth: float | None
    by_oldest: float | None
    by_oldest_then: float | None


@dataclass(frozen=True, slots=True)
class FishingLeft:
    """What natural mortality, as entered, leaves of total mortality to fishing.

    ``u`` is missing where F is not above 0; ``not_above_zero`` is the share of draws where it is
    not.
    """

    m: float
    f: float
    lower: float
    upper: float
    u: float | None
    not_above_zero: float


@dataclass(frozen=True, slots=True, eq=False)
class GroupMortality:
    """One group's mortality; ``ways`` sets F by tags beside F = Z - M where both were entered."""

    total: Died
    dots: CatchCurveDots
    entered: Elsewhere
    rules: NaturalRules
    left: FishingLeft | None
    ways: FishingCompared | None

    @property
    def name(self) -> str:
        return self.total.name


@dataclass(frozen=True, slots=True)
class TagEstimate:
    """Exploitation by the tags of one season, and the reporting rate that it rests on."""

    row: TagInput
    reporting: tuple[float, float]
    is_measured: bool
    found: Exploitation


@dataclass(frozen=True, slots=True)
class Excluded:
    """Measured fish that are in no catch curve, each for one reason only."""

    picked: int
    of_no_group: int
    no_age_known: int
    too_young: int


@dataclass(frozen=True, slots=True, eq=False)
class Mortality:
    """Groups with an estimate, and by name why the others have none.

    ``mostly_kept``: anglers kept most of the measured fish.
    """

    groups: list[GroupMortality]
    refused: dict[str, CannotEstimate]
    tags: list[TagEstimate]
    excluded: Excluded
    mostly_kept: bool


def analyse(
    study: Study, sample: Sample, groups: list[FishGroup], *, entered: Entered, species: int
) -> Mortality:
    """Estimate the mortality of each group of a sample; ``species`` is that of the tags shown."""
    found: list[GroupMortality] = []
    refused: dict[str, CannotEstimate] = {}
    for group in groups:
        try:
            found.append(_group(study, group, entered))
        except CannotEstimate as problem:
            refused[group.name] = problem
    kept = [method in KEPT_BY_ANGLERS for method in sample.method]
    return Mortality(
        found,
        refused,
        [one for one in (_tags(study, row) for row in entered.tags_of(species)) if one],
        _count_excluded(sample, found),
        mostly_kept=bool(kept) and float(np.mean(kept)) > 0.5,
    )


def _group(study: Study, group: FishGroup, entered: Entered) -> GroupMortality:
    total = die(study, group.name, group.sample)
    own = entered.of(group.species, group.arm)
    left, ways = None, None
    if own.natural is not None:
        natural = draw_natural(study, own.natural, total.drawn.size)
        left = _left(total, own.natural, natural)
        ways = compare_ways(study, natural, total, own.tags) if own.tags else None
    return GroupMortality(total, _dots(total), own, _rules(study, group, own), left, ways)


def _dots(total: Died) -> CatchCurveDots:
    positive = total.numbers > 0
    # Less than one fish in a draw is drawn as one: a logarithm has no other end.
    ends = np.quantile(total.drawn_numbers[:, positive], (LOWER, UPPER), axis=0)
    lower, upper = np.log(np.maximum(ends, 1.0))
    # From here on every way of capture counts; the line holds as many fish as were caught.
    counted = total.ages >= max(caught.first_age for caught in total.caught)
    decline = -total.curve.z * (total.ages[counted] - total.ages[-1])
    caught = max(float(total.numbers[counted].sum()), 1.0)
    level = np.log(caught / max(float(np.exp(decline).sum()), 1e-300))
    return CatchCurveDots(
        total.ages[positive],
        np.log(total.numbers[positive]),
        lower,
        upper,
        total.ages[counted],
        level + decline,
    )


def _rules(study: Study, group: FishGroup, own: Elsewhere) -> NaturalRules:
    try:
        curve, _, _ = curve_of(study, group.sample)
        by_growth = natural_from_growth(curve.linf_mm, curve.k)
    except CannotEstimate:
        by_growth = None  # no curve, no rule of thumb from it
    if own.natural is None or not own.natural.oldest_years:
        return NaturalRules(by_growth, None, None)
    oldest = natural_from_oldest(own.natural.oldest_years)
    return NaturalRules(by_growth, oldest["hamel"], oldest["then"])


def _left(total: Died, entered: NaturalInput, natural: Floats) -> FishingLeft:
    left = fishing_left(total.drawn, natural)
    m, f = m_of(entered.middle), fishing_by_difference(total, entered)
    lower, upper = np.quantile(left.f, (LOWER, UPPER))
    u = float(rates_of(f, m).u) if f > 0 else None
    return FishingLeft(m, f, float(lower), float(upper), u, left.not_above_zero)


def _tags(study: Study, row: TagInput) -> TagEstimate | None:
    """Estimate the share taken from one row of tag returns; nothing where they contradict."""
    reporting, is_measured = _reporting(study, row)
    try:
        found = exploitation_from_tags(
            row.tags_out,
            row.returned,
            reporting=reporting,
            tags_kept=row.tags_kept,
            survived=row.survived_tagging,
        )
    except CannotEstimate:
        return None
    return TagEstimate(row, reporting, is_measured, found)


def _reporting(study: Study, row: TagInput) -> tuple[tuple[float, float], bool]:
    """Return the range of the reporting rate, and whether it was measured.

    It is the measured one's 95% interval, or as entered.
    """
    one = tags_of(row)
    if not one.reporting_measured:
        return (one.reporting_least, one.reporting_most), False
    drawn = draw_reporting_rate(
        study.rng,
        REPORTING_DRAWS,
        standard_out=one.out,
        standard_returned=row.returns,
        high_out=one.high_out,
        high_returned=one.high_returned,
    )
    low, high = np.quantile(drawn, (LOWER, UPPER))
    return (float(low), float(high)), True


def _count_excluded(sample: Sample, found: list[GroupMortality]) -> Excluded:
    """Count the measured fish that are in no catch curve; expanded numbers are rounded."""
    fish = [one.total.sample.fish for one in found]
    shown = np.isin(sample.fish, np.concatenate(fish) if fish else [])
    counted = int(np.count_nonzero(shown & sample.of_sample))
    with_age = round(sum(float(one.total.numbers.sum()) for one in found))
    return Excluded(
        picked=int(np.count_nonzero(shown & ~sample.of_sample)),
        of_no_group=int(np.count_nonzero(~shown)),
        no_age_known=counted - with_age,
        too_young=with_age - round(sum(one.total.n for one in found)),
    )
