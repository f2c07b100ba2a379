"""The nets of a plan: sets that are planned at each station, and what nets caught so far."""

from django.urls import reverse
from django.utils.http import urlencode

from samples.findings.page_model import Cell, Column, Count, Missing, Number, Table, Text
from samples.models import PlannedSets
from samples.nets.queries import plan_of, sets_made
from samples.seasons.presenters.plan.parts import SeasonPlan, Section
from samples.seasons.queries.plan import NetSets, net_sets


def nets_section(plan: SeasonPlan) -> Section:
    """Return the sets planned at each station, and the net sets of this season and the last."""
    lake = plan.season.lake
    planned = plan_of(plan.season)
    tables = [one for one in (_planned_table(plan, planned), _sets_table(plan)) if one]
    change = (
        f"{reverse('nets:plan', args=[lake.slug])}?{urlencode({'season': plan.season.name})}",
        "Plan net sets",
    )
    facts = _planned_facts(planned)
    notes = [] if planned else ["No net sets planned."]
    if len(tables) == bool(planned):
        notes.append("No net sets this season or last." if plan.last else "No net sets so far.")
    return Section("nets", "Nets", facts, tables, notes, links=[change])


def _planned_facts(planned: list[PlannedSets]) -> list[tuple[str, str]]:
    """Return effort and gear, which are one for all sets of a plan."""
    if not planned:
        return []
    nights, mesh = planned[0].net_nights, planned[0].net_mesh_mm
    each = f"{nights} net night{'' if nights == 1 else 's'}"
    return [("Each set", f"{each}, {mesh} mm mesh" if mesh else each)]


def _planned_table(plan: SeasonPlan, planned: list[PlannedSets]) -> Table | None:
    """Return the sets planned at each station, those made there, and those left."""
    if not planned:
        return None
    made = sets_made(plan.season)
    rows: list[list[Cell]] = []
    totals = [0, 0, 0]
    for row in planned:
        name = f"{row.arm.name}, {row.reach.name}" if row.reach else row.arm.name
        done = made.get((row.arm_id, row.reach_id), 0)
        numbers = [row.sets, done, max(0, row.sets - done)]
        rows.append([Text(name), *map(Count, numbers)])
        totals = [a + b for a, b in zip(totals, numbers, strict=True)]
    if len(rows) > 1:
        rows.append([Text("Total"), *map(Count, totals)])
    heads = ("Station", "Sets planned", "Made", "Left")
    return Table("net-plan", "Planned net sets", [Column(one) for one in heads], rows)


def _sets_table(plan: SeasonPlan) -> Table | None:
    """Return the net sets of this season, beside those of the last."""
    lake = plan.season.lake
    now = net_sets(lake, plan.season)
    before = net_sets(lake, plan.last) if plan.last else []
    if not now and not before:
        return None
    keys = list(dict.fromkeys((one.method, one.arm) for one in [*now, *before]))
    this_of = {(one.method, one.arm): one for one in now}
    last_of = {(one.method, one.arm): one for one in before}
    rows = [_nets_row(key, this_of.get(key), last_of.get(key), plan) for key in keys]
    heads = ["Method", "Arm", "Sets", "Net nights", "Fish", "Fish per net night"]
    if plan.last:
        heads += [f"Sets {plan.last}", f"Fish per net night {plan.last}"]
    return Table("nets", "Net sets and catch", [Column(one) for one in heads], rows)


def _nets_row(
    key: tuple[str, str], this: NetSets | None, last: NetSets | None, plan: SeasonPlan
) -> list[Cell]:
    one = this or NetSets(*key, 0, 0, 0)
    cells: list[Cell] = [Text(one.method), Text(one.arm), Count(one.sets)]
    cells += [Count(one.net_nights), Count(one.fish), _rate(one)]
    if plan.last:
        cells += [Count(last.sets if last else 0), _rate(last)]
    return cells


def _rate(sets: NetSets | None) -> Cell:
    rate = sets.per_night if sets else None
    return Missing("no net nights") if rate is None else Number(rate, 1)
