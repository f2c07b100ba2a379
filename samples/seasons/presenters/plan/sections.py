"""The sections of a plan, one function each; a further one is added to the list at the end."""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from itertools import accumulate
from urllib.parse import urlencode

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.formats import date_format

from samples.findings.page_model import Cell, Column, Count, Missing, Table, Text
from samples.models import Fish, LakeSpecies, Progress, Season
from samples.seasons.presenters.plan.nets import nets_section
from samples.seasons.presenters.plan.parts import PlannedSpecies, SeasonPlan, Section
from samples.seasons.presenters.progress import fillings_of, frame_of, try_forecast
from samples.seasons.presenters.tables import species_table
from samples.seasons.presenters.words import beside_coverage
from samples.seasons.queries.plan import donors_of, vials_at_hand
from samples.seasons.queries.weeks import SeasonChoice, season_rows
from samples.targets.queries.asks import asks_in_force
from samples.targets.queries.choice import CoverageOptions
from samples.targets.queries.set_targets import SetTarget
from samples.units import LengthUnit, bin_name

# What a target asks for, each with the words that follow its place.
OF_A_TARGET: list[tuple[str, Callable[[SetTarget], int]]] = [
    ("", lambda one: one.row[3]),
    (", from nets", lambda one: one.parts.from_nets),
    (", females", lambda one: one.parts.females),
    (", males", lambda one: one.parts.males),
]
NO_LIMIT = "No number of fish is entered for the permit. Check how many it allows."


def permit_section(plan: SeasonPlan) -> Section:
    """Return the permit, how long it is good, and what was collected under it."""
    season = plan.season
    change = (reverse("waters:season", args=[season.lake.slug, season.pk]), "Change the permit")
    collected = sum(one.filling.collected for one in plan.species)
    by_species = ", ".join(
        f"{one.name.lower()} {one.filling.collected}"
        for one in plan.species
        if one.filling.collected
    )
    facts = [("Number", season.permit_number or "not entered")]
    if season.permit_holder:
        facts.append(("Holder", season.permit_holder))
    if season.permit_until:
        facts.append(("Expires", _until(plan)))
    facts += [
        ("Season", f"{date_format(season.starts_on)} to {date_format(season.ends_on)}"),
        ("Collected", f"{collected} fish{f' ({by_species})' if by_species else ''}"),
    ]
    notes = [season.possession_reminder or NO_LIMIT]
    if season.carcass_note:
        notes.append(f"Carcasses: {season.carcass_note}")
    return Section("permit", "Permit", facts, (), notes, _permit_warnings(plan), [change])


def _until(plan: SeasonPlan) -> str:
    until = plan.season.permit_until
    if until is None:
        return ""
    left = (until - plan.today).days
    day = date_format(until)
    if left < 0:
        return f"{day}, {-left} day{'' if left == -1 else 's'} ago"
    return f"{day}, {left} day{'' if left == 1 else 's'} left"


def _permit_warnings(plan: SeasonPlan) -> list[str]:
    season = plan.season
    if not season.permit_number:
        return ["No collection permit entered. Enter it before anybody collects fish."]
    if season.permit_until is None or plan.closed:
        return []
    if season.permit_until < plan.today:
        return ["The permit has expired. Renew it before you collect more fish."]
    if season.permit_until < season.ends_on:
        return ["The permit expires before the season ends."]
    return []


def targets_section(plan: SeasonPlan) -> Section:
    """Return each species' targets by arm and length, and how far they are."""
    wanted = [one for one in plan.species if one.filling.wanted]
    query = urlencode({"season": plan.season.name})
    change = (f"{reverse('targets:targets', args=[plan.season.lake.slug])}?{query}", "Set targets")
    if not wanted:
        return Section("targets", "Targets", warnings=["No targets are set."], links=[change])
    how_far = species_table([(one.name, one.filling, one.forecast) for one in wanted])
    grids = [
        _targets_table(plan, one.of, plan.found.set_targets.get(one.of.species_id, []))
        for one in wanted
    ]
    return Section(
        "targets",
        "Targets",
        (),
        [how_far, *grids],
        [*_targets_notes(plan, wanted)],
        links=[change],
    )


def _targets_notes(plan: SeasonPlan, wanted: list[PlannedSpecies]) -> list[str]:
    notes = ["Short: fish still to collect for lake targets and arm minimums."]
    notes += beside_coverage(plan.found)
    if any(one.forecast for one in wanted):
        notes.append("Forecast: fish short when the season ends, with an 80% interval.")
    return notes


