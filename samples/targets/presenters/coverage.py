"""Coverage: what is counted, arm by arm and bin by bin, against what is wanted."""

from dataclasses import dataclass
from functools import cached_property
from urllib.parse import urlencode

from django.urls import reverse

from samples.models import Arm, Progress
from samples.targets.geometry import MOST_RINGS, Ring, outlines, rings
from samples.targets.queries.choice import BIN_NAMES, CoverageSelection
from samples.targets.queries.counts import FROM, Tally
from samples.targets.queries.fish import FishChoice
from samples.targets.rules import BinNeed, Count, FishByPart, LengthBin, LengthSample, Need


@dataclass(frozen=True, slots=True)
class DonorShare:
    """A donor who gave more than half of the counted fish of a cell."""

    donor: str
    fish: int
    of: int

    @property
    def percent(self) -> int:
        return round(100 * self.fish / self.of)


def cell_anchor(arm_id: int, from_hundredths: int) -> str:
    return f"cell-{arm_id}-{from_hundredths}"


@dataclass(frozen=True, slots=True)
class Cell:
    """One arm and bin as it is drawn."""

    arm_id: int
    arm: str
    column: LengthBin
    tally: Tally
    counted: int
    need: Need | None
    stone: tuple[Ring, ...]
    share: DonorShare | None
    address: str
    verb: Count

    @property
    def state(self) -> str:
        """Return how the cell is drawn: met, short, none counted, or only counted."""
        if self.need is None:
            return "counted" if self.tally.at_least(Progress.LOGGED) else "empty"
        if not self.need.short_with_sexes:
            return "met"
        return "none" if not self.counted else "short"

    @property
    def notes(self) -> list[tuple[str, str]]:
        """Return letters beside the figure, each with what it says."""
        found = []
        if self.verb is Count.AGED and self.tally.one_reader:
            found.append(("r", f"{self.tally.one_reader} by one reader"))
        if self.verb is Count.AGED and self.tally.as_given:
            found.append(("g", f"{self.tally.as_given} with an imported age"))
        if self.share:
            found.append(("d", f"{self.share.percent}% from one donor"))
        return found

    @property
    def letters(self) -> str:
        return " ".join(letter for letter, _ in self.notes)

    @property
    def anchor(self) -> str:
        """Return the id of the cell on its page, to come back to."""
        return cell_anchor(self.arm_id, self.column.from_hundredths)

    @property
    def has_fish(self) -> bool:
        """Return whether there is a fish to list."""
        return bool(self.tally.at_least(Progress.LOGGED))

    @property
    def spoken(self) -> str:
        """Return the whole cell as it is said where no table is seen."""
        wanted = f" of {self.need.wanted}" if self.need is not None else ""
        place = f"{self.arm}, {self.column.name.replace('-', ' to ')}"
        return f"{place}: {self.counted}{wanted} {self.verb}, {self.description}"

    @property
    def description(self) -> str:
        """Return in words what the mark shows."""
        found = []
        if self.need is not None and not self.need.short_with_sexes:
            found.append("enough")
        elif self.need is not None:
            found.append(f"{self.need.short_with_sexes} short")
            found += [f"{self.need.in_hand} in hand"] if self.need.in_hand else []
        else:
            found.append("no minimum set")
        return ", ".join([*found, *(words for _, words in self.notes)])


@dataclass(frozen=True, slots=True)
class Sum:
    """A figure at the end of a row or column."""

    counted: int
    need: Need | None


@dataclass(frozen=True, slots=True)
class ArmRow:
    arm: Arm
    cells: list[Cell]
    total: Sum
    share: DonorShare | None


@dataclass(frozen=True, slots=True)
class StillNeeded:
    """One line of what is still needed, beside how many fish there are that long.

    Of ``more`` fish to be caught, nets owe ``nets``; the others are asked of donors.
    """

    place: str
    bin: str
    need: Need
    more: int
    sample: LengthSample
    # Of the fish measured there, those of this very length.
    of_length: int
    nets: int = 0

    @property
    def of_donors(self) -> int:
        return self.more - self.nets


@dataclass(frozen=True, slots=True)
class KeyMark:
    """A mark of the key."""

    wanted: int
    stone: tuple[Ring, ...]
    label: str
    nil: bool = False


