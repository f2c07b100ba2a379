"""What is known of one arm's fish, as draws, and every answer about a limit that follows."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from samples.findings.page_model import Sentence, Text
from samples.findings.queries.elsewhere import Elsewhere, season_of_catch
from samples.findings.sample import KEPT_BY_ANGLERS
from samples.findings.topics.grown import Grown, grow_alone
from samples.findings.topics.length_limit import inputs
from samples.findings.topics.length_limit.born import grow_born
from samples.findings.topics.length_limit.inputs import DRAWS
from samples.findings.topics.query import FishGroup, TopicQuery
from samples.science.errors import CannotEstimate
from samples.science.length_limit.axes import Axes, axes
from samples.science.length_limit.cases import break_even, change, given_up
from samples.science.length_limit.fish_lives import Floats, Lives
from samples.science.length_limit.inputs import Deaths
from samples.science.length_limit.per_recruit import PerRecruit, per_recruit
from samples.science.length_limit.rules import Rule
from samples.science.length_limit.verdict import Change, Judged, Verdict, judge

MOST_SPREAD = 0.45
# Draws that a limit is judged by: a share of them is told to some 2%, as it is used.
HARVEST_DRAWS = 300


@dataclass(frozen=True, eq=False)
class Known:
    """One arm's fish with all that an answer rests on.

    Attributes
    ----------
    lives : Lives
        Growth and natural death, as draws.
    deaths : Deaths
        Natural death and fishing, drawn together.
    kept_from_mm : float
        Length at which anglers begin to keep fish now.
    free_mm : float
        The same if there were no limit; below ``kept_from_mm`` only under a limit in force.
    kept_mm : ndarray, shape (kept,)
        Lengths of the fish that anglers kept.
    rule_mm : float
        Least length of the rule in force; 0 where there is none.
    daily_limit : int or None
        Creel limit in force.
    preferred_mm : float
        Length over which a fish counts as large.
    release : tuple of float
        Share of released fish that die: least, middle, most.
    caught_below : float
        How often fish under a limit are caught, against those over it.
    rests_on : list of (what, figure, source)
        Every input in words.
    warnings : list of Sentence
    contradiction : Sentence or None
        How F by tags and F = Z - M contradict each other.
    """

    name: str
    stock: FishGroup
    grown: Grown
    lives: Lives
    deaths: Deaths
    kept_from_mm: float
    free_mm: float
    kept_mm: Floats
    rule_mm: float
    daily_limit: int | None
    preferred_mm: float
    release: tuple[float, float, float]
    release_given: str
    caught_below: float
    rests_on: list[inputs.Input]
    warnings: list[Sentence]
    contradiction: Sentence | None = None

    @cached_property
    def now(self) -> Rule:
        """Return the rule as it is: without a limit in force, what anglers keep by themselves."""
        if not self.rule_mm:
            return Rule(kept_from_mm=self.kept_from_mm)
        return self.rule(max(self.rule_mm, self.kept_from_mm))

    def rule(self, limit_mm: float = 0.0) -> Rule:
        """Return the rule of a limit, or of none, released fish dying at the middle rate."""
        return Rule(
            kept_from_mm=self.free_mm,
            limit_mm=limit_mm,
            release_death=self.release[1],
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
            preferred_mm=known.preferred_mm,
            present=known.present,
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
    def undone_by(self) -> float:
        """Return the release death at which the rule yields no more weight than now, 0 to 1."""
        known = self.known
        return float(np.median(break_even(known.some, known.fishing, known.now, self.rule)))


@dataclass(frozen=True, slots=True, eq=False)
class ArmVerdict:
    """A limit judged for one arm.

    ``axes`` and ``judged`` are missing where anglers already let such fish go, where it is the
    limit in force (``in_force``), and where it is lower than that (``lowers``): then ``harvest``
    alone tells what it would do. ``withheld`` says why a verdict of harvest is not given.
    """

    limit_mm: float
    axes: Axes | None
    judged: Judged | None
    in_force: bool = False
    lowers: bool = False
    harvest: Harvest | None = None
    withheld: Sentence | None = None


def know(
    query: TopicQuery,
    group: FishGroup,
    external: Elsewhere | None = None,
    grown: Grown | None = None,
) -> Known:
    """Bring together what is known of one arm's fish, and what was entered unless it is given.

    Its growth is fitted alone unless it is given.

    :raises CannotEstimate: in a sentence that says what is missing
    """
    inputs.enough(query, group)
    external = external or query.loaded.entered.of(group.species, group.arm)
    grown = grown or grow_alone(query, group)
    if 2 * grown.sample.n < query.choice.limit.fewest_aged:
        raise CannotEstimate(
            "few_in_curve",
            f"only {grown.sample.n} of its aged fish are old enough or from nets, so that the "
            "curve may stand on them. Age more fish from trap nets.",
        )
    kept_from, kept_words = inputs.kept_from_of(query, grown, external)
    total = inputs.total_of(query, group)
    rng = query.rng
    natural, natural_words = inputs.natural_of(rng, grown, external)
    deaths, fishing_words = inputs.deaths_of(rng, natural, total, external)
    contradiction = inputs.contradiction_of(query, natural, total, external)
    a, b, weight_words = inputs.weights_at_length(group.species.species.code, group.sample)
    rule_mm = _rule_mm(external)
    chosen = rng.integers(0, grown.draws.k.size, DRAWS)
    fished_from = max(rule_mm, kept_from)
    grown, growth_source = grow_born(grown, chosen, deaths.f, fished_from)
    lives = Lives(
        grown.draws.linf_mm,
        grown.draws.k,
        grown.draws.t0,
        deaths.m,
        min(grown.spread.cv, MOST_SPREAD),
        a,
        b,
    )
    season = season_of_catch(query.sample)
    release, release_words = inputs.release_of(external, query.choice.limit.release, season)
    free, free_words = inputs.kept_without(query, group, kept_from, rule_mm)
    whole = group.sample.where(group.sample.of_sample)
    of_anglers = [method in KEPT_BY_ANGLERS for method in whole.method]
    aged = int(np.count_nonzero(group.sample.aged))
    used = f"{aged} aged, {grown.sample.n} of them in the curve"
    return Known(
        name=group.name,
        stock=group,
        grown=grown,
        lives=lives,
        deaths=deaths,
        kept_from_mm=kept_from,
        free_mm=free,
        kept_mm=whole.length_mm[np.array(of_anglers, dtype=bool)],
        rule_mm=rule_mm,
        daily_limit=external.daily_limit,
        preferred_mm=query.preferred_mm(group.species),
        release=release,
        caught_below=query.choice.limit.caught_below,
        release_given=inputs.all_release(external),
        rests_on=[
            ("Growth", Text(used), growth_source),
            kept_words,
            *free_words,
            natural_words,
            fishing_words,
            release_words,
            weight_words,
        ],
        warnings=[
            *inputs.warnings_of(query, kept_from, external, deaths, total),
            *([contradiction] if contradiction else []),
        ],
        contradiction=contradiction,
    )


def _rule_mm(external: Elsewhere) -> float:
    rule = external.regulation
    return (rule.minimum_length_hundredths_mm or 0) / 100 if rule else 0.0


def answer(known: Known, query: TopicQuery, limit_mm: float) -> ArmVerdict:
    """Judge one limit; where anglers let such fish go already, it changes little."""
    lines = query.choice.limit.lines
    if limit_mm == known.rule_mm:
        return ArmVerdict(limit_mm, None, None, in_force=True)
    harvest = Harvest(known, known.rule(limit_mm))
    if limit_mm < known.rule_mm:
        return ArmVerdict(limit_mm, None, None, lowers=True, harvest=harvest)
    if limit_mm <= known.now.first_mm:
        return ArmVerdict(limit_mm, None, None)
    found = axes(known.some, known.fishing, kept_from_mm=known.now.first_mm, limit_mm=limit_mm)
    judged = judge(found, harvest.against_now, lines)
    withheld = _withheld(known, query, limit_mm, judged.verdict)
    return ArmVerdict(limit_mm, found, judged, harvest=harvest, withheld=withheld)


def _withheld(
    known: Known, query: TopicQuery, limit_mm: float, verdict: Verdict
) -> Sentence | None:
    """Return why a verdict is not given although the draws agree; nothing where it is."""
    if verdict is Verdict.HARVEST:
        return known.contradiction
    if verdict is not Verdict.LITTLE_EFFECT or not known.kept_mm.size:
        return None
    # The kept length is where a twentieth of the kept fish is shorter: near it, count them.
    short = float(np.mean(known.kept_mm < limit_mm))
    if short <= query.choice.limit.lines.little_change:
        return None
    return Sentence(
        "kept_shorter",
        f"{100 * short:.0f} of 100 fish that anglers keep are shorter than "
        f"{query.with_unit(limit_mm)}, so the limit may change more than the model says.",
    )


def some(lives: Lives, count: int = HARVEST_DRAWS) -> Lives:
    """Return the first draws alone, for what takes long to work out."""
    return replace(
        lives,
        linf_mm=lives.linf_mm[:count],
        k=lives.k[:count],
        t0=lives.t0[:count],
        m=lives.m[:count],
    )
