"""What is wanted, what is short, and what guides are asked for: counting rules, pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from samples.targets.rules.by_part import NO_FISH, NO_PARTS, FishByPart, NeedByPart, Part
from samples.units import LengthUnit, bin_name, to_text

__all__ = [
    "AN_ARM",
    "A_BIN",
    "FEWEST_FOR_A_LENGTH_SAMPLE",
    "FEWEST_FOR_A_SHARE",
    "FEWEST_FOR_A_WARNING",
    "MEASURED_A_CLASS",
    "NO_FISH",
    "NO_PARTS",
    "Ages",
    "BinNeed",
    "Count",
    "FishByPart",
    "Gap",
    "Key",
    "LengthBin",
    "LengthSample",
    "Need",
    "NeedByPart",
    "Part",
    "TargetRule",
    "Where",
    "every_fish",
    "floor_from_each",
    "most_of_the_gap",
    "proposed",
    "wanted_by_rules",
]

# 10 aged fish in each inch bin is common practice; no publication is known to us as its source.
A_BIN = 10
AN_ARM = 2
# Gerritsen & McGrath (2007), Fishery Bulletin 105: measure at least 10 fish for each length class.
MEASURED_A_CLASS = 10
# A donor's share is told where it says something: one fish is always one donor's.
FEWEST_FOR_A_SHARE = 2
FEWEST_FOR_A_WARNING = 5
# Below this many measured fish an arm's own sample cannot say how long its fish grow. With 100
# measured and none of a length, at most some 3% are that long (95% upper limit, 3/n: Hanley &
# Lippman-Hand 1983, JAMA 249:1743-1745).
FEWEST_FOR_A_LENGTH_SAMPLE = 100


# Arm (none: lake-wide) and lower edge of a bin.
Key = tuple[int | None, int]


class Count(StrEnum):
    """Which fish count toward a target: those whose sample has come at least this far."""

    AGED = "aged"
    RECEIVED = "received"
    LOGGED = "logged"


@dataclass(frozen=True, slots=True)
class Need:
    """How many are wanted, how many of them count already, how many wait to count.

    ``parts`` says the same of what nets and each sex are to bring of it.
    """

    wanted: int
    counted: int
    waiting: int
    parts: NeedByPart = NO_PARTS

    @property
    def short(self) -> int:
        return max(0, self.wanted - self.counted)

    @property
    def short_with_sexes(self) -> int:
        """Return how many are short where a sex may be short though the number is there."""
        return max(self.short, self.parts.females_short + self.parts.males_short)

    @property
    def in_hand(self) -> int:
        """Return how many of those short are logged and only have to be received or read."""
        return self.short_with_sexes - self.to_collect

    @property
    def to_collect(self) -> int:
        """Return how many more have to be caught."""
        return max(0, self.wanted - self.counted - self.waiting, self.parts.to_collect_by_sex)

    @property
    def nets_owe(self) -> int:
        """Return how many of those to be caught are the nets' share."""
        return min(self.to_collect, self.parts.nets_short)

    @property
    def met(self) -> int:
        return min(self.wanted, self.counted)


@dataclass(frozen=True, slots=True)
class LengthSample:
    """The fish measured in one arm, and how many of them were at least so long."""

    measured: int
    this_long: int

    @property
    def hardly_reached(self) -> bool:
        """Return whether fewer than one fish in a hundred comes to this length there."""
        enough = self.measured >= FEWEST_FOR_A_LENGTH_SAMPLE
        return enough and 100 * self.this_long < self.measured


