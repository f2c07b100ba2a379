"""Death rates from the ages of the measured fish, and what natural death leaves to fishing."""

from dataclasses import dataclass

import numpy as np

from samples.findings.queries import KEPT_BY_ANGLERS, Sample
from samples.findings.queries.elsewhere import elsewhere
from samples.findings.shown import Page, Panel, Plot, Series, Table
from samples.findings.topics.account import Account
from samples.findings.topics.asked import NO_AGED_FISH, Asked, Stock, interval
from samples.findings.topics.grown import grow
from samples.findings.topics.key import PICKED_WORDS, as_classes, structure_of
from samples.models import TagReturns
from samples.science.errors import CannotEstimate
from samples.science.length_limit.given import natural_from_shares
from samples.science.mortality import DeathRate, chapman_robson, drawn_rates, weighted_regression
from samples.science.rates import (
    Exploitation,
    exploitation_from_tags,
    fishing_left,
    natural_from_growth,
    natural_from_oldest,
    rates_of,
)


@dataclass(frozen=True, slots=True, eq=False)
class Died:
    """One group's death rate, by the ages of its measured fish."""

    name: str
    sample: Sample
    ages: np.ndarray
    numbers: np.ndarray
    rate: DeathRate
    regression: DeathRate | None
    drawn: np.ndarray
    drawn_numbers: np.ndarray

    @property
    def interval(self) -> tuple[float, float]:
        lower, upper = np.quantile(self.drawn, (0.025, 0.975))
        return float(lower), float(upper)


def die(asked: Asked, name: str, sample: Sample) -> Died:
    """Estimate one group's total death rate.

    :raises CannotEstimate: where its fish carry none
    """
    ages, numbers, drawn_numbers = _numbers(asked, sample)
    rate = chapman_robson(ages, numbers)
    try:
        regression = weighted_regression(ages, numbers)
    except CannotEstimate:
        regression = None
    drawn = drawn_rates(ages, drawn_numbers, first_age=rate.first_age)
    return Died(name, sample, ages, numbers, rate, regression, drawn, drawn_numbers)


