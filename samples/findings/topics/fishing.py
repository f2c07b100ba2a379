"""Natural mortality and fishing beside total mortality: rules of thumb, what was entered, tags."""

from decimal import Decimal

import numpy as np

from samples.findings.page_model import (
    Cell,
    Column,
    Count,
    Joined,
    Missing,
    Number,
    Sentence,
    Share,
    Table,
    Text,
    interval,
    percent_interval,
)
from samples.findings.topics.died import Died
from samples.findings.topics.grown import curve_of
from samples.findings.topics.intervals import fishing_calibration
from samples.findings.topics.query import FishGroup, TopicQuery
from samples.models import NaturalDeath, TagReturns
from samples.science.errors import CannotEstimate
from samples.science.length_limit.inputs import Tags, natural_from_shares, taken_by_tags
from samples.science.rates import (
    Exploitation,
    exploitation_from_tags,
    fishing_left,
    natural_from_growth,
    natural_from_oldest,
    rates_of,
)
from samples.science.tags import (
    FEWEST_RETURNS,
    FishingCompared,
    compare_fishing,
    draw_reporting_rate,
)

REPORTING_DRAWS = 4_000


def natural_tables(query: TopicQuery, found: list[Died]) -> list[Table]:
    """Set natural death by rules of thumb beside what was entered: none of them is a result."""
    by_name = {one.name: one for one in found}
    stocks = [stock for stock in query.stocks() if stock.name in by_name]
    rows = [row for stock in stocks for row in _natural_rows(query, stock)]
    older = [row for one in stocks for row in _older_rows(query, one, by_name[one.name].curve.z)]
    columns = [
        Column(query.what),
        Column("From"),
        Column("M, per year", "M", "per year"),
        Column("Natural mortality per year, %", "Natural mortality per year", "%"),
    ]
    tables = []
    if older:
        tables = [
            Table(
                name="older-natural-death",
                caption="Natural mortality (M) by older rules of thumb",
                columns=columns,
                rows=older,
                note="Then et al. (2015). Not averaged with the others, and not used where M was "
                "entered.",
                folded=True,
            )
        ]
    if not rows:
        return tables
    return [
        Table(
            name="natural-death",
            caption="Natural mortality (M)",
            columns=columns,
            rows=rows,
            note="M is not estimated from these fish. Rules of thumb can be off by half or more. "
            "Maximum age must come from a lightly fished population: a fished lake gives an M as "
            "large as Z. Enter M under Rates.",
        ),
        *tables,
    ]


def _older_rows(query: TopicQuery, group: FishGroup, total: float) -> list[list[Cell]]:
    rows: list[list[Cell]] = []
    try:
        curve, _, _ = curve_of(query, group.sample)
        rate = natural_from_growth(curve.linf_mm, curve.k)
        above = ", above Z of these fish: not possible" if rate >= total else ""
        words = f"Linf and K of these fish (Then et al. 2015){above}"
        rows.append([Text(group.name), Text(words), *_as_rate(rate)])
    except CannotEstimate:
        pass  # no curve, no rule of thumb from it
    entered = query.loaded.entered.of(group.species, group.arm).natural
    if entered and entered.oldest_years:
        oldest = natural_from_oldest(entered.oldest_years)
        words = f"oldest fish, {entered.oldest_years} years (Then et al. 2015)"
        rows.append([Text(group.name), Text(words), *_as_rate(oldest["then"])])
    return rows


def _natural_rows(query: TopicQuery, group: FishGroup) -> list[list[Cell]]:
    rows: list[list[Cell]] = []
    entered = query.loaded.entered.of(group.species, group.arm).natural
    if entered is None:
        return rows
    if entered.oldest_years:
        oldest = natural_from_oldest(entered.oldest_years)
        words = f"oldest fish, {entered.oldest_years} years (Hamel & Cope 2022)"
        rows.append([Text(group.name), Text(words), *_as_rate(oldest["hamel"])])
    of = entered.arm.name if entered.arm else "the whole lake"
    for word in ("least", "middle", "most"):
        rate = _rate_of(getattr(entered, word))
        source = Text(f"{word} of {of}: {entered.source}")
        rows.append([Text(group.name), source, *_as_rate(rate)])
    return rows


def _rate_of(share: Decimal) -> float:
    """Return M, per year, of the share that dies of natural causes in a year."""
    return -float(np.log1p(-float(share)))


