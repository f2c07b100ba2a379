"""Total mortality from the ages of the measured fish, and what it leaves to fishing."""

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
from samples.findings.sample import Floats, Ints
from samples.findings.topics.account import PICKED_WORDS, Account
from samples.findings.topics.ages import ages_text
from samples.findings.topics.died import Died
from samples.findings.topics.headline import extremes, in_group
from samples.findings.topics.intervals import calibration
from samples.findings.topics.mortality.analyse import GroupMortality, Mortality, analyse
from samples.findings.topics.mortality.fishing_tables import (
    compared_tables,
    fishing_tables,
    natural_tables,
    tag_tables,
)
from samples.findings.topics.query import NO_AGED_FISH, TopicQuery

# A class whose fish move Z by more than its standard error deserves a word.
MOVES_MUCH = 1.0
TREND = "A steady trend in recruitment looks the same as a change in Z."


def build(query: TopicQuery) -> Page:
    """Return total mortality of each group."""
    title = f"{query.species}: mortality, {query.choice.season_words}"
    found = analyse(
        query.study,
        query.sample,
        query.stocks(),
        entered=query.loaded.entered,
        species=query.choice.species.species_id,
    )
    groups, totals = found.groups, [one.total for one in found.groups]
    refused = [
        Sentence(problem.code, problem.sentence).of(name) for name, problem in found.refused.items()
    ]
    if not groups:
        return Page(title, refused=joined(refused) or NO_AGED_FISH)
    compared, disagree = compared_tables(query, groups)
    return Page(
        title=title,
        answer=_answer(query, totals),
        summary=[_lead(one) for one in totals],
        warnings=[*disagree, *_warnings(query, found)],
        plots=[_plot(query, groups)],
        tables=[
            _table(query, totals),
            *compared,
            *natural_tables(query, groups),
            *fishing_tables(query, groups),
            *tag_tables(found.tags),
            _older(query, totals),
            calibration(),
        ],
        left_out=[*refused, *_account(query, found).sentences(), *query.left_out],
        cautions=[
            TREND,
            "All fully recruited ages are assumed to have the same mortality and catchability.",
            *query.cautions(),
        ],
    )


def _account(query: TopicQuery, found: Mortality) -> Account:
    """Account for every measured fish: in a catch curve, or excluded."""
    out = found.excluded
    account = Account("measured fish", query.sample.n)
    account.exclude("picked_by_size", out.picked, PICKED_WORDS)
    account.exclude("no_group", out.of_no_group, "fish belong to no group with an estimate here.")
    account.exclude(
        "no_age_known",
        out.no_age_known,
        "fish are of lengths, or of seasons, at which no fish was aged.",
    )
    account.exclude(
        "too_young", out.too_young, "fish are younger than the first fully recruited age."
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
    lower, upper = (100 * end for end in one.annual_interval)
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


def _warnings(query: TopicQuery, found: Mortality) -> list[Sentence]:
    said = query.pooled()
    for one in (group.total for group in found.groups):
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
    if found.mostly_kept:
        words = (
            "Anglers kept most of the measured fish: this is how the harvest falls with age. The "
            "fish in the lake may differ."
        )
        said.append(Sentence("ages_of_harvest", words))
    return said


def _plot(query: TopicQuery, found: list[GroupMortality]) -> Plot:
    panels = []
    for group in found:
        one, dots = group.total, group.dots
        panels.append(
            Panel(
                one.name,
                [
                    Series(
                        "dots",
                        _floats(dots.ages),
                        _floats(dots.logs),
                        lower=_floats(dots.lower),
                        upper=_floats(dots.upper),
                        name="log of fish at age",
                    ),
                    Series(
                        "line", _floats(dots.line_ages), _floats(dots.line_logs), name="estimate"
                    ),
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


def _floats(values: Floats | Ints) -> list[float]:
    return [float(one) for one in values]


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
