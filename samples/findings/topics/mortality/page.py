"""Total mortality from the ages of the measured fish, and what it leaves to fishing."""

import numpy as np

from samples.findings.page_model import (
    Cell,
    Column,
    Count,
    Joined,
    Missing,
    Number,
    Page,
    Panel,
    Plot,
    Sentence,
    Series,
    Share,
    Table,
    Text,
    interval,
    joined,
)
from samples.findings.sample import KEPT_BY_ANGLERS
from samples.findings.topics.account import PICKED_WORDS, Account
from samples.findings.topics.ages import ages_text
from samples.findings.topics.died import Died, die
from samples.findings.topics.fishing import (
    compared_tables,
    fishing_tables,
    natural_tables,
    tag_tables,
)
from samples.findings.topics.headline import extremes, in_group
from samples.findings.topics.intervals import calibration
from samples.findings.topics.query import NO_AGED_FISH, TopicQuery

# A class whose fish move Z by more than its standard error deserves a word.
MOVES_MUCH = 1.0
TREND = "A steady trend in recruitment looks the same as a change in Z."


def build(query: TopicQuery) -> Page:
    """Return total mortality of each group."""
    title = f"{query.species}: mortality, {query.choice.season_words}"
    found, refused = query.tried(lambda name, sample: die(query, name, sample))
    if not found:
        return Page(title, refused=joined(refused) or NO_AGED_FISH)
    compared, disagree = compared_tables(query, found)
    return Page(
        title=title,
        answer=_answer(query, found),
        summary=[_lead(one) for one in found],
        warnings=[*disagree, *_warnings(query, found)],
        plots=[_plot(query, found)],
        tables=[
            _table(query, found),
            *compared,
            *natural_tables(query, found),
            *fishing_tables(query, found),
            *tag_tables(query),
            _older(query, found),
            calibration(),
        ],
        left_out=[*refused, *_account(query, found).sentences(), *query.left_out],
        cautions=[
            TREND,
            "All fully recruited ages are assumed to have the same mortality and catchability.",
            *query.cautions(),
        ],
    )


def _account(query: TopicQuery, found: list[Died]) -> Account:
    """Account for every measured fish: in a catch curve, or excluded; expanded numbers rounded."""
    sample = query.sample
    account = Account("measured fish", sample.n)
    shown = np.isin(sample.fish, np.concatenate([one.sample.fish for one in found]))
    account.exclude(
        "picked_by_size", int(np.count_nonzero(shown & ~sample.of_sample)), PICKED_WORDS
    )
    account.exclude(
        "no_group",
        int(np.count_nonzero(~shown)),
        "fish belong to no group with an estimate here.",
    )
    counted = int(np.count_nonzero(shown & sample.of_sample))
    with_age = round(sum(float(one.numbers.sum()) for one in found))
    account.exclude(
        "no_age_known",
        counted - with_age,
        "fish are of lengths, or of seasons, at which no fish was aged.",
    )
    in_curve = round(sum(one.n for one in found))
    account.exclude(
        "too_young", with_age - in_curve, "fish are younger than the first fully recruited age."
    )
    return account


def _lead(one: Died) -> str:
    curve = one.curve
    z, deaths = f"{curve.z:.2f}", f"{100 * curve.annual_mortality:.0f}%"
    first_ages = set(one.first_ages.values())
    of = f"n = {curve.aged} aged fish of " + (
        f"age {first_ages.pop()} and older"
        if len(first_ages) == 1
        else f"fully recruited ages: {one.from_ages} and older"
    )
    if one.one_trip:
        return (
            f"{one.name}: total mortality (Z) {z}, {deaths} die each year; {of}. All fish are "
            "from one trip, so there is no interval."
        )
    low, high = one.interval
    lower, upper = (100 * -np.expm1(-max(end, 0.0)) for end in (low, high))
    return (
        f"{one.name}: total mortality (Z) {z} (95% CI {low:.2f}-{high:.2f}). {deaths} die each "
        f"year ({lower:.0f}-{upper:.0f}); {of}."
    )


def _answer(query: TopicQuery, found: list[Died]) -> str:
    """Return the largest and the smallest share that dies each year."""
    dying = {one.name: 100 * one.curve.annual_mortality for one in found}
    said = [
        f"{dying[name]:.0f}% {in_group(query, name)}" for name in dict.fromkeys(extremes(dying))
    ]
    return f"Annual mortality: {', '.join(said)}"


def _head(one: Died) -> tuple[str, str]:
    low, high = one.interval
    return f"Z {one.curve.z:.2f}", "" if one.one_trip else f"({low:.2f}-{high:.2f})"


def _warnings(query: TopicQuery, found: list[Died]) -> list[Sentence]:
    said = query.pooled()
    for one in found:
        if one.curve.seasons == 1:
            words = (
                "one season cannot tell a strong or weak year class from mortality. The interval "
                "allows for it. Add seasons to narrow it."
            )
            said.append(Sentence("one_season", words).of(one.name))
        if one.curve.most_moved > MOVES_MUCH and one.curve.moved_by is not None:
            words = (
                f"without the {one.curve.moved_by} year class, Z changes by "
                f"{one.curve.most_moved:.1f} standard errors."
            )
            said.append(Sentence("one_class_moves", words).of(one.name))
    kept = np.mean([method in KEPT_BY_ANGLERS for method in query.sample.method])
    if kept > 0.5:
        words = (
            "Anglers kept most of the measured fish: this is how the harvest falls with age. The "
            "fish in the lake may differ."
        )
        said.append(Sentence("ages_of_harvest", words))
    return said


