"""Natural mortality and fishing beside total mortality: rules of thumb, what was entered, tags."""

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
from samples.findings.topics.fishing import m_of, tags_of
from samples.findings.topics.intervals import fishing_calibration
from samples.findings.topics.mortality.analyse import GroupMortality, TagEstimate
from samples.findings.topics.query import TopicQuery
from samples.science.tags import FEWEST_RETURNS, FishingCompared


def natural_tables(query: TopicQuery, found: list[GroupMortality]) -> list[Table]:
    """Set natural death by rules of thumb beside what was entered: none of them is a result."""
    rows = [row for one in found for row in _natural_rows(one)]
    older = [row for one in found for row in _older_rows(one)]
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


def _older_rows(one: GroupMortality) -> list[list[Cell]]:
    rows: list[list[Cell]] = []
    by_growth, by_oldest = one.rules.by_growth, one.rules.by_oldest_then
    if by_growth is not None:
        impossible = by_growth >= one.total.curve.z
        above = ", above Z of these fish: not possible" if impossible else ""
        words = f"Linf and K of these fish (Then et al. 2015){above}"
        rows.append([Text(one.name), Text(words), *_as_rate(by_growth)])
    entered = one.entered.natural
    if entered is not None and by_oldest is not None:
        words = f"oldest fish, {entered.oldest_years} years (Then et al. 2015)"
        rows.append([Text(one.name), Text(words), *_as_rate(by_oldest)])
    return rows


def _natural_rows(one: GroupMortality) -> list[list[Cell]]:
    rows: list[list[Cell]] = []
    entered = one.entered.natural
    if entered is None:
        return rows
    if one.rules.by_oldest is not None:
        words = f"oldest fish, {entered.oldest_years} years (Hamel & Cope 2022)"
        rows.append([Text(one.name), Text(words), *_as_rate(one.rules.by_oldest)])
    of = entered.arm_name or "the whole lake"
    ends = {"least": entered.least, "middle": entered.middle, "most": entered.most}
    for word, share in ends.items():
        source = Text(f"{word} of {of}: {entered.source}")
        rows.append([Text(one.name), source, *_as_rate(m_of(share))])
    return rows


def _as_rate(rate: float) -> list[Cell]:
    return [Number(rate, 2), Share(-float(np.expm1(-rate)))]


def fishing_tables(query: TopicQuery, found: list[GroupMortality]) -> list[Table]:
    """Take natural death, as entered, off total death; what is left is fishing."""
    rows = [row for one in found for row in _parts_row(one)]
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


def _parts_row(one: GroupMortality) -> list[list[Cell]]:
    left = one.left
    if left is None:
        return []
    taken: Cell = Missing("F is not above 0") if left.u is None else Share(left.u)
    ends, never = interval(left.lower, left.upper, 2), Share(left.not_above_zero)
    return [[Text(one.name), Number(left.m, 2), Number(left.f, 2), ends, taken, never]]


def compared_tables(
    query: TopicQuery, found: list[GroupMortality]
) -> tuple[list[Table], list[Sentence]]:
    """Set the two ways to fishing side by side, with what each implies for M; and warn."""
    rows: list[list[Cell]] = []
    said: list[Sentence] = []
    for one in found:
        if one.left is not None and one.ways is not None:
            rows.append(_compared_row(one.name, one.left.m, one.left.f, one.ways))
            said += _compared_text(one, one.left.f, one.ways)
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


def _compared_row(name: str, natural: float, fishing: float, both: FishingCompared) -> list[Cell]:
    """Set M as entered and Z less it, as in the table of F, beside what the tags say."""
    cells: list[Cell] = [Text(name), Number(natural, 2)]
    for drawn in (both.f_by_total, both.f_by_tags, both.m_by_tags):
        lower, middle, upper = (float(x) for x in np.quantile(drawn, (0.025, 0.5, 0.975)))
        estimate = fishing if drawn is both.f_by_total else middle
        cells += [Number(estimate, 2), interval(lower, upper, 2)]
    return [*cells, Text("no" if both.disagree else "yes")]


def _compared_text(one: GroupMortality, by_total: float, both: FishingCompared) -> list[Sentence]:
    """Return where the two disagree, and which of them to trust."""
    if not both.disagree:
        return []
    rows = one.entered.tags
    harvested = sum(row.returned for row in rows)
    measured = all(tags_of(row).reporting_measured for row in rows)
    by_tags = float(np.median(both.f_by_tags))
    disagree = f"F is {by_total:.2f} by Z - M and {by_tags:.2f} by tags. They disagree."
    if measured and harvested >= FEWEST_RETURNS:
        trust = "Prefer the tags: their reporting rate was estimated. Check M."
        return [Sentence("prefer_tags", f"{disagree} {trust}").of(one.name)]
    measure = "Estimate the reporting rate with high-reward tags, and check M."
    return [Sentence("measure_reporting", f"{disagree} {measure}").of(one.name)]


def tag_tables(found: list[TagEstimate]) -> list[Table]:
    """Return exploitation by the tags of each season."""
    rows = [_tags_row(one) for one in found]
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


def _tags_row(one: TagEstimate) -> list[Cell]:
    row = one.row
    returned = (("", Count(row.returned)), ("of tags out", Count(row.tags_out)))
    basis = Text("measured" if one.is_measured else "as entered")
    reporting = (("", percent_interval(*one.reporting, 0)), ("basis", basis))
    return [
        Text(row.arm_name or "Whole lake"),
        Text(row.season),
        Joined("{} of {}", returned),
        Count(row.returned_released),
        Joined("{}, {}", reporting),
        Share(one.found.u),
        percent_interval(one.found.lower, one.found.upper, 0),
        Text(row.source),
    ]