@dataclass(frozen=True, slots=True)
class BinNeed:
    """One length bin: what the lake wants of it, and what its arms want at least."""

    lake_wide: Need
    floors: tuple[Need, ...]

    @property
    def needs(self) -> tuple[Need, ...]:
        return (self.lake_wide, *self.floors)

    @property
    def short(self) -> int:
        """Return how many are short; a fish of a short arm fills the lake-wide number too."""
        floors = sum(floor.short_with_sexes for floor in self.floors)
        return max(self.lake_wide.short_with_sexes, floors)

    @property
    def to_collect(self) -> int:
        return max(self.lake_wide.to_collect, sum(floor.to_collect for floor in self.floors))

    @property
    def to_collect_in_any_arm(self) -> int:
        """Return what is still to be caught once every arm has its floor; any arm may give it."""
        return self.to_collect - sum(floor.to_collect for floor in self.floors)

    @property
    def nets_owe_in_any_arm(self) -> int:
        """Return what nets owe of the lake target beyond what they owe of arm minimums."""
        floors = sum(floor.nets_owe for floor in self.floors)
        return min(self.to_collect_in_any_arm, max(0, self.lake_wide.nets_owe - floors))

    @property
    def nets_owe_of_floors(self) -> tuple[int, ...]:
        """Return what nets owe of each arm minimum.

        What they owe of the lake target and is left over, since the minimums take up the target,
        they owe of the minimums too: first where most is to be collected.
        """
        owed = [floor.nets_owe for floor in self.floors]
        left = max(0, self.lake_wide.nets_owe - sum(owed) - self.nets_owe_in_any_arm)
        room = [floor.to_collect - own for floor, own in zip(self.floors, owed, strict=True)]
        for place in sorted(range(len(room)), key=lambda at: -room[at]):
            more = min(left, room[place])
            owed[place] += more
            left -= more
        return tuple(owed)

    @property
    def nets_owe(self) -> int:
        return sum(self.nets_owe_of_floors) + self.nets_owe_in_any_arm

    @property
    def short_beyond_lake_wide(self) -> int:
        """Return what arm minimums and sexes ask for on top of what is short lake-wide."""
        return self.short - self.lake_wide.short


