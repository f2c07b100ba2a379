"""Figures entered from elsewhere, as plain values: what answers rest on beside the fish.

Species, arms and seasons are keys of rows; lengths are in mm and shares of 1.
"""

from dataclasses import dataclass
from typing import TypeVar


@dataclass(frozen=True, slots=True, kw_only=True)
class NaturalInput:
    """Share of the fish that die of natural causes in a year; of the lake where there is no arm."""

    species: int
    arm: int | None
    arm_name: str
    least: float
    middle: float
    most: float
    oldest_years: int | None
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TagInput:
    """Tags put out and sent back in one season; ``high_reward_out`` is 0 where none were."""

    species: int
    arm: int | None
    arm_name: str
    season: str
    tags_out: int
    returned: int
    returned_released: int
    reporting_least: float
    reporting_most: float
    tags_kept: float
    survived_tagging: float
    high_reward_out: int
    high_reward_returned: int
    source: str

    @property
    def returns(self) -> int:
        """Count every standard tag that was sent back, of fish kept and released."""
        return self.returned + self.returned_released


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseInput:
    """Share of released fish that die of it, ``when`` in words; ``key`` is what is chosen by."""

    key: str
    species: int
    when: str
    least: float
    middle: float
    most: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CreelInput:
    """The smallest size kept, by a creel survey."""

    species: int
    arm: int | None
    smallest_kept_mm: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleInput:
    """A regulation; ``minimum_mm`` and ``daily_limit`` are 0 where it sets none."""

    species: int | None
    minimum_mm: float
    daily_limit: int


T = TypeVar("T", NaturalInput, TagInput, CreelInput)


@dataclass(frozen=True, slots=True, eq=False)
class Elsewhere:
    """What was entered for one species, of one arm or of the lake; nothing where nothing was.

    ``release`` has the harshest first. ``minimum_mm`` is the least length in force, 0 if there is
    none; ``daily_limit`` the fish that an angler may keep a day, of the newest rule.
    """

    natural: NaturalInput | None
    tags: list[TagInput]
    release: list[ReleaseInput]
    creel: CreelInput | None
    minimum_mm: float = 0.0
    daily_limit: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Entered:
    """Everything that was entered for the species of a choice, of every arm, newest first.

    ``tags`` and ``creel`` are of the seasons chosen, ``rules`` those in force by their last day.
    """

    natural: list[NaturalInput]
    tags: list[TagInput]
    release: list[ReleaseInput]
    creel: list[CreelInput]
    rules: list[RuleInput]

    def of(self, species: int, arm: int | None) -> Elsewhere:
        """Return what was entered: an arm's own figures first, else those of the whole lake."""
        rule = self.newest_rule(species)
        tags = self.tags_of(species)
        return Elsewhere(
            natural=next(iter(_nearest(self.natural, species, arm)), None),
            tags=_of_arm(tags, arm) or _of_arm(tags, None),
            release=[one for one in self.release if one.species == species],
            creel=next(iter(_nearest(self.creel, species, arm)), None),
            minimum_mm=rule.minimum_mm if rule else 0.0,
            daily_limit=(rule.daily_limit or None) if rule else None,
        )

    def tags_of(self, species: int) -> list[TagInput]:
        return [one for one in self.tags if one.species == species]

    def newest_rule(self, species: int) -> RuleInput | None:
        """Return the rule in force in the last chosen season, with or without a least length.

        The newest rule of this species holds; where it has none of its own, that of all of them.
        """
        own = [one for one in self.rules if one.species == species]
        return next(iter(own or [one for one in self.rules if one.species is None]), None)


def _nearest(rows: list[T], species: int, arm: int | None) -> list[T]:
    """Put an arm's own rows before those of the whole lake."""
    found = [one for one in rows if one.species == species]
    return (_of_arm(found, arm) if arm is not None else []) + _of_arm(found, None)


def _of_arm(rows: list[T], arm: int | None) -> list[T]:
    return [one for one in rows if one.arm == arm]