def fishing_by_difference(total: Died, entered: NaturalDeath) -> float:
    """Return F = Z - M of the estimates themselves, as every page gives it."""
    return total.curve.z - _rate_of(entered.middle)


def _as_rate(rate: float) -> list[Cell]:
    return [Number(rate, 2), Share(-float(np.expm1(-rate)))]


def fishing_tables(query: TopicQuery, found: list[Died]) -> list[Table]:
    """Take natural death, as entered, off total death; what is left is fishing."""
    by_name = {one.name: one for one in found}
    rows = [
        row
        for stock in query.stocks()
        if stock.name in by_name
        for row in _parts_row(query, stock, by_name[stock.name])
    ]
    if not rows:
        return []
    return [
        Table(
            name="fishing",
            caption="Fishing mortality as F = Z - M",
            columns=[
                Column(query.what),
                Column("M, per year", "M", "per year"),
                Column("F = Z - M", "F", "per year"),
                Column("95% CI", "F", "per year"),
                Column("Exploitation (u), %", "Exploitation u", "%"),
                Column("F at or below 0, % of draws", "Draws of F at or below 0", "%"),
            ],
            rows=rows,
            note="M as entered. Draws of F at or below 0 are counted, never set to 0.",
        ),
        fishing_calibration(),
    ]


def _parts_row(query: TopicQuery, group: FishGroup, one: Died) -> list[list[Cell]]:
    entered = query.loaded.entered.of(group.species, group.arm).natural
    if entered is None:
        return []
    drawn = _natural_drawn(query, entered, one.drawn.size)
    left = fishing_left(one.drawn, drawn)
    rate = _rate_of(entered.middle)
    fishing = fishing_by_difference(one, entered)
    lower, upper = np.quantile(left.f, (0.025, 0.975))
    ends = interval(float(lower), float(upper), 2)
    taken: Cell = Missing("F is not above 0")
    if fishing > 0:
        taken = Share(float(rates_of(fishing, rate).u))
    never = Share(left.not_above_zero)
    return [[Text(one.name), Number(rate, 2), Number(fishing, 2), ends, taken, never]]


def tags_of(row: TagReturns) -> Tags:
    """Return the tags of one season as the estimators take them."""
    return Tags(
        row.tags_out,
        row.returned,
        float(row.reporting_least),
        float(row.reporting_most),
        float(row.tags_kept),
        float(row.survived_tagging),
        row.returned_released,
        row.high_reward_out or 0,
        row.high_reward_returned or 0,
    )


def compared(
    query: TopicQuery, natural: np.ndarray, total: Died, rows: list[TagReturns]
) -> FishingCompared | None:
    """Set F by tags beside F = Z - M; nothing where either cannot be drawn."""
    rng = query.rng
    try:
        taken = taken_by_tags(rng, natural.size, [tags_of(one) for one in rows])
        return compare_fishing(rng.choice(total.drawn, natural.size), natural, taken)
    except CannotEstimate:
        return None


def compared_tables(query: TopicQuery, found: list[Died]) -> tuple[list[Table], list[Sentence]]:
    """Set the two ways to fishing side by side, with what each implies for M; and warn."""
    by_name = {one.name: one for one in found}
    rows: list[list[Cell]] = []
    said: list[Sentence] = []
    for stock in query.stocks():
        given = query.loaded.entered.of(stock.species, stock.arm)
        if stock.name not in by_name or given.natural is None or not given.tags:
            continue
        total = by_name[stock.name]
        natural = _natural_drawn(query, given.natural, total.drawn.size)
        both = compared(query, natural, total, given.tags)
        if both is not None:
            rate = _rate_of(given.natural.middle)
            fishing = fishing_by_difference(total, given.natural)
            rows.append(_compared_row(stock.name, rate, fishing, both))
            said += _compared_text(stock.name, fishing, both, given.tags)
    if not rows:
        return [], said
    table = Table(
        name="fishing-compared",
        caption="Fishing mortality (F): Z - M against tags",
        columns=[
            Column(query.what),
            Column("M, as entered", "M as entered", "per year"),
            Column("F = Z - M", "F by Z - M", "per year"),
            Column("95% CI", "F by Z - M", "per year"),
            Column("F by tags", unit="per year"),
            Column("95% CI", "F by tags", "per year"),
            Column("M implied by tags", unit="per year"),
            Column("95% CI", "M implied by tags", "per year"),
            Column("They agree"),
        ],
        rows=rows,
        note="F by tags is u Z / A (Ricker 1975); the M that tags imply is Z less that. "
        "Reporting rate is estimated from high-reward tags if 10 or more were returned "
        "(Pollock et al. 2001), else the range entered. Tags of released fish are not harvest.",
    )
    return [table], said