def _targets_table(plan: SeasonPlan, of: LakeSpecies, targets: list[SetTarget]) -> Table:
    """Return the fish wanted by length: lake-wide, then at least from each arm.

    Below each stands what of it nets and each sex are to bring.
    """
    unit = LengthUnit(plan.season.lake.length_unit)
    bins = sorted({one.row[1:3] for one in targets if one.row[3]})
    by_cell = {one.row[:2]: one for one in targets}
    arms = plan.species[0].filling.arms
    rows = [(None, "Lake target"), *((arm.pk, arm.name) for arm in arms)]
    cells = [
        (
            f"{name}{words}",
            [number(one) if (one := by_cell.get((arm, lower))) else 0 for lower, _ in bins],
        )
        for arm, name in rows
        for words, number in OF_A_TARGET
    ]
    columns = [
        Column("Length", "Place"),
        *(Column(_short_bin(lower, upper, unit)) for lower, upper in bins),
        Column("All"),
    ]
    return Table(
        f"targets-{of.species.code}",
        f"{of.species.name}: fish wanted by length, {unit}",
        columns,
        [_targets_row(name, wanted) for name, wanted in cells if any(wanted)],
    )


def _short_bin(lower: int, upper: int, unit: LengthUnit) -> str:
    return bin_name(lower, upper - lower, unit).removesuffix(f" {unit}")


def _targets_row(name: str, wanted: list[int]) -> list[Cell]:
    return [Text(name), *(Count(n) if n else Missing() for n in wanted), Count(sum(wanted))]


def donors_section(plan: SeasonPlan) -> Section:
    """Return who can log, what donors gave by arm, and what they are asked for; without names."""
    lake = plan.season.lake
    found = donors_of(lake, plan.season)
    vials = vials_at_hand(lake, plan.season)
    facts = [
        ("Can log fish", f"{found.people} people"),
        ("Have unused vials", f"{vials.holders} people, {vials.in_hands} vials"),
        ("Donors so far", f"{found.donors} people, {found.fish} fish"),
    ]
    if found.largest:
        facts.append(("Largest share", f"{100 * found.largest / found.fish:.0f}% from one donor"))
    tables = []
    if found.arms:
        rows: list[list[Cell]] = [
            [Text(one.arm), Count(one.donors), Count(one.trips), Count(one.fish)]
            for one in found.arms
        ]
        columns = [Column(one) for one in ("Arm", "Donors", "Trips", "Fish")]
        tables.append(Table("donors", "Donated fish by arm", columns, rows))
    asked = asks_in_force([lake], now=plan.now)
    lines = [
        f"{line.words}, {line.arms_in_words}: {line.wanted}" for out in asked for line in out.lines
    ]
    notes = [f"Asked for: {'; '.join(lines)}."] if lines else []
    ask = (reverse("asks:asks", args=[lake.slug]), "Ask guides")
    return Section("donors", "Donors", facts, tables, notes, links=[ask])


def budget_section(plan: SeasonPlan) -> Section:
    """Return the otoliths that are read, in hand and still to come, and the vials for them."""
    vials = vials_at_hand(plan.season.lake, plan.season)
    rows, to_collect, to_read = [], 0, 0
    for one in plan.species:
        read = sum(n for at, n in one.by_progress.items() if at >= Progress.AGE_AS_GIVEN)
        in_hand = sum(one.by_progress.values()) - read
        short = 0 if plan.closed else one.filling.short
        if not (read or in_hand or short):
            continue
        to_collect += short
        to_read += in_hand + short
        cells: list[Cell] = [Text(one.name), Count(read), Count(in_hand)]
        rows.append([*cells, Count(short), Count(in_hand + short)])
    heads = ("Species", "Aged", "In hand, not read", "To collect", "Left to read")
    table = Table("budget", "Otoliths to read", [Column(one) for one in heads], rows)
    unused = vials.in_office + vials.in_hands
    facts = [
        ("Left to read", f"{to_read} otoliths if every target is met"),
        ("Vials unused", f"{unused}: {vials.in_office} in the office, {vials.in_hands} handed out"),
    ]
    lacking = to_collect - unused
    warnings = [f"Print {lacking} more labels to meet every target."] if lacking > 0 else []
    return Section("budget", "Otolith budget", facts, [table] if rows else [], (), warnings)


# In the order of the page.
SECTIONS: list[Callable[[SeasonPlan], Section]] = [
    permit_section,
    targets_section,
    nets_section,
    donors_section,
    budget_section,
]


def plan_sections(
    fish: QuerySet[Fish], options: CoverageOptions, season: Season, *, now: datetime
) -> list[Section]:
    """Return the sections of a season's plan, from a person's fish."""
    choice = SeasonChoice(season, options.lake_species, "arm", is_every_species=True)
    found = season_rows(fish, options, season, choice.species, group="progress")
    frame = frame_of(choice, found, options)
    fillings = fillings_of(choice, found, frame, options)
    species = []
    for one, filling in zip(choice.species, fillings, strict=True):
        by_progress: Counter[int] = Counter()
        for of_season, _, _, progress, _, _, n in found.rows[one.species_id]:
            if of_season == season.pk:
                by_progress[int(progress or 0)] += n
        species.append(PlannedSpecies(one, filling, try_forecast(filling)[0], by_progress))
    plan = SeasonPlan(season, found.last, options.today, now, species, found)
    return _with_places([make(plan) for make in SECTIONS])


def _with_places(sections: list[Section]) -> list[Section]:
    counts = accumulate((len(one.tables) for one in sections), initial=0)
    return [replace(one, first_table=at) for one, at in zip(sections, counts, strict=False)]
