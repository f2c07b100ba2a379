"""Other rules beside a minimum limit: protected slot, one over, creel limit, no limit at all."""

from dataclasses import replace

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
from samples.findings.topics.length_limit.stock import Harvest, Known
from samples.findings.topics.length_limit.table_cells import change_cell, change_text, mean_cell
from samples.findings.topics.query import TopicQuery
from samples.science.errors import CannotEstimate
from samples.science.length_limit.cases import given_up
from samples.science.length_limit.rules import Rule, creel_share, one_over_share

OVER_PREFERRED = "Change in fish over the preferred length"
NO_TRIPS = "Enter the fish kept per angler trip now, under Fish included and rules."


def others(query: TopicQuery, stocks: list[Known]) -> Table:
    """Set every rule asked about beside the present one, by the same model."""
    rows = [row for known in stocks for row in _rows(query, known)]
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


def _rows(query: TopicQuery, known: Known) -> list[list[Cell]]:
    mean = mean_cell(query, known.present.mean_length_mm)
    same, name = Missing("the present rule"), Text(known.name)
    rows: list[list[Cell]] = [[name, Text(_now_text(query, known)), same, same, mean, same]]
    for words, rule in rules_of(query, known):
        one = Harvest(known, rule)
        changed = one.against_now
        rows.append(
            [
                name,
                Text(words),
                change_cell(changed.weight),
                change_cell(changed.number),
                mean_cell(query, one.then.mean_length_mm),
                change_cell(changed.preferred),
            ]
        )
    return rows


def _now_text(query: TopicQuery, known: Known) -> str:
    if known.rule_mm:
        return f"In force: minimum {query.with_unit(known.rule_mm)}"
    return f"Now: anglers keep fish from {query.with_unit(known.kept_from_mm)}"


def rules_of(query: TopicQuery, known: Known) -> list[tuple[str, Rule]]:
    """Return each regulation that was asked about, with its name; what cannot be told stays out."""
    chosen, found = query.choice.limit, []
    if known.rule_mm:
        found.append(("No minimum limit", known.rule()))
    for limit in sorted(chosen.limits_mm):
        if limit != known.rule_mm and (limit > known.now.first_mm or limit < known.rule_mm):
            found.append((f"Minimum {query.with_unit(limit)}", known.rule(limit)))
    if chosen.slot_mm:
        low, high = (query.with_unit(end) for end in chosen.slot_mm)
        slot = replace(known.rule(), slot_mm=chosen.slot_mm)
        found.append((f"Protected slot {low} to {high}", slot))
    return found + _by_trip(query, known)


def _by_trip(query: TopicQuery, known: Known) -> list[tuple[str, Rule]]:
    """Return the rules that need the harvest of a trip."""
    chosen, found = query.choice.limit, []
    if not chosen.kept_a_trip:
        return []
    if chosen.over_mm:
        none_over = replace(known.now, over_mm=chosen.over_mm, share_over=0.0)
        over = np.clip(given_up(known.some, known.fishing, known.now, none_over), 0.0, 1.0)
        share = one_over_share(chosen.kept_a_trip, over)
        rule = replace(known.now, release_death=known.release[1], over_mm=chosen.over_mm)
        words = f"One fish per day over {query.with_unit(chosen.over_mm)}"
        found.append((words, replace(rule, share_over=share)))
    if chosen.creel_limit:
        try:
            share_kept = creel_share(
                chosen.kept_a_trip, chosen.creel_limit, in_force=known.daily_limit
            )
        except CannotEstimate:
            share_kept = creel_share(chosen.kept_a_trip, chosen.creel_limit)
        rule = replace(known.now, release_death=known.release[1], share_kept=share_kept)
        found.append((f"Daily limit {chosen.creel_limit}", rule))
    return found


def removed_text(query: TopicQuery, known: Known) -> list[Sentence]:
    """Return what removing the limit in force would do to the harvest."""
    if not known.rule_mm:
        return []
    changed = Harvest(known, known.rule()).against_now
    number = 100 * float(np.median(changed.number))
    return [
        Sentence(
            "limit_removed",
            f"removing the {query.with_unit(known.rule_mm)} limit would change the weight "
            f"harvested by {change_text(changed.weight)} and the number of fish "
            f"harvested by {Number(number, unit=PERCENT, signed=True).text}.",
        ).of(known.name)
    ]
