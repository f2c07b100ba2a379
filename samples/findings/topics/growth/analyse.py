"""Growth of each group, when its fish reach lengths, and how groups and sexes differ."""

from dataclasses import dataclass
from math import ceil, floor

import numpy as np

from samples.findings.entered import Entered
from samples.findings.sample import FEMALE, KEPT_BY_ANGLERS, MALE, Floats, Sample
from samples.findings.topics.grown import Grown, grow_groups
from samples.findings.topics.growth.fished import count_in_taken
from samples.findings.topics.study import FishGroup, Study
from samples.science.errors import CannotEstimate
from samples.science.growth.compare import Comparison, Group, compare_curves
from samples.science.growth.likelihood import FormFit, GrowthForm, fit_form
from samples.science.growth.resample import LOWER, UPPER
from samples.science.growth.summaries import AtTime, YearsTo, lengths_at, years_to

# Points of a curve as it is drawn.
POINTS = 60
# Where more of the measured fish are longer than any aged one, the curve levels off too soon.
LONGER_SHARE = 0.02
MOSTLY_KEPT = 0.8
# A form whose AICc is lower by this much fits better (Burnham & Anderson 2002).
CLEARLY_BETTER = 2.0
FEWEST_OF_SEX = 20
DRAWS_OF_SEXES = 500


@dataclass(frozen=True, slots=True, eq=False)
class Forms:
    """Every form of curve fitted to the fish of one group."""

    name: str
    fits: dict[GrowthForm, FormFit]

    @property
    def better(self) -> FormFit | None:
        """Return the form that fits clearly better than von Bertalanffy, if one does."""
        usual = self.fits[GrowthForm.VON_BERTALANFFY]
        best = min(self.fits.values(), key=lambda one: one.aicc)
        return best if usual.aicc - best.aicc > CLEARLY_BETTER else None


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A curve to be drawn, mm, between the youngest and the oldest fish.

    ``recent`` is that of recent years, ``better`` another form that fits better.
    """

    times: Floats
    mean: Floats
    lower: Floats
    upper: Floats
    recent: Floats
    better: Floats | None


@dataclass(frozen=True, slots=True)
class Birthday:
    """Length at a whole age, in an average year and at recent growth; sd of fish, mm."""

    average: AtTime
    recent: AtTime
    sd_mm: float


@dataclass(frozen=True, slots=True)
class Reaching:
    """When the average fish reaches a length, in an average year and at recent growth."""

    length_mm: float
    average: YearsTo
    recent: YearsTo


@dataclass(frozen=True, slots=True)
class Apart:
    """How much longer fish of a group are at an age, mm, with the 95% CI."""

    name: str
    age: int
    mm: float
    lower: float
    upper: float

    @property
    def differs(self) -> bool:
        return self.lower > 0 or self.upper < 0


@dataclass(frozen=True, slots=True, eq=False)
class GroupGrowth:
    """One group with its curve.

    Attributes
    ----------
    longer : int
        Measured fish longer than any aged one, whose length is ``longest_mm``.
    mostly_kept : bool
        Anglers kept most of the fish of the curve.
    """

    grown: Grown
    forms: Forms | None
    line: Line
    birthdays: list[Birthday]
    reaching: list[Reaching]
    longest_mm: float
    longer: int
    mostly_kept: bool

    @property
    def name(self) -> str:
        return self.grown.name

    @property
    def middle(self) -> Reaching:
        """Return the length that is asked about first: the middle one."""
        return self.reaching[len(self.reaching) // 2]

    @property
    def is_extrapolated(self) -> bool:
        return self.longer > LONGER_SHARE * self.grown.measured.n


@dataclass(frozen=True, slots=True)
class Excluded:
    """Aged fish that are in no curve, each for one reason only."""

    undated: int
    too_short: int
    of_no_group: int


@dataclass(frozen=True, slots=True, eq=False)
class Growth:
    """Growth of every group that has a curve.

    Attributes
    ----------
    groups : list of GroupGrowth
    refused : dict of str to CannotEstimate
        Why other groups have no curve, by name.
    base : str
        The group with the most aged fish, which the others are set against in ``differences``.
    ratio_tests : Comparison or None
        Likelihood ratio tests of a shared curve, where the fish were picked alike.
    sexes : Apart or None
        How much longer females are, where the sexes differ.
    excluded : Excluded
    """

    groups: list[GroupGrowth]
    refused: dict[str, CannotEstimate]
    base: str
    differences: list[Apart]
    ratio_tests: Comparison | None
    sexes: Apart | None
    excluded: Excluded

    @property
    def grown(self) -> list[Grown]:
        return [one.grown for one in self.groups]


def analyse(
    study: Study,
    sample: Sample,
    groups: list[FishGroup],
    *,
    entered: Entered,
    lengths_mm: list[float],
    by_sex: list[FishGroup],
) -> Growth:
    """Fit the growth of groups and set them side by side.

    :param lengths_mm: lengths that fish are followed to, the middle one above all
    :param by_sex: females and males of all fish, to be set against each other; none for no such
    """
    fitted, refused = grow_groups(study, groups)
    of_name = {one.name: one for one in groups}
    found = []
    for one in fitted:
        # Forms are held against the fish as they are, the curve is that of all that were born.
        forms = _forms_of(one)
        grown = count_in_taken(study, of_name[one.name], one, entered)
        found.append(_group(grown, forms, lengths_mm))
    grown_all = [one.grown for one in found]
    base = max(grown_all, key=lambda one: one.sample.n).name if grown_all else ""
    return Growth(
        groups=found,
        refused=refused,
        base=base,
        differences=_differences(grown_all, base),
        ratio_tests=_ratio_tests(grown_all),
        sexes=_sexes(study, sample, by_sex) if found else None,
        excluded=_count_excluded(sample, grown_all),
    )


def _group(one: Grown, forms: Forms | None, lengths_mm: list[float]) -> GroupGrowth:
    longest = float(one.sample.length_mm.max())
    of_anglers = [method in KEPT_BY_ANGLERS for method in one.sample.method]
    return GroupGrowth(
        grown=one,
        forms=forms,
        line=line_of(one, forms.better if forms else None),
        birthdays=_birthdays(one),
        reaching=[
            Reaching(
                mm,
                years_to(one.average.curve, one.average.draws, mm),
                years_to(one.recent.curve, one.recent.draws, mm),
            )
            for mm in lengths_mm
        ],
        longest_mm=longest,
        longer=int(np.count_nonzero(one.measured.length_mm > longest)),
        mostly_kept=bool(np.mean(of_anglers) > MOSTLY_KEPT),
    )


def line_of(one: Grown, better: FormFit | None = None) -> Line:
    """Return the points of a group's curve, as it is drawn."""
    times = np.linspace(one.youngest_time, one.oldest_time, POINTS)
    rows = lengths_at(one.curve, one.draws, times)
    return Line(
        times=times,
        mean=one.curve.length_at(times),
        lower=np.array([max(row.lower, 0.0) for row in rows]),
        upper=np.array([max(row.upper, 0.0) for row in rows]),
        recent=one.recent.curve.length_at(times),
        better=None if better is None else better.length_at(times),
    )


