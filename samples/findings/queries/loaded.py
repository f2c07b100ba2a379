"""What a topic needs beside the sample, read before anything is worked out."""

from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

from django.db.models import QuerySet

from samples.findings.queries.choice import FindingsSelection
from samples.findings.queries.elsewhere import Entered, load_entered, season_of_catch
from samples.findings.queries.readings import (
    Margins,
    Pair,
    Rings,
    margins_of,
    pairs_of,
    rings_of,
)
from samples.findings.queries.sample import count_agreed
from samples.models import Fish, Lake

T = TypeVar("T")


class Part(StrEnum):
    """Something that a topic reads: it names its parts, and no other is read for it."""

    PAIRS = "pairs"
    MARGINS = "margins"
    RINGS = "rings"
    AGREED = "agreed"
    ENTERED = "entered"
    SEASON_OF_CATCH = "season_of_catch"


class NotLoaded(LookupError):
    """A topic asked for a part that it does not name among those it reads."""


@dataclass(frozen=True, slots=True, eq=False)
class Loaded:
    """The parts that were read; asking for another one is a mistake of the topic.

    ``agreed`` counts fish with an age that readers agreed on, or that was decided.
    """

    read_pairs: list[Pair] | None = None
    read_margins: Margins | None = None
    read_rings: Rings | None = None
    read_agreed: int | None = None
    read_entered: Entered | None = None
    read_season_of_catch: str | None = None

    @property
    def pairs(self) -> list[Pair]:
        return _there(self.read_pairs, Part.PAIRS)

    @property
    def margins(self) -> Margins:
        return _there(self.read_margins, Part.MARGINS)

    @property
    def rings(self) -> Rings:
        return _there(self.read_rings, Part.RINGS)

    @property
    def agreed(self) -> int:
        return _there(self.read_agreed, Part.AGREED)

    @property
    def entered(self) -> Entered:
        return _there(self.read_entered, Part.ENTERED)

    @property
    def season_of_catch(self) -> str:
        return _there(self.read_season_of_catch, Part.SEASON_OF_CATCH)


def _there(part: T | None, name: Part) -> T:
    if part is None:
        raise NotLoaded(name)
    return part


def load_parts(
    lake: Lake, fish: QuerySet[Fish], selection: FindingsSelection, parts: Collection[Part]
) -> Loaded:
    """Read these parts, each once."""
    return Loaded(
        read_pairs=pairs_of(fish, selection) if Part.PAIRS in parts else None,
        read_margins=margins_of(fish, selection) if Part.MARGINS in parts else None,
        read_rings=rings_of(fish, selection) if Part.RINGS in parts else None,
        read_agreed=count_agreed(fish, selection) if Part.AGREED in parts else None,
        read_entered=load_entered(lake, selection) if Part.ENTERED in parts else None,
        read_season_of_catch=(
            season_of_catch(fish, selection) if Part.SEASON_OF_CATCH in parts else None
        ),
    )