def _numbers(asked: Asked, sample: Sample) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Add up the numbers at age of each season, each by its own key, and their resamples.

    :raises CannotEstimate: where no season has a key; of several, those without are left out
    """
    found = []
    rng = asked.rng
    problem = CannotEstimate("no_fish", NO_AGED_FISH)
    for season in np.unique(sample.season):
        try:
            of_season = as_classes(sample.where(sample.season == season))
            found.append(structure_of(asked, of_season, rng))
        except CannotEstimate as one:
            problem = one
    if not found:
        raise problem
    last = max(int(structure.ages[-1]) for _, structure, _ in found)
    ages = np.arange(min(int(structure.ages[0]) for _, structure, _ in found), last + 1)
    numbers = np.zeros(ages.size)
    drawn = np.zeros((found[0][2].numbers.shape[0], ages.size))
    for _, structure, resamples in found:
        places = structure.ages - ages[0]
        numbers[places] += structure.numbers
        drawn[:, places] += resamples.numbers
    return ages, numbers, drawn


def topic(asked: Asked) -> Page:
    """Give the death rate of each group."""
    title = f"{asked.species}: how fast they die, {asked.choice.season_words}"
    found, refused = asked.tried(lambda name, sample: die(asked, name, sample))
    if not found:
        return Page(title, refused=" ".join(refused) or NO_AGED_FISH)
    return Page(
        title=title,
        says=[_says(one) for one in found],
        warnings=_warnings(asked, found),
        plots=[_plot(found)],
        tables=[
            _table(asked, found),
            *_natural(asked, found),
            *_parts(asked, found),
            *_tags(asked),
        ],
        left_out=[*refused, *_account(asked, found).sentences(), *asked.left_out],
        cautions=[
            (
                "A catch curve supposes that about as many fish are hatched every year, that old "
                "and young are caught alike from the first age on, and that they die at one rate."
            ),
            *asked.cautions(),
        ],
    )


def _account(asked: Asked, found: list[Died]) -> Account:
    """Account for every measured fish: in a catch curve, or excluded; expanded numbers rounded."""
    sample = asked.sample
    account = Account("measured fish", sample.n)
    shown = np.isin(sample.fish, np.concatenate([one.sample.fish for one in found]))
    account.exclude(int(np.count_nonzero(shown & ~sample.of_sample)), PICKED_WORDS)
    account.exclude(int(np.count_nonzero(~shown)), "fish belong to no group with a rate here.")
    counted = int(np.count_nonzero(shown & sample.of_sample))
    with_age = round(sum(float(one.numbers.sum()) for one in found))
    account.exclude(
        counted - with_age, "fish are of lengths, or of seasons, at which no fish was aged."
    )
    in_curve = round(sum(one.rate.n for one in found))
    account.exclude(with_age - in_curve, "fish are younger than the first age of their curve.")
    return account


def _says(one: Died) -> str:
    if one.rate.warnings:
        # A page does not give in its first line what its own warning takes back.
        return f"{one.name}: how many die in a year cannot be told. {one.rate.warnings[0][1]}"
    lower, upper = (100 * -np.expm1(-end) for end in one.interval)
    return (
        f"{one.name}: about {100 * one.rate.share:.0f} % die in a year ({lower:.0f} to "
        f"{upper:.0f} %), from the age after the most numerous, {one.rate.first_age}, on."
    )


def _warnings(asked: Asked, found: list[Died]) -> list[str]:
    said = asked.pooled()
    if len(asked.choice.seasons) < 3:
        said.append(
            "One season or two: a strong or a missing year class passes for a death rate. Take "
            "three seasons together, or follow the year classes."
        )
    kept = np.mean([method in KEPT_BY_ANGLERS for method in asked.sample.method])
    if kept > 0.5:
        said.append(
            "Most of the measured fish were kept by anglers: this is how the harvest falls with "
            "age, not the fish in the lake."
        )
    return said


def _plot(found: list[Died]) -> Plot:
    panels = []
    for one in found:
        positive = one.numbers > 0
        ages = [float(age) for age in one.ages[positive]]
        logs = [float(np.log(number)) for number in one.numbers[positive]]
        # Less than one fish in a draw is drawn as one: a logarithm has no other end.
        ends = np.quantile(one.drawn_numbers[:, positive], (0.025, 0.975), axis=0)
        lower, upper = np.log(np.maximum(ends, 1.0))
        counted = one.ages >= one.rate.first_age
        n = one.numbers[counted].sum()
        start = np.log(n * one.rate.share)
        line = [float(age) for age in one.ages[counted]]
        fitted = [float(start - one.rate.total * (age - line[0])) for age in line]
        panels.append(
            Panel(
                one.name,
                [
                    Series(
                        "dots",
                        ages,
                        logs,
                        lower=[float(end) for end in lower],
                        upper=[float(end) for end in upper],
                        name="log of fish at age",
                    ),
                    Series("line", line, fitted, name="estimate"),
                ],
                words=f"Z {one.rate.total:.2f}",
            )
        )
    return Plot(
        name="Catch curves",
        panels=panels,
        x_label="Age, years",
        y_label="Natural log of fish at age",
        alt="Log of the numbers at age with the estimated decline, one panel a group.",
        caption="Logarithm of the measured fish of each age, and the decline by the estimate "
        "(Chapman & Robson 1960), from the age after the most numerous on. Lines: 95 % intervals "
        "by parties, ending at one fish.",
        whole_x=True,
    )


def _table(asked: Asked, found: list[Died]) -> Table:
    rows = []
    for one in found:
        over = "–" if one.rate.over is None else f"{one.rate.over:.1f}"
        regression = "–" if one.regression is None else f"{one.regression.total:.2f}"
        rows.append(
            [
                one.name,
                str(one.rate.first_age),
                f"{one.rate.n:.0f}",
                f"{one.rate.total:.2f}",
                f"{one.rate.se:.2f}",
                interval(*one.interval, 2),
                f"{100 * one.rate.share:.0f}",
                over,
                regression,
            ]
        )
    return Table(
        name="death-rates",
        caption="Total death",
        heads=[
            asked.what,
            "From age",
            "Fish",
            "Z, per year",
            "se",
            "95 % interval by parties",
            "Die in a year, %",
            "c-hat",
            "Z by regression",
        ],
        rows=rows,
        note="Z: Chapman & Robson (1960) with the correction for small samples; se times the root "
        "of c-hat (Smith et al. 2012). Regression: weighted, from the most numerous age (Maceina & "
        "Bettoli 1998).",
    )


def _natural(asked: Asked, found: list[Died]) -> list[Table]:
    """Set natural death by rules of thumb beside what was entered: none of them is a result."""
    by_name = {one.name: one for one in found}
    rows = [
        row
        for stock in asked.stocks()
        if stock.name in by_name
        for row in _natural_rows(asked, stock, by_name[stock.name].rate.total)
    ]
    if not rows:
        return []
    return [
        Table(
            name="natural-death",
            caption="Natural death, M: borrowed, never measured here",
            heads=[asked.what, "From", "M, per year", "Die of natural causes in a year, %"],
            rows=rows,
            note="Rules of thumb err by a half and more. The oldest fish must come from a water "
            "that is hardly fished: the oldest of a fished lake makes M as large as Z. What is "
            "used is entered under Figures from elsewhere, for an arm or for the whole lake.",
        )
    ]


def _natural_rows(asked: Asked, stock: Stock, total: float) -> list[list[str]]:
    rows = []
    try:
        curve = grow(asked, stock.name, stock.sample).fit.curve
        rate = natural_from_growth(curve.length_max_mm, curve.rate)
        above = ", above all death by these fish, so it cannot be" if rate >= total else ""
        words = f"Linf and K of these fish (Then et al. 2015){above}"
        rows.append([stock.name, words, *_as_rate(rate)])
    except CannotEstimate:
        pass  # no curve, no rule of thumb from it
    entered = elsewhere(asked.options.lake, asked.choice, stock.species, stock.arm).natural
    if entered is None:
        return rows
    if entered.oldest_years:
        oldest = natural_from_oldest(entered.oldest_years)
        words = f"oldest fish, {entered.oldest_years} years"
        rows.append([stock.name, f"{words} (Then et al. 2015)", *_as_rate(oldest["then"])])
        rows.append([stock.name, f"{words} (Hamel & Cope 2022)", *_as_rate(oldest["hamel"])])
    of = entered.arm.name if entered.arm else "the whole lake"
    for word in ("least", "middle", "most"):
        rate = -float(np.log1p(-float(getattr(entered, word))))
        rows.append([stock.name, f"{word} of {of}: {entered.source}", *_as_rate(rate)])
    return rows


def _as_rate(rate: float) -> list[str]:
    return [f"{rate:.2f}", f"{-100 * np.expm1(-rate):.0f}"]


def _parts(asked: Asked, found: list[Died]) -> list[Table]:
    """Take natural death, as entered, off total death; what is left is fishing."""
    by_name = {one.name: one for one in found}
    rows = [
        row
        for stock in asked.stocks()
        if stock.name in by_name
        for row in _parts_row(asked, stock, by_name[stock.name])
    ]
    if not rows:
        return []
    return [
        Table(
            name="fishing",
            caption="What natural death leaves to fishing",
            heads=[
                asked.what,
                "M, per year",
                "F = Z - M",
                "95 % interval",
                "Taken in a year, %",
                "F at or below 0, % of draws",
            ],
            rows=rows,
            note="Natural death as entered. Draws at or below 0 contradict it and are counted, "
            "never set to 0.",
        )
    ]


def _parts_row(asked: Asked, stock: Stock, one: Died) -> list[list[str]]:
    entered = elsewhere(asked.options.lake, asked.choice, stock.species, stock.arm).natural
    if entered is None:
        return []
    least, middle, most = (float(x) for x in (entered.least, entered.middle, entered.most))
    drawn = natural_from_shares(asked.rng, one.drawn.size, least=least, middle=middle, most=most)
    left = fishing_left(one.drawn, drawn)
    rate = -float(np.log1p(-middle))
    fishing = one.rate.total - rate
    lower, upper = np.quantile(left.fishing, (0.025, 0.975))
    ends = interval(float(lower), float(upper), 2)
    taken = f"{100 * float(rates_of(fishing, rate).taken):.0f}" if fishing > 0 else "–"
    never = f"{100 * left.not_above_zero:.0f}"
    return [[one.name, f"{rate:.2f}", f"{fishing:.2f}", ends, taken, never]]


def _tags(asked: Asked) -> list[Table]:
    rows = []
    for one in TagReturns.objects.filter(
        lake=asked.options.lake,
        species=asked.choice.species.species,
        season__in=asked.choice.seasons,
    ).select_related("arm", "season"):
        found = tags(one)
        if found is not None:
            ends = interval(100 * found.lower, 100 * found.upper, 0)
            where = one.arm.name if one.arm else "Whole lake"
            returned = f"{one.returned} of {one.tags_out}"
            rows.append(
                [where, one.season.name, returned, f"{100 * found.share:.0f}", ends, one.source]
            )
    if not rows:
        return []
    return [
        Table(
            name="tags",
            caption="Taken in a year, from tags",
            heads=["Arm", "Season", "Tags back", "Taken, %", "95 % interval, %", "Source"],
            rows=rows,
        )
    ]


def tags(row: TagReturns) -> Exploitation | None:
    """Estimate the share taken from one row of tag returns; nothing where they contradict."""
    try:
        return exploitation_from_tags(
            row.tags_out,
            row.returned,
            reporting=(float(row.reporting_least), float(row.reporting_most)),
            tags_kept=float(row.tags_kept),
            survived=float(row.survived_tagging),
        )
    except CannotEstimate:
        return None