@dataclass(frozen=True)
class Coverage:
    """The whole page, counted."""

    selection: CoverageSelection
    columns: list[LengthBin]
    rows: list[ArmRow]
    all_arms: list[Sum]
    bins: list[BinNeed]
    total: Sum
    still_needed: list[StillNeeded]
    hardly_reached: list[StillNeeded]
    tally: Tally
    has_targets: bool
    other_bins: bool
    most_wanted: int
    # Fish that count by source and sex, a column each; empty where no target asks for either.
    part_tallies: list[FishByPart]

    @property
    def counted(self) -> int:
        return self.tally.at_least(FROM[self.selection.count])

    @property
    def short(self) -> int:
        return sum(one.short for one in self.bins)

    @property
    def in_hand(self) -> int:
        """Return how many of those short are logged and only have to be received or read."""
        return self.short - sum(one.to_collect for one in self.bins)

    @property
    def to_collect(self) -> int:
        """Return how many more have to be caught: none once the season is closed."""
        return 0 if self.selection.closed else self.short - self.in_hand

    @property
    def nets_owe(self) -> int:
        """Return how many of those to be caught are the nets' share."""
        return 0 if self.selection.closed else sum(one.nets_owe for one in self.bins)

    @property
    def has_nets_share(self) -> bool:
        return any(need.parts.wanted.from_nets for need in self._needs)

    @property
    def has_sexes(self) -> bool:
        return any(need.parts.wanted.females or need.parts.wanted.males for need in self._needs)

    @property
    def _needs(self) -> list[Need]:
        return [need for one in self.bins for need in one.needs]

    @property
    def short_lake_wide(self) -> int:
        return self.short - self.short_beyond_lake_wide

    @property
    def short_beyond_lake_wide(self) -> int:
        return sum(one.short_beyond_lake_wide for one in self.bins)

    @property
    def has_lake_wide(self) -> bool:
        return any(one.lake_wide.wanted for one in self.bins)

    @cached_property
    def cells(self) -> list[Cell]:
        return [cell for row in self.rows for cell in row.cells]

    @cached_property
    def shares(self) -> list[Cell]:
        """Return the cells of which one donor gave more than half, the fullest first."""
        marked = [cell for cell in self.cells if cell.share]
        return sorted(marked, key=lambda cell: -cell.counted)

    @property
    def letters(self) -> list[tuple[str, str]]:
        """Return the letters that stand beside figures on this page, each with what it means."""
        used = {letter for cell in self.cells for letter, _ in cell.notes}
        meanings = [
            ("r", "some ages by one reader"),
            ("g", "some ages imported"),
            ("d", "more than half from one donor"),
        ]
        return [(letter, words) for letter, words in meanings if letter in used]

    @property
    def key(self) -> list[KeyMark]:
        """Return marks to explain the marks, in the size of the largest floor of the page."""
        most = self.most_wanted
        if not most:
            return []
        a_ring = "a ring for each fish" if most <= MOST_RINGS else "rings to scale"
        shown = [KeyMark(most, rings(most, most, 0, most), f"enough: {a_ring}")]
        if most > 2:
            aged, hand = most - 2, 1
            words = f"{aged} {self.selection.count}, 1 in hand, 1 missing"
            shown.append(KeyMark(most, rings(most, aged, hand, most), words))
        else:
            shown.append(KeyMark(most, rings(most, 0, most, most), f"{most} in hand"))
        none = KeyMark(most, rings(most, 0, 0, most), f"none {self.selection.count}", nil=True)
        shown.append(none)
        least = min(cell.need.wanted for cell in self.cells if cell.need)
        if least < most:
            smaller = rings(least, 0, 0, most)
            shown.append(KeyMark(least, smaller, "smaller: fewer needed", nil=True))
        return shown

    @property
    def outlines(self) -> list[tuple[str, list[tuple[int, str]]]]:
        """Return the outlines of the stones that the arms' cells are drawn with."""
        if not self.most_wanted:
            return []
        return [("ring", outlines(min(self.most_wanted, MOST_RINGS)))]


def coverage_address(choice: FishChoice, count: str, bins: str) -> str:
    """Return the coverage that has the fish, at their cell where they are of one."""
    address = reverse("targets:coverage", args=[choice.lake.slug])
    if choice.season is None or choice.species is None:
        return address
    words = {
        "season": choice.season.name,
        "species": choice.species.code,
        "count": count or choice.count,
        "sex": choice.sex,
        "method": choice.method,
        "reach": choice.reach,
        "bin": bins if bins in BIN_NAMES else "",
    }
    words["count"] = words["count"] if words["count"] in set(Count) else ""
    query = urlencode({name: value for name, value in words.items() if value})
    lower = choice.from_length
    cell = f"#{cell_anchor(choice.arm.pk, lower.hundredths_mm)}" if choice.arm and lower else ""
    return f"{address}?{query}{cell}"
