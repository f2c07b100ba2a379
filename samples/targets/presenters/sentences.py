"""The finding in words, above the table."""

from dataclasses import dataclass

from django.utils.formats import date_format

from samples.targets.presenters.coverage import Coverage
from samples.targets.rules import (
    FEWEST_FOR_A_WARNING,
    MEASURED_A_CLASS,
    Count,
    most_of_the_gap,
)

IN_HAND = {
    Count.AGED: "in hand, not read yet",
    Count.RECEIVED: "logged, not received yet",
    Count.LOGGED: "logged",
}


@dataclass(frozen=True, slots=True)
class TotalPart:
    """One part of the total: what is added or taken off, and why."""

    sign: str
    number: int
    label: str


def headline(coverage: Coverage) -> str:
    """Return the finding in a few words: how many more, or that there are enough."""
    selection = coverage.selection
    species = selection.species.name.lower()
    counted = f"{coverage.counted} {species} {selection.count} in {selection.season.name}"
    if selection.closed or not coverage.has_targets:
        return counted
    if coverage.to_collect:
        return f"{coverage.to_collect} more {species} to collect"
    if coverage.short:
        return f"No more {species} to collect: the last {coverage.short} are in hand"
    return f"Enough {species} {selection.count} in {selection.season.name}"


def parts(coverage: Coverage) -> list[TotalPart]:
    """Split the total into parts that add up to it; nothing is split that is one part."""
    if not coverage.has_targets or coverage.selection.closed or not coverage.short:
        return []
    found = []
    if coverage.has_lake_wide:
        need = coverage.total.need
        of = f" ({need.met} of {need.wanted})" if need else ""
        found.append(TotalPart("", coverage.short_lake_wide, f"short of the lake target{of}"))
    if beyond := coverage.short_beyond_lake_wide:
        of = "arm minimums and sexes" if coverage.has_sexes else "arm minimums"
        words = f"more for {of}" if found else f"short of {of}"
        found.append(TotalPart("+" if found else "", beyond, words))
    if coverage.in_hand:
        found.append(TotalPart("\u2212", coverage.in_hand, IN_HAND[coverage.selection.count]))
    return [*found, TotalPart("=", coverage.to_collect, "to collect")]


def target_notes(coverage: Coverage) -> list[str]:
    """Return what the counts are held against, and where most of the gap is."""
    if coverage.selection.narrowed:
        return [f"Counts only: {coverage.selection.narrowed_text}. Targets are for all fish."]
    if coverage.selection.closed:
        return _closed(coverage)
    if not coverage.has_targets:
        return [_nothing_to_measure_against(coverage)]
    gap = _gap(coverage)
    return [*([gap] if gap else []), *_shares(coverage)]


def _shares(coverage: Coverage) -> list[str]:
    """Return what nets are to bring of what is to be collected, and what donors are asked for."""
    if not coverage.has_nets_share or not coverage.to_collect:
        return []
    donors = sum(one.of_donors for one in coverage.still_needed)
    return [f"Nets owe {coverage.nets_owe}; donors are asked for {donors}."]


def _closed(coverage: Coverage) -> list[str]:
    season = coverage.selection.season
    found = [f"The season closed on {date_format(season.ends_on)}: nothing more is collected."]
    if coverage.has_lake_wide and coverage.total.need:
        need = coverage.total.need
        found.append(f"It ended with {need.met} of {need.wanted} fish of the lake target.")
    if coverage.in_hand:
        found.append(
            f"{coverage.in_hand} of the missing fish are {IN_HAND[coverage.selection.count]}."
        )
    return found


def _nothing_to_measure_against(coverage: Coverage) -> str:
    if coverage.other_bins:
        return "Targets are set for other length bins. Choose those bins, or set targets again."
    return "No targets are set for this species and season, so nothing is short yet."


def still_needed_note(coverage: Coverage) -> str:
    """Return how the lines of what is still needed come to the total."""
    needed = sum(one.more for one in coverage.still_needed)
    left = sum(one.more for one in coverage.hardly_reached)
    if not left:
        return f"{needed} fish, most first. Chance: fish of this length among those measured there."
    return (
        f"{needed} fish, most first. {left} more are not asked for: fewer than 1 in 100 fish "
        "measured there are so long. Chance: fish of this length among those measured."
    )


def _gap(coverage: Coverage) -> str:
    """Return where most of the shortfall lies."""
    short = {
        (row.arm.pk, cell.column.place): cell.need.short
        for row in coverage.rows
        for cell in row.cells
        if cell.need
    }
    if not any(short.values()):
        short = {
            (0, column.place): one.short
            for column, one in zip(coverage.columns, coverage.bins, strict=True)
        }
    gap = most_of_the_gap(short)
    if gap is None:
        return ""
    names = {row.arm.pk: row.arm.name for row in coverage.rows}
    where = [" and ".join(sorted(names[arm] for arm in gap.arms))] if gap.arms else []
    for column in coverage.columns:
        if column.place == gap.from_bin:
            where.append(f"from {column.from_text} {column.unit} up")
        if gap.below_bin is not None and column.place + 1 == gap.below_bin:
            where.append(f"below {column.below_text} {column.unit}")
    return f"Most of the gap is {' '.join(where)}."


def measured(coverage: Coverage) -> str:
    """Return how many were measured, against the rule of thumb for a length frequency."""
    classes = len([one for one in coverage.all_arms if one.counted or one.need])
    least = MEASURED_A_CLASS * classes
    n = coverage.tally.measured
    message = f"{n} measured in all, with or without a vial"
    if not classes:
        return f"{message}."
    enough = "enough" if n >= least else f"{least - n} too few"
    return (
        f"{message}: {enough} by the rule of 10 for each of {classes} length bins "
        "(Gerritsen & McGrath 2007)."
    )


def how_aged(coverage: Coverage) -> str:
    """Return which ages are among those counted."""
    tally = coverage.tally
    if coverage.selection.count is not Count.AGED or not tally.at_least(3):
        return ""
    parts = [f"{tally.by_progress[5]} agreed or decided"]
    parts += [f"{tally.one_reader} by one reader (r)"] if tally.one_reader else []
    parts += [f"{tally.as_given} imported from a spreadsheet (g)"] if tally.as_given else []
    return f"Of {tally.at_least(3)} aged: {', '.join(parts)}."


def arms_of_one_donor(coverage: Coverage) -> list[str]:
    """Name the arms of which one donor gave more than half: one guide is often one creek."""
    return [
        f"{row.share.fish} of the {row.share.of} from {row.arm.name} came from {row.share.donor}"
        for row in coverage.rows
        if row.share and row.share.of >= FEWEST_FOR_A_WARNING
    ]