def _plot(query: TopicQuery, found: list[Died]) -> Plot:
    panels = []
    for one in found:
        positive = one.numbers > 0
        ages = [float(age) for age in one.ages[positive]]
        logs = [float(np.log(number)) for number in one.numbers[positive]]
        # Less than one fish in a draw is drawn as one: a logarithm has no other end.
        ends = np.quantile(one.drawn_numbers[:, positive], (0.025, 0.975), axis=0)
        lower, upper = np.log(np.maximum(ends, 1.0))
        # From here on every way of capture counts; the line holds as many fish as were caught.
        counted = one.ages >= max(caught.first_age for caught in one.caught)
        line = [float(age) for age in one.ages[counted]]
        decline = np.exp(-one.curve.z * (one.ages[counted] - one.ages[-1]))
        level = np.log(max(one.numbers[counted].sum(), 1.0) / max(decline.sum(), 1e-300))
        fitted = [float(level - one.curve.z * (age - one.ages[-1])) for age in line]
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
                note=f"n = {one.curve.aged}",
                answer=_head(one)[0],
                interval=_head(one)[1],
                foot=f"{100 * one.curve.annual_mortality:.0f}% die each year",
                says=_lead(one),
            )
        )
    return Plot(
        name="Catch curves",
        panels=panels,
        x_label="Age, years",
        y_label="Natural log of fish at age",
        alt="Log of the numbers at age with the estimated decline, one panel a group.",
        caption="Logarithm of the measured fish of each age, all seasons added up, and the decline "
        f"by Z from the age at which all gear counts. {ages_text(query.sample)} Bars: 95% CI by "
        "trips, ending at one fish. Year classes make the dots stray from the line.",
        whole_x=True,
    )


def _table(query: TopicQuery, found: list[Died]) -> Table:
    rows: list[list[Cell]] = []
    for one in found:
        curve = one.curve
        effective = sum(caught.effective for caught in one.caught)
        rows.append(
            [
                Text(one.name),
                Text(one.from_ages),
                Count(curve.seasons),
                Count(curve.aged),
                Number(one.n),
                Number(effective),
                Number(curve.z, 2),
                Missing("all fish are of one trip") if one.one_trip else interval(*one.interval, 2),
                Share(curve.annual_mortality),
                Number(curve.recruitment_sd, 2),
                _moved(curve.moved_by, curve.most_moved),
            ]
        )
    return Table(
        name="death-rates",
        caption="Total mortality",
        columns=[
            Column(query.what),
            Column("From age"),
            Column("Seasons"),
            Column("Aged", "Aged fish"),
            Column("Measured, expanded", "Measured fish, expanded"),
            Column("Effective n"),
            Column("Z, per year", "Z", "per year"),
            Column("95% CI", "Z", "per year"),
            Column("Die each year, %", "Die each year", "%"),
            Column("Recruitment sd"),
            Column(
                "Largest shift from one year class, se", "Largest shift from one year class", "se"
            ),
        ],
        rows=rows,
        note="Numbers at age of each season: Poisson, with a level for each season, one Z, and "
        "year classes drawn towards the average by their own spread (recruitment sd, of the "
        "logarithm). From age: anglers' fish from the age at which 95% are long enough to be "
        "kept; net fish from the age after the most numerous. Effective n: independently aged fish "
        f"that would tell as much. {TREND}",
    )


def _moved(year_class: int | None, errors: float) -> Cell:
    """Return by how many standard errors Z moves without the year class that moves it most."""
    if year_class is None:
        return Missing("no class can be left out")
    return Joined("{} ({})", (("", Number(errors, 1)), ("year", Count(year_class))))


def _older(query: TopicQuery, found: list[Died]) -> Table:
    none = Missing("no estimate of these ages")
    rows: list[list[Cell]] = []
    for one in found:
        chapman, regression = one.chapman, one.regression
        over = None if chapman is None else chapman.over
        rows.append(
            [
                Text(one.name),
                none if chapman is None else Count(chapman.first_age),
                none if chapman is None else Number(chapman.z, 2),
                none if chapman is None else Number(chapman.se, 2),
                none if over is None else Number(over, 1),
                none if regression is None else Number(regression.z, 2),
            ]
        )
    return Table(
        name="older-estimators",
        caption="Older estimators of Z, all seasons added up",
        columns=[
            Column(query.what),
            Column("From age", unit="years"),
            Column("Z, Chapman-Robson", "Z by Chapman-Robson", "per year"),
            Column("se", "se of Z by Chapman-Robson", "per year"),
            Column("c-hat"),
            Column("Z, weighted regression", "Z by weighted regression", "per year"),
        ],
        rows=rows,
        note="Chapman & Robson (1960) with the correction for small samples; se times the root of "
        "c-hat (Smith et al. 2012). Regression from the most numerous age (Maceina & Bettoli "
        "1998). Both assume steady recruitment. c-hat grows with the number of fish.",
        folded=True,
    )
