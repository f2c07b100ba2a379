"""A list being written, before it goes out."""

from dataclasses import asdict, dataclass
from typing import Any

from samples.models.ask import FishAsked


@dataclass(frozen=True, slots=True)
class WantedFish:
    """Fish of one species and range of lengths from an arm (None: any), as rows keep them."""

    species_id: int
    arm_id: int | None
    from_hundredths_mm: int
    below_hundredths_mm: int | None
    wanted: int

    @property
    def key(self) -> FishAsked:
        """Return what is asked for, however many."""
        return self.species_id, self.arm_id, self.from_hundredths_mm, self.below_hundredths_mm


@dataclass(frozen=True, slots=True)
class DraftLine:
    """One line: its words by rule or from last time, and the fish that it asks for."""

    words: str
    place_names: str
    fish: tuple[WantedFish, ...]

    @property
    def wanted(self) -> int:
        return sum(one.wanted for one in self.fish)


@dataclass(frozen=True, slots=True)
class Draft:
    """The whole list as the rule writes it; ``more`` lines were left out of it."""

    season_id: int
    lines: tuple[DraftLine, ...]
    enough: str
    more: int = 0

    def as_json(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def from_json(cls, value: dict[str, Any]) -> "Draft":
        lines = tuple(
            DraftLine(
                line["words"],
                line["place_names"],
                tuple(WantedFish(**fish) for fish in line["fish"]),
            )
            for line in value["lines"]
        )
        return cls(value["season_id"], lines, value["enough"], value["more"])