def _natural_drawn(query: TopicQuery, entered: NaturalDeath, draws: int) -> np.ndarray:
    least, middle, most = (float(x) for x in (entered.least, entered.middle, entered.most))
    return natural_from_shares(query.rng, draws, least=least, middle=middle, most=most)


def _compared_row(name: str, natural: float, fishing: float, both: FishingCompared) -> list[Cell]:
    """Set M as entered and Z less it, as in the table of F, beside what the tags say."""
    cells: list[Cell] = [Text(name), Number(natural, 2)]
    for drawn in (both.f_by_total, both.f_by_tags, both.m_by_tags):
        lower, middle, upper = (float(x) for x in np.quantile(drawn, (0.025, 0.5, 0.975)))
        estimate = fishing if drawn is both.f_by_total else middle
        cells += [Number(estimate, 2), interval(lower, upper, 2)]
    return [*cells, Text("no" if both.disagree else "yes")]


def _compared_text(
    name: str, by_total: float, both: FishingCompared, rows: list[TagReturns]
) -> list[Sentence]:
    """Return where the two disagree, and which of them to trust."""
    if not both.disagree:
        return []
    harvested = sum(one.returned for one in rows)
    measured = all(tags_of(one).reporting_measured for one in rows)
    by_tags = float(np.median(both.f_by_tags))
    disagree = f"F is {by_total:.2f} by Z - M and {by_tags:.2f} by tags. They disagree."
    if measured and harvested >= FEWEST_RETURNS:
        trust = "Prefer the tags: their reporting rate was estimated. Check M."
        return [Sentence("prefer_tags", f"{disagree} {trust}").of(name)]
    measure = "Estimate the reporting rate with high-reward tags, and check M."
    return [Sentence("measure_reporting", f"{disagree} {measure}").of(name)]


def tag_tables(query: TopicQuery) -> list[Table]:
    rows = []
    for one in query.loaded.entered.tags_of(query.choice.species):
        found = tags(query, one)
        if found is not None:
            returned = (("", Count(one.returned)), ("of tags out", Count(one.tags_out)))
            rows.append(
                [
                    Text(one.arm.name if one.arm else "Whole lake"),
                    Text(one.season.name),
                    Joined("{} of {}", returned),
                    Count(one.returned_released),
                    _reporting_cell(query, one),
                    Share(found.u),
                    percent_interval(found.lower, found.upper, 0),
                    Text(one.source),
                ]
            )
    if not rows:
        return []
    return [
        Table(
            name="tags",
            caption="Exploitation from tags",
            columns=[
                Column("Arm"),
                Column("Season"),
                Column("Returned, fish kept"),
                Column("Returned, fish released"),
                Column("Reporting rate, %", "Reporting rate", "%"),
                Column("Exploitation (u), %", "Exploitation u", "%"),
                Column("95% CI, %", "Exploitation u", "%"),
                Column("Source"),
            ],
            rows=rows,
        )
    ]


def _reporting_cell(query: TopicQuery, row: TagReturns) -> Cell:
    basis = "measured" if tags_of(row).reporting_measured else "as entered"
    ends = percent_interval(*reporting_of(query, row), 0)
    return Joined("{}, {}", (("", ends), ("basis", Text(basis))))


def reporting_of(query: TopicQuery, row: TagReturns) -> tuple[float, float]:
    """Return the range of the reporting rate: the measured one's 95% interval, or as entered."""
    one = tags_of(row)
    if not one.reporting_measured:
        return one.reporting_least, one.reporting_most
    drawn = draw_reporting_rate(
        query.rng,
        REPORTING_DRAWS,
        standard_out=one.out,
        standard_returned=row.returns,
        high_out=one.high_out,
        high_returned=one.high_returned,
    )
    low, high = np.quantile(drawn, (0.025, 0.975))
    return float(low), float(high)


def tags(query: TopicQuery, row: TagReturns) -> Exploitation | None:
    """Estimate the share taken from one row of tag returns; nothing where they contradict."""
    try:
        return exploitation_from_tags(
            row.tags_out,
            row.returned,
            reporting=reporting_of(query, row),
            tags_kept=float(row.tags_kept),
            survived=float(row.survived_tagging),
        )
    except CannotEstimate:
        return None
