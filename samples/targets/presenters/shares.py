"""What donors, nets and each sex brought of the lake target, bin by bin, and what they owe."""

from dataclasses import dataclass

from samples.targets.presenters.coverage import Coverage
from samples.targets.rules import BinNeed, FishByPart, NeedByPart


@dataclass(frozen=True, slots=True)
class ShareCell:
    """Fish that count, of so many (None: no share was set), and how many are still owed."""

    counted: int
    wanted: int | None
    owed: int


@dataclass(frozen=True, slots=True)
class ShareRow:
    """One bin: donors, nets, females and males, and fish whose sex nobody noted."""

    bin: str
    donors: ShareCell
    nets: ShareCell
    females: ShareCell
    males: ShareCell
    no_sex: int


def share_rows(coverage: Coverage) -> list[ShareRow]:
    """Return a row for each bin of which nets or a sex are to bring some."""
    if not coverage.has_nets_share and not coverage.has_sexes:
        return []
    return [
        _row(column.name, one, coverage.part_tallies[at], closed=coverage.selection.closed)
        for at, (column, one) in enumerate(zip(coverage.columns, coverage.bins, strict=True))
        if any(need.parts.wanted != FishByPart() for need in one.needs)
    ]


def _row(name: str, one: BinNeed, counted: FishByPart, *, closed: bool) -> ShareRow:
    wanted = sum((need.parts.wanted for need in one.needs[1:]), FishByPart())
    lake = one.lake_wide.parts.wanted
    nets = max(lake.from_nets, wanted.from_nets)
    every = max(one.lake_wide.wanted, sum(floor.wanted for floor in one.floors))
    sexes = one.lake_wide.parts if lake.females or lake.males else _together(one)
    donors_counted = one.lake_wide.counted - counted.from_nets
    to_collect, owed = (0, 0) if closed else (one.to_collect, one.nets_owe)
    return ShareRow(
        bin=name,
        donors=ShareCell(donors_counted, every - nets, to_collect - owed),
        nets=ShareCell(counted.from_nets, nets or None, owed),
        females=ShareCell(counted.females, sexes.wanted.females or None, sexes.females_to_collect),
        males=ShareCell(counted.males, sexes.wanted.males or None, sexes.males_to_collect),
        no_sex=counted.no_sex,
    )


def _together(one: BinNeed) -> NeedByPart:
    """Return what the arms want of each sex; a fish too many in one arm fills no other."""
    found = NeedByPart()
    for floor in one.floors:
        part = floor.parts
        found = NeedByPart(
            found.wanted + part.wanted,
            found.counted
            + FishByPart(
                females=part.wanted.females - part.females_short,
                males=part.wanted.males - part.males_short,
            ),
            found.waiting
            + FishByPart(
                females=part.females_short - part.females_to_collect,
                males=part.males_short - part.males_to_collect,
            ),
        )
    return found
