"""Other rules beside a minimum limit: protected slot, one over, creel limit, no limit at all."""

import numpy as np

from samples.findings.page_model import (
    PERCENT,
    Cell,
    Column,
    Missing,
    Number,
    Sentence,
    Table,
    Text,
)
from samples.findings.topics.length_limit.analyse import ArmLimits, Kind, Regulation
from samples.findings.topics.length_limit.stock import Known
from samples.findings.topics.length_limit.table_cells import change_cell, change_text, mean_cell
from samples.findings.topics.query import TopicQuery
from samples.science.length_limit.verdict import Change

OVER_PREFERRED = "Change in fish over the preferred length"
NO_TRIPS = "Enter the fish kept per angler trip now, under Fish included and rules."


def others(query: TopicQuery, arms: list[ArmLimits]) -> Table:
    """Set every rule asked about beside the present one, by the same model."""
    rows = [row for arm in arms for row in _rows(query, arm)]
    notes = [
        (
            "Change against the present rule with its 95% interval, per recruit, at steady "
            "recruitment and the same fishing. Released fish die as under Inputs."
        )
    ]
    if query.choice.limit.kept_a_trip:
        notes.append(
            "Daily limit and one-over: fish kept per trip follow a geometric distribution "
            "(default, no source), and effort stays the same."
        )
    else:
        notes.append(f"Daily limit and one-over: {NO_TRIPS[0].lower()}{NO_TRIPS[1:]}")
    return Table(
        name="other-rules",
        caption="Regulations side by side",
        columns=[
            Column(query.what),
            Column("Regulation"),
            Column("Weight harvested, %", "Change in weight harvested", "%"),
            Column("Number harvested, %", "Change in number harvested", "%"),
            Column("Mean length harvested"),
            Column("Fish over the preferred length, %", OVER_PREFERRED, "%"),
        ],
        rows=rows,
        note=" ".join(notes),
    )


def _rows(query: TopicQuery, arm: ArmLimits) -> list[list[Cell]]:
    known = arm.known
    mean = mean_cell(query, known.present.mean_length_mm)
    same, name = Missing("the present rule"), Text(known.name)
    rows: list[list[Cell]] = [[name, Text(_now_text(query, known)), same, same, mean, same]]
    for one in arm.regulations:
        changed = one.harvest.against_now
        rows.append(
            [
                name,
                Text(_rule_text(query, one)),
                change_cell(changed.weight),
                change_cell(changed.number),
                mean_cell(query, one.harvest.then.mean_length_mm),
                change_cell(changed.preferred),
            ]
        )
    return rows


def _rule_text(query: TopicQuery, one: Regulation) -> str:
    lengths = [query.with_unit(mm) for mm in one.lengths_mm]
    return {
        Kind.NO_LIMIT: "No minimum limit",
        Kind.MINIMUM: "Minimum {}",
        Kind.SLOT: "Protected slot {} to {}",
        Kind.ONE_OVER: "One fish per day over {}",
        Kind.CREEL: f"Daily limit {one.fish}",
    }[one.kind].format(*lengths)


def _now_text(query: TopicQuery, known: Known) -> str:
    if known.rule_mm:
        return f"In force: minimum {query.with_unit(known.rule_mm)}"
    return f"Now: anglers keep fish from {query.with_unit(known.kept_from_mm)}"


def removed_text(query: TopicQuery, arm: ArmLimits) -> list[Sentence]:
    """Return what removing the limit in force would do to the harvest."""
    return [
        _removed(query, arm.known, one.harvest.against_now)
        for one in arm.regulations
        if one.kind is Kind.NO_LIMIT
    ]


def _removed(query: TopicQuery, known: Known, changed: Change) -> Sentence:
    number = 100 * float(np.median(changed.number))
    return Sentence(
        "limit_removed",
        f"removing the {query.with_unit(known.rule_mm)} limit would change the weight "
        f"harvested by {change_text(changed.weight)} and the number of fish "
        f"harvested by {Number(number, unit=PERCENT, signed=True).text}.",
    ).of(known.name)
