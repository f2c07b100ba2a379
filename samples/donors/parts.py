"""What stands on a donor's card and on a certificate, as plain values."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CardFish:
    """One fish as its line on a card says it. ``age`` is empty until it is aged."""

    caught_on: str
    species: str
    length: str
    sex: str
    arm: str
    age: str
    hatched: str
    beside: str


@dataclass(frozen=True, slots=True)
class SpeciesCount:
    """How many fish of a species were donated, and what became of them."""

    species: str
    donated: int
    aged: int
    oldest: str
    longest: str


@dataclass(frozen=True, slots=True)
class Card:
    """What a donor gave in one season, and what came of it."""

    lake: str
    season: str
    donor: str
    as_of: str
    counts: tuple[SpeciesCount, ...]
    of_note: tuple[str, ...]
    fish: tuple[CardFish, ...]


@dataclass(frozen=True, slots=True)
class Certificate:
    """One fish of note: the longest or the oldest of its season."""

    lake: str
    donor: str
    titles: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    signed_on: str
