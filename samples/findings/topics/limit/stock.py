"""What is known of one arm's fish, as draws, and every answer about a limit that follows."""

from dataclasses import dataclass

import numpy as np

from samples.findings.queries import Sample
from samples.findings.queries.elsewhere import Elsewhere, elsewhere
from samples.findings.topics.asked import Asked, Stock
from samples.findings.topics.grown import Grown, grow
from samples.findings.topics.mortality import Died, die
from samples.models import ReleaseDeath
from samples.science.errors import CannotEstimate
from samples.science.length_limit.axes import Axes, axes
from samples.science.length_limit.fish_lives import Floats, Lives
from samples.science.length_limit.given import (
    Deaths,
    Tags,
    deaths_by_tags,
    deaths_by_total,
    natural_by_thumb,
    natural_from_shares,
    taken_by_tags,
)
from samples.science.length_limit.per_recruit import Rule
from samples.science.length_limit.verdict import Judged, judge
from samples.science.rates import natural_from_growth
from samples.science.size_structure import STANDARD_WEIGHTS, relative_weight

DRAWS = 1_000
# Where nothing was entered: some 5 to 15 % in spring. Common practice, no source.
ASSUMED_RELEASE_DEATH = (0.05, 0.10, 0.15)
FEWEST_WEIGHED = 20
MOST_SPREAD = 0.45


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
    release : tuple of float
        Share of released fish that die: least, middle, most.
    rests_on : list of (what, figure, source)
        Every input in words.
    warnings : list of str
    """

    name: str
    stock: Stock
    grown: Grown
    lives: Lives
    deaths: Deaths
    kept_from_mm: float
    release: tuple[float, float, float]
    release_given: str
    rests_on: list[tuple[str, str, str]]
    warnings: list[str]

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


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """A limit judged for one arm. ``axes`` are missing where anglers already keep none so short."""

    limit_mm: float
    axes: Axes | None
    judged: Judged | None


def know(asked: Asked, stock: Stock, given: Elsewhere | None = None) -> Known:
    """Bring together what is known of one arm's fish, and what was entered unless it is given.

    :raises CannotEstimate: in a sentence that says what is missing
    """
    _enough(asked, stock)
    given = given or elsewhere(asked.options.lake, asked.choice, stock.species, stock.arm)
    grown = grow(asked, stock.name, stock.sample)
    kept_from, kept_words = _kept_from(asked, grown, given)
    total = _total(asked, stock)
    rng = asked.rng
    natural, natural_words = _natural(rng, grown, given)
    deaths, fishing_words = _deaths(rng, natural, total, given)
    a, b, weight_words = weights_at_length(stock.species.species.code, stock.sample)
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
    release, release_words = _release(given, asked.choice.limit.release)
    return Known(
        name=stock.name,
        stock=stock,
        grown=grown,
        lives=lives,
        deaths=deaths,
        kept_from_mm=kept_from,
        release=release,
        release_given=_all_release(given),
        rests_on=[
            ("Growth", f"{grown.sample.n} aged fish", "these fish"),
            kept_words,
            natural_words,
            fishing_words,
            release_words,
            weight_words,
        ],
        warnings=_warnings(deaths, total),
    )


def answer(known: Known, asked: Asked, limit_mm: float) -> Answer:
    """Judge one limit; where anglers keep no fish under it, it changes nothing."""
    lines = asked.choice.limit.lines
    if limit_mm <= known.kept_from_mm:
        return Answer(limit_mm, None, None)
    found = axes(
        known.lives,
        known.deaths.fishing,
        kept_from_mm=known.kept_from_mm,
        limit_mm=limit_mm,
        fair_years=lines.fair_years,
    )
    return Answer(limit_mm, found, judge(found, lines))


# ---------- What it rests on ----------


def _enough(asked: Asked, stock: Stock) -> None:
    aged, wanted = int(np.count_nonzero(stock.sample.aged)), asked.choice.limit.fewest_aged
    if aged < wanted:
        raise CannotEstimate(
            "few_aged",
            f"a verdict wants {wanted} aged fish, and here are {aged}. Age {wanted - aged} more, "
            "small ones from trap nets among them.",
        )


def _kept_from(asked: Asked, grown: Grown, given: Elsewhere) -> tuple[float, tuple[str, str, str]]:
    what = "Anglers keep fish from"
    if grown.kept_from_mm is not None:
        words = (what, asked.with_unit(grown.kept_from_mm), "fish that anglers kept")
        return grown.kept_from_mm, words
    if given.creel and given.creel.smallest_kept_hundredths_mm:
        length = given.creel.smallest_kept_hundredths_mm / 100
        return length, (what, asked.with_unit(length), given.creel.source)
    raise CannotEstimate(
        "no_kept_length",
        "it is not known from which length anglers keep fish. Log twenty fish that anglers kept, "
        "or enter the smallest size kept of a creel survey.",
    )


def _total(asked: Asked, stock: Stock) -> Died | None:
    try:
        return die(asked, stock.name, stock.sample)
    except CannotEstimate:
        return None


def _natural(
    rng: np.random.Generator, grown: Grown, given: Elsewhere
) -> tuple[Floats, tuple[str, str, str]]:
    what = "Die of natural causes in a year"
    entered = given.natural
    if entered is None:
        curve = grown.fit.curve
        rate = natural_from_growth(curve.length_max_mm, curve.rate)
        drawn = natural_by_thumb(rng, DRAWS, rate)
        source = "rule of thumb from growth (Then et al. 2015): nothing was entered"
        return drawn, (what, _percents(-np.expm1(-drawn)), source)
    least, middle, most = (float(x) for x in (entered.least, entered.middle, entered.most))
    drawn = natural_from_shares(rng, DRAWS, least=least, middle=middle, most=most)
    figures = f"{100 * middle:.0f} % ({100 * least:.0f} to {100 * most:.0f})"
    return drawn, (what, figures, entered.source)


def _deaths(
    rng: np.random.Generator, natural: Floats, total: Died | None, given: Elsewhere
) -> tuple[Deaths, tuple[str, str, str]]:
    what = "Taken in a year"
    if given.tags:
        taken = taken_by_tags(rng, DRAWS, [_tags_of(one) for one in given.tags])
        deaths = deaths_by_tags(rng, natural, taken)
        seasons = ", ".join(one.season.name for one in given.tags)
        return deaths, (what, _percents(taken_of(deaths)), f"tag returns of {seasons}")
    if total is None:
        raise CannotEstimate(
            "no_fishing",
            "it is not known how many are taken. Put out tags and enter their returns, or age "
            "enough fish for a death rate.",
        )
    deaths = deaths_by_total(rng, natural, rng.choice(total.drawn, DRAWS))
    return deaths, (what, _percents(taken_of(deaths)), "all death less natural death, F = Z - M")


def _tags_of(row: object) -> Tags:
    names = ("tags_out", "returned", "reporting_least", "reporting_most", "tags_kept")
    out, returned, least, most, kept = (getattr(row, name) for name in names)
    survived = float(getattr(row, "survived_tagging"))  # noqa: B009 - like the others
    return Tags(out, returned, float(least), float(most), float(kept), survived)


def taken_of(deaths: Deaths) -> Floats:
    """Give the share taken in a year, u = F A / Z, shape (draws,)."""
    total = deaths.fishing + deaths.natural
    taken: Floats = deaths.fishing / total * -np.expm1(-total)
    return taken


def _percents(shares: Floats) -> str:
    low, middle, high = 100 * np.quantile(shares, (0.025, 0.5, 0.975))
    return f"{middle:.0f} % ({low:.0f} to {high:.0f})"


def _release(
    given: Elsewhere, chosen: str
) -> tuple[tuple[float, float, float], tuple[str, str, str]]:
    what = "Released fish die"
    rows = [one for one in given.release if str(one.pk) == chosen] or given.release
    if not rows:
        low, middle, high = ASSUMED_RELEASE_DEATH
        words = (what, "10 % (5 to 15)", "assumed, as in spring: nothing was entered")
        return (low, middle, high), words
    row: ReleaseDeath = rows[0]
    low, middle, high = (float(x) for x in (row.least, row.middle, row.most))
    figures = f"{100 * middle:.0f} % ({100 * low:.0f} to {100 * high:.0f})"
    when = f"{row.when}: " if row.when else ""
    return (low, middle, high), (what, figures, when + row.source)


def _all_release(given: Elsewhere) -> str:
    if not given.release:
        return "some 5 to 15 % in spring are assumed, and nothing was entered"
    return "; ".join(
        f"{100 * float(one.middle):.0f} % do ({one.when or one.source})" for one in given.release
    )


def weights_at_length(code: str, sample: Sample) -> tuple[float, float, tuple[str, str, str]]:
    """Give a and b of log10 weight on log10 length: of these fish, or the standard weight's."""
    what = "Weight at length"
    weighed = sample.weight_g > 0
    if np.count_nonzero(weighed) >= FEWEST_WEIGHED:
        x, y = np.log10(sample.length_mm[weighed]), np.log10(sample.weight_g[weighed])
        if x.std() > 0:
            b, a = np.polyfit(x, y, 1)
            return float(a), float(b), (what, f"{x.size} weighed fish", "these fish")
    if code not in STANDARD_WEIGHTS:
        return -5.0, 3.0, (what, "cube of the length", "no standard weight is published for it")
    line = STANDARD_WEIGHTS[code]
    try:
        found = relative_weight(code, sample.length_mm, sample.weight_g)
    except CannotEstimate:
        words = "standard weight (Neumann, Guy & Willis 2012)"
        return line.a, line.b, (what, words, "no fish were weighed")
    words = f"standard weight times mean Wr of {found.n} fish, {found.mean:.0f}"
    return line.a + float(np.log10(found.mean / 100)), line.b, (what, words, "these fish")


def _warnings(deaths: Deaths, total: Died | None) -> list[str]:
    said = []
    if deaths.contradicting > 0:
        said.append(
            f"In {100 * deaths.contradicting:.0f} % of the draws the figures contradict each "
            "other (more natural death than all death, or more taken than there are). They are "
            "left out here, and that is a reason to look at what was entered."
        )
    if total is not None:
        low, high = total.interval
        all_death = deaths.fishing + deaths.natural
        least, most = np.quantile(all_death, (0.025, 0.975))
        if least > high or most < low:
            said.append(
                f"Death by what was entered (Z {least:.2f} to {most:.2f}) and death by the ages of "
                f"the fish (Z {low:.2f} to {high:.2f}) differ. Harvested fish, or an uneven row "
                "of year classes, may be why; or a figure entered is not of this arm."
            )
    return said
