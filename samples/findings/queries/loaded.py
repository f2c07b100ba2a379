"""What a topic needs beside the sample, read before anything is worked out."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import TypeVar

from django.db.models import QuerySet

from samples.findings.entered import Entered
from samples.findings.parts import Part
from samples.findings.queries.choice import FindingsOptions, FindingsSelection
from samples.findings.queries.elsewhere import load_entered
from samples.findings.queries.net_sets import counted_lengths_of, net_sets_of
from samples.findings.queries.readings import margins_of, pairs_of, rings_of
from samples.findings.sample import CountedLengths, Margins, NetSets, Pair, Rings
from samples.models import Fish

T = TypeVar("T")


class NotLoaded(LookupError):
    """A topic asked for a part that it does not name among those it reads."""


@dataclass(frozen=True, slots=True, eq=False)
class Loaded:
    """The parts that were read; asking for another one is a mistake of the topic."""

    read_pairs: list[Pair] | None = None
    read_margins: Margins | None = None
    read_rings: Rings | None = None
    read_entered: Entered | None = None
    read_net_sets: NetSets | None = None
    read_counted: CountedLengths | None = None

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
    def entered(self) -> Entered:
        return _there(self.read_entered, Part.ENTERED)

    @property
    def net_sets(self) -> NetSets:
        return _there(self.read_net_sets, Part.NET_SETS)

    @property
    def counted(self) -> CountedLengths:
        return _there(self.read_counted, Part.COUNTED)


def _there(part: T | None, name: Part) -> T:
    if part is None:
        raise NotLoaded(name)
    return part


def load_parts(
    options: FindingsOptions,
    fish: QuerySet[Fish],
    selection: FindingsSelection,
    parts: Collection[Part],
) -> Loaded:
    """Read these parts, each once; for true ages also what tells of the ageing error."""
    parts = {*parts, Part.PAIRS} if selection.true_ages else parts
    lake = options.lake
    return Loaded(
        read_pairs=pairs_of(fish, selection) if Part.PAIRS in parts else None,
        read_margins=margins_of(fish, selection) if Part.MARGINS in parts else None,
        read_rings=rings_of(fish, selection) if Part.RINGS in parts else None,
        read_entered=load_entered(options, selection) if Part.ENTERED in parts else None,
        read_net_sets=net_sets_of(lake, selection) if Part.NET_SETS in parts else None,
        read_counted=counted_lengths_of(lake, selection) if Part.COUNTED in parts else None,
    )
