"""What donors, nets and each sex brought of the lake target, bin by bin, and what they owe."""

from dataclasses import dataclass

from samples.targets.presenters.coverage import Coverage
from samples.targets.rules import BinNeed, FishByPart


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
    lake, floors = one.lake_wide.parts, [floor.parts for floor in one.floors]
    arms = sum((floor.wanted for floor in floors), FishByPart())
    nets = max(lake.wanted.from_nets, arms.from_nets)
    every = max(one.lake_wide.wanted, sum(floor.wanted for floor in one.floors))
    to_collect, owed = (0, 0) if closed else (one.to_collect, one.nets_owe)
    return ShareRow(
        bin=name,
        donors=ShareCell(
            one.lake_wide.counted - counted.from_nets, every - nets, to_collect - owed
        ),
        nets=ShareCell(counted.from_nets, nets or None, owed),
        females=ShareCell(
            counted.females,
            max(lake.wanted.females, arms.females) or None,
            max(lake.females_to_collect, sum(one.females_to_collect for one in floors)),
        ),
        males=ShareCell(
            counted.males,
            max(lake.wanted.males, arms.males) or None,
            max(lake.males_to_collect, sum(one.males_to_collect for one in floors)),
        ),
        no_sex=counted.no_sex,
    )
