"""What is known of one arm's fish, as draws, and every answer about a limit that follows."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from samples.findings.entered import Elsewhere
from samples.findings.limits import LimitSelection
from samples.findings.sample import KEPT_BY_ANGLERS
from samples.findings.topics.fishing_inputs import (
    CannotJudge,
    KeptFrom,
    deaths_of,
    kept_from_of,
    natural_of,
    total_of,
)
from samples.findings.topics.grown import Grown, grow_alone
from samples.findings.topics.length_limit import inputs
from samples.findings.topics.length_limit.born import grow_born
from samples.findings.topics.length_limit.inputs import (
    Contradiction,
    Free,
    Release,
    TotalsApart,
    Weights,
)
from samples.findings.topics.study import FishGroup, Study
from samples.science.length_limit.axes import Axes, axes
from samples.science.length_limit.cases import (
    break_even,
    change,
    crowded,
    given_up,
    what_would_settle,
)
from samples.science.length_limit.fish_lives import Floats, Lives
from samples.science.length_limit.inputs import Deaths
from samples.science.length_limit.per_recruit import PerRecruit, per_recruit
from samples.science.length_limit.rules import Rule
from samples.science.length_limit.verdict import Change, Judged, Lines, Verdict, judge

MOST_SPREAD = 0.45
# Draws that a limit is judged by: a share of them is told to some 2%, as it is used.
HARVEST_DRAWS = 300


@dataclass(frozen=True, eq=False)
class Known:
    """One arm's fish with all that an answer rests on.

    Attributes
    ----------
    grown : Grown
        Growth, each draw beside one of ``deaths``; ``counts_taken`` says whether it is that of all
        fish that were born, and ``grown.sample.n`` of ``aged`` fish are in the curve.
    lives : Lives
        Growth and natural death, as draws.
    drawn_m : ndarray, shape (draws,)
        M by itself, as it was drawn before it met F.
    deaths : Deaths
        Natural death and fishing, drawn together.
    kept_from : KeptFrom
        Where anglers begin to keep fish now.
    free : Free
        The same if there were no limit; shorter only under a limit in force.
    kept_mm : ndarray, shape (kept,)
        Lengths of the fish that anglers kept.
    rule_mm : float
        Least length of the rule in force; 0 where there is none.
    daily_limit : int or None
        Creel limit in force.
    release : Release
        Share of released fish that die.
    caught_below : float
        How often fish under a limit are caught, against those over it.
    entered : Elsewhere
        What was entered from elsewhere.
    contradiction : Contradiction or None
        How F by tags and F = Z - M contradict each other.
    totals_apart : TotalsApart or None
        How Z by the inputs and by the fish do.
    """

    group: FishGroup
    grown: Grown
    counts_taken: bool
    aged: int
    lives: Lives
    drawn_m: Floats
    deaths: Deaths
    kept_from: KeptFrom
    free: Free
    kept_mm: Floats
    rule_mm: float
    daily_limit: int | None
    release: Release
    weights: Weights
    caught_below: float
    entered: Elsewhere
    contradiction: Contradiction | None = None
    totals_apart: TotalsApart | None = None

    @property
    def name(self) -> str:
        return self.group.name

    @property
    def kept_from_mm(self) -> float:
        return self.kept_from.mm

    @property
    def preferred_mm(self) -> float:
        return self.group.preferred_mm

    @cached_property
    def now(self) -> Rule:
        """Return the rule as it is: without a limit in force, what anglers keep by themselves."""
        if not self.rule_mm:
            return Rule(kept_from_mm=self.kept_from_mm)
        return self.rule(max(self.rule_mm, self.kept_from_mm))

    def rule(self, limit_mm: float = 0.0) -> Rule:
        """Return the rule of a limit, or of none, released fish dying at the middle rate."""
        return Rule(
            kept_from_mm=self.free.mm,
            limit_mm=limit_mm,
            release_death=self.release.middle,
            caught_below=self.caught_below,
        )

    @cached_property
    def some(self) -> Lives:
        """Return the draws that a limit is judged by."""
        return some(self.lives)

    @property
    def fishing(self) -> Floats:
        return self.deaths.f[:HARVEST_DRAWS]

    @cached_property
    def present(self) -> PerRecruit:
        """Return what a recruit comes to as things are."""
        return per_recruit(self.some, self.fishing, self.now, preferred_mm=self.preferred_mm)


@dataclass(frozen=True, eq=False)
class Harvest:
    """What a rule does to the harvest, of some of the draws: each part when it is first asked."""

    known: Known
    rule: Rule

    @cached_property
    def against_now(self) -> Change:
        """Return the harvest against the present one, as shares."""
        known = self.known
        return change(
            known.some,
            known.fishing,
            known.now,
            self.rule,
            present=known.present,
            candidate=self.then,
        )

    @cached_property
    def then(self) -> PerRecruit:
        """Return what a recruit comes to under the rule."""
        known = self.known
        return per_recruit(known.some, known.fishing, self.rule, preferred_mm=known.preferred_mm)

    @cached_property
    def given_up(self) -> Floats:
        """Return the share of the fish kept now that would be put back."""
        return given_up(self.known.some, self.known.fishing, self.known.now, self.rule)

    @cached_property
    def if_shorter(self) -> Change:
        """Return the same as ``against_now`` where fish stayed shorter because they crowd."""
        known = self.known
        return change(crowded(known.some), known.fishing, known.now, self.rule)

    @cached_property
    def undone_by(self) -> float:
        """Return the release death at which the rule yields no more weight than now, 0 to 1."""
        known = self.known
        return float(np.median(break_even(known.some, known.fishing, known.now, self.rule)))


@dataclass(frozen=True, slots=True)
class KeptShorter:
    """Share of the fish that anglers keep that are shorter than a limit said to change little."""

    share: float


@dataclass(frozen=True, slots=True, eq=False)
class ArmVerdict:
    """A limit judged for one arm.

    ``axes`` and ``judged`` are missing where anglers already let such fish go, where it is the
    limit in force (``in_force``), and where it is lower than that (``lowers``): then ``harvest``
    alone tells what it would do. ``withheld`` says why a verdict is not given although the draws
    agree. ``settling`` has, for an open one, how far the draws would agree if one figure were
    known.
    """

    limit_mm: float
    axes: Axes | None
    judged: Judged | None
    in_force: bool = False
    lowers: bool = False
    harvest: Harvest | None = None
    withheld: Contradiction | KeptShorter | None = None
    settling: Mapping[str, float] | None = None

    @property
    def verdict(self) -> Verdict:
        """Return the verdict; where fish so short are let go already, it is little effect."""
        if self.lowers or self.withheld:
            return Verdict.CANNOT_TELL
        return self.judged.verdict if self.judged else Verdict.LITTLE_EFFECT


def know(
    study: Study,
    group: FishGroup,
    limit: LimitSelection,
    external: Elsewhere,
    *,
    season: str = "",
    grown: Grown | None = None,
) -> Known:
    """Bring together what is known of one arm's fish, and what was entered.

    :param season: season of the year in which most fish are caught
    :param grown: growth of its fish; it is fitted alone unless it is given
    :raises CannotJudge: where fish or figures are missing
    :raises CannotEstimate: where they carry no estimate
    """
    inputs.check_enough(limit, group)
    grown = grown or grow_alone(study, group)
    if 2 * grown.sample.n < limit.fewest_aged:
        raise CannotJudge("few_in_curve", in_curve=grown.sample.n)
    kept_from = kept_from_of(grown, external)
    total = total_of(study, group)
    rng = study.rng
    natural = natural_of(rng, grown, external)
    deaths = deaths_of(rng, natural, total, external)
    contradiction = inputs.contradiction_of(study, natural, total, external)
    weights = inputs.weights_at_length(group.code, group.sample)
    rule_mm = external.minimum_mm
    chosen = rng.integers(0, grown.draws.k.size, deaths.f.size)
    grown, counts_taken = grow_born(grown, chosen, deaths.f, max(rule_mm, kept_from.mm))
    lives = Lives(
        grown.draws.linf_mm,
        grown.draws.k,
        grown.draws.t0,
        deaths.m,
        min(grown.spread.cv, MOST_SPREAD),
        weights.a,
        weights.b,
    )
    whole = group.sample.where(group.sample.of_sample)
    of_anglers = [method in KEPT_BY_ANGLERS for method in whole.method]
    return Known(
        group=group,
        grown=grown,
        counts_taken=counts_taken,
        aged=int(np.count_nonzero(group.sample.aged)),
        lives=lives,
        drawn_m=natural,
        deaths=deaths,
        kept_from=kept_from,
        free=inputs.kept_without(limit, group, kept_from.mm, rule_mm),
        kept_mm=whole.length_mm[np.array(of_anglers, dtype=bool)],
        rule_mm=rule_mm,
        daily_limit=external.daily_limit,
        release=inputs.release_of(external, limit.release, season),
        weights=weights,
        caught_below=limit.caught_below,
        entered=external,
        contradiction=contradiction,
        totals_apart=inputs.totals_apart(deaths, total),
    )


def answer(known: Known, lines: Lines, limit_mm: float) -> ArmVerdict:
    """Judge one limit; where anglers let such fish go already, it changes little."""
    if limit_mm == known.rule_mm:
        return ArmVerdict(limit_mm, None, None, in_force=True)
    harvest = Harvest(known, known.rule(limit_mm))
    if limit_mm < known.rule_mm:
        return ArmVerdict(limit_mm, None, None, lowers=True, harvest=harvest)
    if limit_mm <= known.now.first_mm:
        return ArmVerdict(limit_mm, None, None)
    found = axes(known.some, known.fishing, kept_from_mm=known.now.first_mm, limit_mm=limit_mm)
    judged = judge(found, harvest.against_now, lines)
    withheld = _withheld(known, lines, limit_mm, judged.verdict)
    settling = None
    if judged.verdict is Verdict.CANNOT_TELL:
        settling = what_would_settle(
            known.some,
            known.fishing,
            known.now,
            harvest.rule,
            lines,
            found=found,
            changed=harvest.against_now,
        )
    return ArmVerdict(
        limit_mm, found, judged, harvest=harvest, withheld=withheld, settling=settling
    )


def _withheld(
    known: Known, lines: Lines, limit_mm: float, verdict: Verdict
) -> Contradiction | KeptShorter | None:
    """Return why a verdict is not given although the draws agree; nothing where it is."""
    if verdict is Verdict.HARVEST:
        return known.contradiction
    if verdict is not Verdict.LITTLE_EFFECT or not known.kept_mm.size:
        return None
    # The kept length is where a twentieth of the kept fish is shorter: near it, count them.
    short = float(np.mean(known.kept_mm < limit_mm))
    return KeptShorter(short) if short > lines.little_change else None


def some(lives: Lives, count: int = HARVEST_DRAWS) -> Lives:
    """Return the first draws alone, for what takes long to work out."""
    return replace(
        lives,
        linf_mm=lives.linf_mm[:count],
        k=lives.k[:count],
        t0=lives.t0[:count],
        m=lives.m[:count],
    )