def floor_from_each(arms: int) -> int:
    """Return the floor of an arm: 2 of the 10 fish of a bin,
    fewer where there are over five arms.
    """
    if not arms:
        return 0
    return min(AN_ARM, A_BIN // arms)


def proposed(bins: Iterable[int], arm_ids: Iterable[int]) -> dict[tuple[int | None, int], int]:
    """Propose targets: so many in each bin lake-wide, and a share of them from each arm.

    The tails ask for the same number. It is never reached there, so that every fish of the
    tails is wanted, which is what is meant.
    """
    arms = list(arm_ids)
    floor = floor_from_each(len(arms))
    wanted: dict[tuple[int | None, int], int] = {}
    for lower in bins:
        wanted[None, lower] = A_BIN
        if floor:
            wanted |= {(arm, lower): floor for arm in arms}
    return wanted


class Where(StrEnum):
    """What a rule sets: the lake target, or the minimum of every arm."""

    LAKE = "lake"
    ARMS = "arms"


@dataclass(frozen=True, slots=True)
class TargetRule:
    """So many fish in each bin of a stretch of lengths; ``fish`` is none for every fish.

    ``below`` is none where the stretch has no upper end. ``arm`` is that of one arm alone.
    """

    fish: int | None
    lower: int
    below: int | None
    where: Where
    arm: int | None = None

    def holds(self, lower: int) -> bool:
        """Return whether a bin that begins at this length is of the rule."""
        return self.lower <= lower and (self.below is None or lower < self.below)

    def overlaps(self, other: "TargetRule") -> bool:
        """Return whether two rules speak of the same bins at the same place."""
        if (self.where, self.arm) != (other.where, other.arm):
            return False
        ends_first = self.below is not None and self.below <= other.lower
        begins_last = other.below is not None and other.below <= self.lower
        return not ends_first and not begins_last


def every_fish(most_logged: int) -> int:
    """Return a number that a bin does not reach, so that every fish of it is wanted.

    Half as many again as were logged there in any season; 10 at least.
    """
    return max(A_BIN, -(-3 * most_logged // 2))


def wanted_by_rules(
    rules: Iterable[TargetRule],
    bins: Iterable[int],
    arm_ids: Iterable[int],
    *,
    most_logged: Mapping[Key, int],
    saved: Mapping[Key, int],
) -> dict[Key, int]:
    """Return the targets that rules make of those that are saved; 0 takes a target away.

    A rule for one arm goes before one for every arm. A lake target that no rule names and that
    the minimums would exceed is raised to their sum.
    """
    places, arms = list(bins), list(arm_ids)
    wanted = dict(saved)
    in_order = sorted(rules, key=lambda one: one.arm is not None)
    for rule in in_order:
        of_arms = arms if rule.arm is None else [rule.arm]
        of: list[int | None] = [None] if rule.where is Where.LAKE else [*of_arms]
        for lower in filter(rule.holds, places):
            for arm in of:
                fish = rule.fish
                key = (arm, lower)
                wanted[key] = every_fish(most_logged.get(key, 0)) if fish is None else fish
    for lower in places:
        named = any(one.where is Where.LAKE and one.holds(lower) for one in in_order)
        floors = sum(wanted.get((arm, lower), 0) for arm in arms)
        if not named and 0 < wanted.get((None, lower), 0) < floors:
            wanted[None, lower] = floors
    return wanted


@dataclass(frozen=True, slots=True)
class Gap:
    """Where most of what is short lies: at most two arms, and above or below some bin."""

    arms: tuple[int, ...]
    from_bin: int | None
    below_bin: int | None


def most_of_the_gap(short: Mapping[tuple[int, int], int]) -> Gap | None:
    """Find the fewest arms and the shortest run of bins that hold more than half of the gap.

    :param short: fish short by arm and bin; bins in any order
    """
    total = sum(short.values())
    if not total:
        return None
    by_arm: dict[int, int] = {}
    for (arm, _), n in short.items():
        by_arm[arm] = by_arm.get(arm, 0) + n
    arms = _fewest(by_arm, total)
    if len(arms) > 2 or len(arms) == len(by_arm):
        arms = tuple(by_arm)
    by_bin: dict[int, int] = {}
    for (arm, lower), n in short.items():
        by_bin[lower] = by_bin.get(lower, 0) + (n if arm in arms else 0)
    bins = sorted(by_bin)
    upper = _run(bins[::-1], by_bin, total)
    lower_run = _run(bins, by_bin, total)
    named = () if len(arms) == len(by_arm) else arms
    shortest = min((run for run in (upper, lower_run) if run), key=len, default=[])
    if not shortest or len(shortest) * 2 > len(bins):
        return Gap(named, None, None) if named else None
    if shortest is upper:
        return Gap(named, min(shortest), None)
    return Gap(named, None, max(shortest) + 1)


def _fewest(amounts: Mapping[int, int], total: int) -> tuple[int, ...]:
    """Take the largest amounts until they are more than half of the total."""
    taken: list[int] = []
    for key in sorted(amounts, key=lambda key: -amounts[key]):
        taken.append(key)
        if 2 * sum(amounts[one] for one in taken) > total:
            break
    return tuple(taken)


def _run(bins: list[int], amounts: Mapping[int, int], total: int) -> list[int]:
    """Take bins in this order until they hold more than half of the total; none if never."""
    held = 0
    for place, lower in enumerate(bins, start=1):
        held += amounts[lower]
        if 2 * held > total:
            return bins[:place]
    return []


@dataclass(frozen=True, slots=True)
class LengthBin:
    """One length bin."""

    place: int
    width: int
    unit: LengthUnit

    @property
    def from_hundredths(self) -> int:
        return self.place * self.width

    @property
    def below_hundredths(self) -> int:
        return (self.place + 1) * self.width

    @property
    def from_text(self) -> str:
        return to_text(self.from_hundredths, self.unit)

    @property
    def below_text(self) -> str:
        return to_text(self.below_hundredths, self.unit)

    @property
    def name(self) -> str:
        return bin_name(self.from_hundredths, self.width, self.unit)

    @property
    def head(self) -> list[str]:
        """Return the name in two lines, without its unit."""
        first, last = self.name.removesuffix(f" {self.unit}").split("-")
        return [f"{first}-", last]


@dataclass(frozen=True, slots=True)
class Ages:
    """Ages whose mean length matters, from the first to the last."""

    first: int
    last: int

    @property
    def years(self) -> list[int]:
        return list(range(self.first, self.last + 1))

    @property
    def text(self) -> str:
        return f"age {self.first}" if self.first == self.last else f"ages {self.first}-{self.last}"
