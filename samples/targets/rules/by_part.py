"""What of a target nets and each sex are to bring, and what they owe."""

from dataclasses import dataclass
from enum import StrEnum


class Part(StrEnum):
    """What of a target is set: all fish of it, those from nets, or those of one sex."""

    ALL = "wanted"
    NETS = "from_nets"
    FEMALES = "females"
    MALES = "males"


@dataclass(frozen=True, slots=True)
class FishByPart:
    """Fish from nets, females and males; ``no_sex`` are those whose sex nobody noted."""

    from_nets: int = 0
    females: int = 0
    males: int = 0
    no_sex: int = 0

    def __add__(self, other: "FishByPart") -> "FishByPart":
        return FishByPart(
            self.from_nets + other.from_nets,
            self.females + other.females,
            self.males + other.males,
            self.no_sex + other.no_sex,
        )


NO_FISH = FishByPart()


@dataclass(frozen=True, slots=True)
class NeedByPart:
    """What nets and each sex owe of a target, what of it counts already, and what waits."""

    wanted: FishByPart = NO_FISH
    counted: FishByPart = NO_FISH
    waiting: FishByPart = NO_FISH

    @property
    def females_short(self) -> int:
        return max(0, self.wanted.females - self.counted.females)

    @property
    def males_short(self) -> int:
        return max(0, self.wanted.males - self.counted.males)

    @property
    def females_to_collect(self) -> int:
        return max(0, self.females_short - self.waiting.females)

    @property
    def males_to_collect(self) -> int:
        return max(0, self.males_short - self.waiting.males)

    @property
    def to_collect_by_sex(self) -> int:
        """Return how many more the sexes want; a fish in hand may turn out to be of either."""
        sexes = self.females_to_collect + self.males_to_collect
        return max(0, sexes - self.waiting.no_sex)

    @property
    def nets_short(self) -> int:
        have = self.counted.from_nets + self.waiting.from_nets
        return max(0, self.wanted.from_nets - have)


NO_PARTS = NeedByPart()
