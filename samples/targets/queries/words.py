"""The finding in words, above the table."""

from samples.models import Lake
from samples.targets.queries.coverage import Coverage
from samples.targets.rules import FEWEST_FOR_A_WARNING, MEASURED_A_CLASS, Count, most_of_the_gap

IN_HAND = {
    Count.AGED: "in hand and only need reading",
    Count.RECEIVED: "logged and on their way",
    Count.LOGGED: "logged",
}


def headline(coverage: Coverage) -> str:
    """Say the finding in a few words: how many more, or that there are enough."""
    choice = coverage.choice
    species = choice.species.name.lower()
    if not coverage.has_targets:
        return f"{coverage.counted} {species} {choice.count} in {choice.season.name}"
    if coverage.ask:
        return f"{coverage.ask} more {species} wanted"
    if coverage.short:
        return f"No more {species} wanted: the last {coverage.short} are in hand"
    return f"Enough {species} {choice.count} in {choice.season.name}"


def sentences(coverage: Coverage) -> list[str]:
    """Say what is short, how much of it is in hand, and where most of the gap is."""
    if not coverage.has_targets:
        return [_nothing_to_measure_against(coverage)]
    found = [_lake_wide(coverage)] if coverage.has_lake_wide else []
    found += _floors(coverage)
    if coverage.in_hand:
        are = "is" if coverage.in_hand == 1 else "are"
        words = IN_HAND[coverage.choice.count]
        if coverage.in_hand == 1:
            words = words.replace("need ", "needs ").replace("their", "its")
        found.append(f"{coverage.in_hand} of those short {are} {words}.")
    gap = _gap(coverage)
    return [*found, gap] if gap else found


def _nothing_to_measure_against(coverage: Coverage) -> str:
    if coverage.other_bins:
        return (
            "The targets were set for other bins, so nothing can be called short here. "
            "Choose those bins, or set the targets again."
        )
    return "No targets are set for this species and season, so nothing is short yet."


def _lake_wide(coverage: Coverage) -> str:
    need = coverage.total.need
    met, wanted, short = (need.met, need.wanted, need.short) if need else (0, 0, 0)
    ending = f"{short} short" if short else "enough lake-wide"
    season = coverage.choice.season.name
    return f"{met} {coverage.choice.count} of {wanted} wanted in {season}, {ending}."


def _floors(coverage: Coverage) -> list[str]:
    beyond = coverage.short_beyond_lake_wide
    if not beyond:
        return []
    if not coverage.has_lake_wide:
        return [f"{beyond} short of the floors of the arms."]
    return [f"The floors of the arms ask for {beyond} beyond that."]


def _gap(coverage: Coverage) -> str:
    """Say where most of the shortfall lies."""
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
    """Say how many were measured, against the rule of thumb for a length frequency."""
    classes = len([one for one in coverage.all_arms if one.counted or one.need])
    least = MEASURED_A_CLASS * classes
    n = coverage.tally.measured
    said = f"{n} measured in all, with or without a vial"
    if not classes:
        return f"{said}."
    enough = "enough" if n >= least else f"{least - n} too few"
    return (
        f"{said}: {enough} by the rule of 10 for each of {classes} length bins "
        "(Gerritsen & McGrath 2007)."
    )


def how_aged(coverage: Coverage) -> str:
    """Say which ages are among those counted."""
    tally = coverage.tally
    if coverage.choice.count is not Count.AGED or not tally.at_least(3):
        return ""
    parts = [f"{tally.by_progress[5]} agreed or decided"]
    parts += [f"{tally.one_reader} by one reader (r)"] if tally.one_reader else []
    parts += [f"{tally.as_given} as given in a spreadsheet (g)"] if tally.as_given else []
    return f"Of {tally.at_least(3)} aged: {', '.join(parts)}."


def arms_of_one_donor(coverage: Coverage) -> list[str]:
    """Name the arms of which one donor gave more than half: one guide is often one creek."""
    return [
        f"{row.share.fish} of the {row.share.of} from {row.arm.name} came from {row.share.donor}"
        for row in coverage.rows
        if row.share and row.share.of >= FEWEST_FOR_A_WARNING
    ]


def nothing_yet(lake: Lake, coverage: Coverage) -> str:
    return f"No {coverage.choice.species.name.lower()} logged at {lake} in {coverage.choice.season}"