def _birthdays(one: Grown) -> list[Birthday]:
    """Return lengths at whole ages between the youngest and the oldest fish."""
    ages = range(max(1, ceil(one.youngest_time)), floor(one.oldest_time) + 1)
    times = [float(age) for age in ages]
    if not times:
        return []
    average, recent = (
        lengths_at(drawn.curve, drawn.draws, times) for drawn in (one.average, one.recent)
    )
    return [
        Birthday(row, late, float(one.spread.sd_at(row.mean)))
        for row, late in zip(average, recent, strict=True)
    ]


def _forms_of(one: Grown) -> Forms | None:
    """Fit every form to one group's fish; nothing where they carry no curve by themselves."""
    try:
        fits = {
            form: fit_form(
                one.sample.clock,
                one.sample.length_mm,
                weights=one.weights,
                kept_from_mm=one.kept_mm,
                form=form,
            )
            for form in GrowthForm
        }
    except CannotEstimate:
        return None
    return Forms(one.name, fits)


# ---------- Between groups ----------


def difference_at(one: Grown, other: Grown, time: float) -> tuple[float, float, float]:
    """Return how much longer fish of one group are at an age, mm, with its 95% CI.

    Both were drawn together: what years do to both leaves the difference alone.
    """
    apart = _drawn_at(one, time) - _drawn_at(other, time)
    lower, upper = np.quantile(apart, (LOWER, UPPER))
    means = [float(group.curve.length_at([time])[0]) for group in (one, other)]
    return means[0] - means[1], float(lower), float(upper)


def _drawn_at(one: Grown, time: float) -> Floats:
    draws = one.draws
    drawn: Floats = draws.linf_mm * -np.expm1(-draws.k * (time - draws.t0))
    return drawn


def _differences(grown: list[Grown], base: str) -> list[Apart]:
    """Set each group against one of them at every age that both have."""
    others = [one for one in grown if one.name != base]
    return [
        Apart(one.name, age, *difference_at(one, against, float(age)))
        for against in grown
        if against.name == base
        for one in others
        for age in _shared_ages(one, against)
    ]


def _shared_ages(one: Grown, other: Grown) -> range:
    first = max(1, ceil(max(one.youngest_time, other.youngest_time)))
    return range(first, floor(min(one.oldest_time, other.oldest_time)) + 1)


def _ratio_tests(grown: list[Grown]) -> Comparison | None:
    cut_off = {bool(one.kept_mm.any()) for one in grown}
    if len(grown) < 2 or len(cut_off) > 1:
        return None  # fish picked in different ways differ by that alone
    groups = [Group(one.name, one.sample.clock, one.sample.length_mm, one.weights) for one in grown]
    try:
        return compare_curves(groups)
    except CannotEstimate:
        return None


def _sexes(study: Study, sample: Sample, by_sex: list[FishGroup]) -> Apart | None:
    """Set females against males at the mean age; nothing where they do not differ."""
    known = [(sample.sex == sex) & sample.aged for sex in (FEMALE, MALE)]
    if not by_sex or min(int(one.sum()) for one in known) < FEWEST_OF_SEX:
        return None
    grown, refused = grow_groups(study, by_sex, draws=DRAWS_OF_SEXES)
    if refused or len(grown) != 2:
        return None
    age = round(sum(float(sample.age[one].mean()) for one in known) / 2)
    first, last = max(one.youngest_time for one in grown), min(one.oldest_time for one in grown)
    if not first <= age <= last:
        return None
    apart = Apart(grown[0].name, age, *difference_at(grown[0], grown[1], float(age)))
    return apart if apart.differs else None


def _count_excluded(sample: Sample, grown: list[Grown]) -> Excluded:
    fish = [one.measured.fish for one in grown]
    curved = np.isin(sample.fish, np.concatenate(fish) if fish else [])
    undated = sample.aged & ~np.isfinite(sample.clock)
    return Excluded(
        undated=int(np.count_nonzero(undated & curved)),
        too_short=sum(one.short_left_out for one in grown),
        of_no_group=int(np.count_nonzero(sample.aged & ~curved)),
    )
