"""Coverage as a file: one line for each arm and bin, and for each bin lake-wide."""

from samples.models import Progress
from samples.rules.csv_text import plain_cell
from samples.targets.presenters.coverage import Cell, Coverage, Sum
from samples.targets.rules import LengthBin

CsvLine = dict[str, str | int | None]


def csv_of(coverage: Coverage, *, donors_named: bool) -> str:
    """Write coverage as comma-separated values, with a line of heads."""
    import pandas as pd  # slow to load, and needed here alone

    lines = [_cell_line(cell) for cell in coverage.cells]
    lines += [
        _lake_wide_line(coverage, column, one)
        for column, one in zip(coverage.columns, coverage.all_arms, strict=True)
    ]
    frame = pd.DataFrame(lines, columns=list(HEADS))
    selection = coverage.selection
    frame.insert(0, "species", plain_cell(selection.species.name))
    frame.insert(0, "season", plain_cell(selection.season.name))
    frame.insert(0, "lake", plain_cell(selection.lake.name))
    frame["counted_fish"] = selection.count.value
    frame["only"] = selection.narrowed_text
    if not donors_named:
        frame = frame.drop(columns="largest_donor")
    counts = ["wanted", "short", "in_hand", "largest_donor_percent"]
    frame[counts] = frame[counts].astype("Int64")
    return frame.to_csv(index=False, lineterminator="\r\n")


HEADS = (
    "arm",
    "from",
    "below",
    "unit",
    "measured",
    "logged",
    "received",
    "aged",
    "aged_by_one_reader",
    "age_as_given",
    "wanted",
    "short",
    "in_hand",
    "largest_donor_percent",
    "largest_donor",
)


def _cell_line(cell: Cell) -> CsvLine:
    tally, need = cell.tally, cell.need
    return {
        "arm": plain_cell(cell.arm),
        **_bin(cell.column),
        "measured": tally.measured,
        "logged": tally.at_least(Progress.LOGGED),
        "received": tally.at_least(Progress.RECEIVED),
        "aged": tally.at_least(Progress.AGE_AS_GIVEN),
        "aged_by_one_reader": tally.one_reader,
        "age_as_given": tally.as_given,
        "wanted": need.wanted if need else None,
        "short": need.short if need else None,
        "in_hand": need.in_hand if need else None,
        "largest_donor_percent": cell.share.percent if cell.share else None,
        "largest_donor": plain_cell(cell.share.donor) if cell.share else "",
    }


def _lake_wide_line(coverage: Coverage, column: LengthBin, one: Sum) -> CsvLine:
    here = [cell.tally for cell in coverage.cells if cell.column == column]
    return {
        "arm": "all arms",
        **_bin(column),
        "measured": sum(tally.measured for tally in here),
        "logged": sum(tally.at_least(Progress.LOGGED) for tally in here),
        "received": sum(tally.at_least(Progress.RECEIVED) for tally in here),
        "aged": sum(tally.at_least(Progress.AGE_AS_GIVEN) for tally in here),
        "aged_by_one_reader": sum(tally.one_reader for tally in here),
        "age_as_given": sum(tally.as_given for tally in here),
        "wanted": one.need.wanted if one.need else None,
        "short": one.need.short if one.need else None,
        "in_hand": one.need.in_hand if one.need else None,
        "largest_donor_percent": None,
        "largest_donor": "",
    }


def _bin(column: LengthBin) -> CsvLine:
    return {"from": column.from_text, "below": column.below_text, "unit": str(column.unit)}
