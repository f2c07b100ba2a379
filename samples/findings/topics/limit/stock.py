"""What is known of one arm's fish, as draws, and every answer about a limit that follows."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from samples.findings.queries import KEPT_BY_ANGLERS
from samples.findings.queries.elsewhere import Elsewhere, elsewhere
from samples.findings.topics.asked import Asked, Stock
from samples.findings.topics.grown import Grown, grow_alone
from samples.findings.topics.limit import inputs
from samples.findings.topics.limit.inputs import DRAWS
from samples.science.errors import CannotEstimate
from samples.science.length_limit.axes import Axes, axes
from samples.science.length_limit.cases import Change, break_even, change
from samples.science.length_limit.fish_lives import Floats, Lives
from samples.science.length_limit.given import Deaths
from samples.science.length_limit.per_recruit import Rule
from samples.science.length_limit.verdict import Judged, Verdict, judge

MOST_SPREAD = 0.45
# Draws that a harvest is worked out for: its interval is as good as those of what goes in.
HARVEST_DRAWS = 200


@dataclass(frozen=True, slots=True, eq=False)
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
    kept_mm : ndarray, shape (kept,)
        Lengths of the fish that anglers kept.
    rule_mm : float
        Least length of the rule in force; 0 where there is none.
    release : tuple of float
        Share of released fish that die: least, middle, most.
    rests_on : list of (what, figure, source)
        Every input in words.
    warnings : list of str
    contradiction : str
        How F by tags and F = Z - M contradict each other; empty where they do not.
    """

    name: str
    stock: Stock
    grown: Grown
    lives: Lives
    deaths: Deaths
    kept_from_mm: float
    kept_mm: Floats
    rule_mm: float
    release: tuple[float, float, float]
    release_given: str
    rests_on: list[tuple[str, str, str]]
    warnings: list[str]
    contradiction: str = ""

    @property
    def now(self) -> Rule:
        return Rule(kept_from_mm=self.kept_from_mm)

    def rule(self, limit_mm: float, caught_below: float) -> Rule:
        """Give the rule of a limit, released fish dying at the middle rate."""
        return Rule(
            kept_from_mm=self.kept_from_mm,
            limit_mm=limit_mm,
            release_death=self.release[1],
            caught_below=caught_below,
        )


@dataclass(frozen=True, eq=False)
class Harvest:
    """What a rule does to the harvest, of some of the draws: each part when it is first asked."""

    lives: Lives
    fishing: Floats
    now: Rule
    rule: Rule

    @cached_property
    def against_now(self) -> Change:
        """The harvest against the present one, as shares."""
        return change(self.lives, self.fishing, self.now, self.rule)

    @cached_property
    def undone_by(self) -> float:
        """The release death at which the rule yields no more weight than now, 0 to 1."""
        return float(np.median(break_even(self.lives, self.fishing, self.now, self.rule)))


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """A limit judged for one arm.

    ``axes`` are missing where anglers already let such fish go, and where the rule in force asks
    for as much (``ruled``): what a lower rule would do is not asked here. There is no ``harvest``
    to tell of then either. ``withheld`` says why a verdict of harvest is not given.
    """

    limit_mm: float
    axes: Axes | None
    judged: Judged | None
    ruled: bool = False
    harvest: Harvest | None = None
    withheld: str = ""


def know(
    asked: Asked, stock: Stock, given: Elsewhere | None = None, grown: Grown | None = None
) -> Known:
    """Bring together what is known of one arm's fish, and what was entered unless it is given.

    Its growth is fitted alone unless it is given.

    :raises CannotEstimate: in a sentence that says what is missing
    """
    inputs.enough(asked, stock)
    given = given or elsewhere(asked.options.lake, asked.choice, stock.species, stock.arm)
    grown = grown or grow_alone(asked, stock)
    if 2 * grown.sample.n < asked.choice.limit.fewest_aged:
        raise CannotEstimate(
            "few_in_curve",
            f"only {grown.sample.n} of its aged fish are old enough or from nets, so that the "
            "curve may stand on them. Age more fish from trap nets.",
        )
    kept_from, kept_words = inputs.kept_from_of(asked, grown, given)
    total = inputs.total_of(asked, stock)
    rng = asked.rng
    natural, natural_words = inputs.natural_of(rng, grown, given)
    deaths, fishing_words = inputs.deaths_of(rng, natural, total, given)
    contradiction = inputs.contradiction_of(asked, natural, total, given)
    a, b, weight_words = inputs.weights_at_length(stock.species.species.code, stock.sample)
    draws = rng.integers(0, grown.draws.rate.size, DRAWS)
    lives = Lives(
        grown.draws.length_max_mm[draws],
        grown.draws.rate[draws],
        grown.draws.age_zero[draws],
        deaths.natural,
        min(grown.spread.cv, MOST_SPREAD),
        a,
        b,
    )
    release, release_words = inputs.release_of(given, asked.choice.limit.release)
    whole = stock.sample.where(stock.sample.of_sample)
    of_anglers = [method in KEPT_BY_ANGLERS for method in whole.method]
    aged = int(np.count_nonzero(stock.sample.aged))
    used = f"{aged} aged, {grown.sample.n} of them in the curve"
    return Known(
        name=stock.name,
        stock=stock,
        grown=grown,
        lives=lives,
        deaths=deaths,
        kept_from_mm=kept_from,
        kept_mm=whole.length_mm[np.array(of_anglers, dtype=bool)],
        rule_mm=_rule_mm(given),
        release=release,
        release_given=inputs.all_release(given),
        rests_on=[
            ("Growth", used, "these fish"),
            kept_words,
            natural_words,
            fishing_words,
            release_words,
            weight_words,
        ],
        warnings=[
            *inputs.warnings_of(asked, kept_from, given, deaths, total),
            *([contradiction] if contradiction else []),
        ],
        contradiction=contradiction,
    )


def _rule_mm(given: Elsewhere) -> float:
    rule = given.regulation
    return (rule.minimum_length_hundredths_mm or 0) / 100 if rule else 0.0


def answer(known: Known, asked: Asked, limit_mm: float) -> Answer:
    """Judge one limit; where anglers let such fish go already, it changes little."""
    lines = asked.choice.limit.lines
    if limit_mm <= known.rule_mm:
        return Answer(limit_mm, None, None, ruled=True)
    if limit_mm <= known.kept_from_mm:
        return Answer(limit_mm, None, None)
    found = axes(
        known.lives,
        known.deaths.fishing,
        kept_from_mm=known.kept_from_mm,
        limit_mm=limit_mm,
        fair_years=lines.fair_years,
    )
    harvest = Harvest(
        some(known.lives),
        known.deaths.fishing[:HARVEST_DRAWS],
        known.now,
        known.rule(limit_mm, asked.choice.limit.caught_below),
    )
    judged = judge(found, lines)
    withheld = known.contradiction if judged.verdict is Verdict.HARVEST else ""
    return Answer(limit_mm, found, judged, harvest=harvest, withheld=withheld)


def some(lives: Lives, count: int = HARVEST_DRAWS) -> Lives:
    """Give the first draws alone, for what takes long to work out."""
    return replace(
        lives,
        length_max_mm=lives.length_max_mm[:count],
        rate=lives.rate[:count],
        age_zero=lives.age_zero[:count],
        natural=lives.natural[:count],
    )
