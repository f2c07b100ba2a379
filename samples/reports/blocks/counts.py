"""Blocks that count fish: coverage of the targets, samples by source, and what is still needed."""

from dataclasses import replace

from django.db.models import Count, Q

from samples.accounts.selectors import fish_counted
from samples.models import HowChosen, Method, Progress, ReportBlock
from samples.reports.blocks.made import Made, begin_block
from samples.reports.blocks.tables import plain_table
from samples.reports.document import Block, ColumnKind, Table
from samples.targets.presenters import sentences
from samples.targets.presenters.coverage import Coverage
from samples.targets.presenters.shaping import coverages_of_season
from samples.targets.presenters.still_needed import needed_rows
from samples.targets.queries.choice import options_of_season

HEAD, WORD, NUMBER, SENTENCE = (
    ColumnKind.HEAD, ColumnKind.WORD, ColumnKind.NUMBER, ColumnKind.SENTENCE,
)  # fmt: skip
NO_TARGETS = "No targets are set for this season, so coverage can't be shown. Set targets first."
NO_FISH = "No fish were logged in this season."
NOTHING_NEEDED = "Nothing is still needed: every target is met, or the season has closed."


def coverage_block(row: ReportBlock, number: int, made: Made) -> Block:
    """Hold the aged fish of each arm and length bin against their targets."""
    block = replace(begin_block(made, row, number, "Coverage"), choice=f"Season {made.season}")
    counted = _coverages(made)
    if not counted:
        return replace(block, missing=NO_TARGETS)
    said = [
        _of_species(coverage, [*sentences.target_notes(coverage), sentences.how_aged(coverage)])
        for coverage in counted
    ]
    return replace(
        block,
        answer="; ".join(sentences.headline(one) for one in counted),
        paragraphs=tuple(said),
        parts=tuple(map(_coverage_table, counted)),
    )


def _of_species(coverage: Coverage, said: list[str]) -> str:
    return f"{coverage.selection.species.name}: {' '.join(one for one in said if one)}"


def _coverages(made: Made) -> list[Coverage]:
    options = options_of_season(made.lake, made.season, made.today)
    return [one for one, _ in coverages_of_season(fish_counted(made.lake), options, made.season)]


def _coverage_table(coverage: Coverage) -> Table:
    """Return fish aged, of fish wanted; what there is more of, bins or arms, goes down the page."""
    bins = [one.from_text for one in coverage.columns]
    rows = [
        [
            row.arm.name,
            *(_of(cell.counted, cell.need.wanted if cell.need else None) for cell in row.cells),
            _of(row.total.counted, row.total.need.wanted if row.total.need else None),
        ]
        for row in coverage.rows
    ]
    every = [_of(one.counted, one.need.wanted if one.need else None) for one in coverage.all_arms]
    total = coverage.total
    wanted = total.need.wanted if total.need else None
    rows.append(["All arms", *every, _of(total.counted, wanted)])
    species, unit = coverage.selection.species.name, coverage.selection.unit.value
    lines = [["Arm", *bins, "All"], *rows]
    if len(bins) > len(coverage.rows):
        lines = [list(line) for line in zip(*lines, strict=True)]
        lines[0][0] = f"From, {unit}"
    heads, *rows = lines
    return plain_table(
        f"{species}: fish aged, of fish wanted, by arm and length bin (from, {unit})",
        [(heads[0], HEAD), *((one, NUMBER) for one in heads[1:])],
        rows,
        "A number alone: no target is set there.",
    )


def _of(counted: int, wanted: int | None) -> str:
    return str(counted) if wanted is None else f"{counted} of {wanted}"


def sources_block(row: ReportBlock, number: int, made: Made) -> Block:
    """Count the fish of the season by how they were caught and chosen; donors only by number."""
    block = begin_block(made, row, number, "Samples by source")
    block = replace(block, choice=f"Season {made.season}")
    fish = fish_counted(made.lake).filter(season=made.season)
    total = fish.count()
    if not total:
        return replace(block, missing=NO_FISH)
    donors = fish.exclude(donor=None).order_by().values("donor").distinct().count()
    with_vial = fish.filter(progress__gte=Progress.LOGGED).count()
    aged = fish.filter(progress__gte=Progress.AGE_AS_GIVEN).count()
    trips = fish.order_by().values("party").distinct().count()
    sampled = _counted(trips, "trip or net set", "trips and net sets")
    given_by = _counted(donors, "donor", "donors")
    return replace(
        block,
        answer=f"{total:,} fish from {sampled}, {aged:,} of them aged",
        paragraphs=(
            (
                f"{with_vial:,} fish have a vial. Fish came from {given_by}. "
                "Donated fish are not a random sample of the lake."
            ),
        ),
        parts=(_by_method(made), _by_choice(made)),
    )


def _counted(count: int, word: str, many: str) -> str:
    return f"{count:,} {word}" if count == 1 else f"{count:,} {many}"


def _by_method(made: Made) -> Table:
    rows = (
        fish_counted(made.lake)
        .filter(season=made.season)
        .order_by()
        .values("method")
        .annotate(
            trips=Count("party", distinct=True),
            n=Count("pk"),
            vials=Count("pk", filter=Q(progress__gte=Progress.LOGGED)),
            aged=Count("pk", filter=Q(progress__gte=Progress.AGE_AS_GIVEN)),
        )
    )
    found = {one["method"]: one for one in rows}
    return plain_table(
        "Fish by method of capture",
        [("Method", HEAD), ("Trips or sets", NUMBER), ("Measured", NUMBER), ("With a vial", NUMBER),
         ("Aged", NUMBER)],
        [
            [
                str(method.label),
                *(f"{found[method.value][name]:,}" for name in ("trips", "n", "vials", "aged")),
            ]
            for method in Method
            if method.value in found
        ],
    )  # fmt: skip


def _by_choice(made: Made) -> Table:
    rows = (
        fish_counted(made.lake)
        .filter(season=made.season)
        .order_by()
        .values_list("party__how_chosen")
        .annotate(n=Count("pk"), aged=Count("pk", filter=Q(progress__gte=Progress.AGE_AS_GIVEN)))
    )
    found = {how: (n, aged) for how, n, aged in rows}
    return plain_table(
        "Fish by how they were chosen from the catch",
        [("Chosen", HEAD), ("Measured", NUMBER), ("Aged", NUMBER)],
        [
            [str(how.label), f"{found[how.value][0]:,}", f"{found[how.value][1]:,}"]
            for how in HowChosen
            if how.value in found
        ],
    )


def plan_block(row: ReportBlock, number: int, made: Made) -> Block:
    """List what is still needed from each arm, the most fish first."""
    block = begin_block(made, row, number, "Still needed")
    block = replace(block, choice=f"Season {made.season}")
    counted = [one for one in _coverages(made) if one.still_needed]
    if not counted:
        return replace(block, missing=NOTHING_NEEDED)
    return replace(
        block,
        answer="; ".join(sentences.headline(one) for one in counted),
        paragraphs=tuple(_of_species(one, [sentences.still_needed_note(one)]) for one in counted),
        parts=tuple(map(_needed_table, counted)),
    )


def _needed_table(coverage: Coverage) -> Table:
    return plain_table(
        f"{coverage.selection.species.name}: fish still needed",
        [("Arm", HEAD), ("Length", WORD), ("Fish", NUMBER), ("Chance", NUMBER), ("Why", SENTENCE)],
        [
            [one.ask.place, one.ask.bin, str(one.ask.more), one.chance, one.why]
            for one in needed_rows(coverage)
            if one.is_asked
        ],
    )
