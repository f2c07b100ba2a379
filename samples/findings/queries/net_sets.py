"""Fetch net sets with their effort and catch, and fish that were counted by length bin."""

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from django.db.models import Sum

from samples.findings.queries.choice import FindingsSelection
from samples.findings.sample import CountedLengths, NetSets
from samples.models import (
    NET_METHODS,
    Arm,
    Fish,
    HowChosen,
    Lake,
    LengthCount,
    Party,
    Season,
    UnmeasuredCount,
)


def net_sets_of(lake: Lake, selection: FindingsSelection) -> NetSets:
    """Fetch the net sets of a choice of fish."""
    return load_net_sets(
        lake,
        selection.species.species_id,
        selection.seasons,
        arms=selection.arms,
        methods=selection.methods,
    )


def load_net_sets(
    lake: Lake,
    species_id: int,
    seasons: Iterable[Season],
    *,
    arms: Sequence[Arm] = (),
    methods: Sequence[str] = (),
) -> NetSets:
    """Fetch the net sets of a lake's seasons, in four statements; what they caught of a species.

    An empty set is one of them: it was set and caught nothing.
    """
    where: dict[str, Any] = {"lake": lake, "season__in": seasons, "net_nights__gte": 1}
    where |= {"arm__in": arms} if arms else {}
    where["method__in"] = [one for one in NET_METHODS if not methods or one in methods]
    rows = list(
        Party.objects.filter(**where)
        .order_by("pk")
        .values_list(
            "pk",
            "arm_id",
            "season_id",
            "caught_on",
            "method",
            "net_mesh_mm",
            "net_nights",
            "how_chosen",
        )
    )
    whole = [row for row in rows if row[-1] == HowChosen.EVERY_FISH]
    place = {row[0]: at for at, row in enumerate(whole)}
    of_sets = {f"party__{name}": value for name, value in where.items()}
    measured = Fish.objects.filter(withdrawn=False, species=species_id, **of_sets)
    caught = [
        (place[party], length / 100, 1)
        for party, length in measured.values_list("party_id", "length_hundredths_mm").order_by()
        if party in place
    ]
    counted = LengthCount.objects.filter(species=species_id, **of_sets).values_list(
        "party_id", "from_hundredths_mm", "below_hundredths_mm", "count"
    )
    caught += [
        (place[party], (low + below) / 200, fish)
        for party, low, below, fish in counted.order_by("pk")
        if party in place
    ]
    unmeasured = np.zeros(len(whole), dtype=np.int64)
    others = UnmeasuredCount.objects.filter(withdrawn=False, species=species_id, **of_sets)
    for party, fish in others.values_list("party_id").annotate(n=Sum("count")).order_by():
        if party in place:
            unmeasured[place[party]] = fish
    return NetSets(
        arm=_ints(row[1] for row in whole),
        season=_ints(row[2] for row in whole),
        year=_ints(row[3].year if row[3] else 0 for row in whole),
        month=_ints(row[3].month if row[3] else 0 for row in whole),
        method=np.array([row[4] for row in whole], dtype=object),
        mesh_mm=_ints(row[5] or 0 for row in whole),
        nights=_ints(row[6] or 0 for row in whole),
        unmeasured=unmeasured,
        set_of=_ints(one[0] for one in caught),
        length_mm=np.array([one[1] for one in caught], dtype=np.float64),
        fish=_ints(one[2] for one in caught),
        not_whole=len(rows) - len(whole),
    )


def counted_lengths_of(lake: Lake, selection: FindingsSelection) -> CountedLengths:
    """Fetch the fish of a choice that were counted by length bin; none where sexes are chosen."""
    found = LengthCount.objects.filter(
        party__lake=lake,
        party__season__in=selection.seasons,
        species=selection.species.species_id,
    )
    if selection.sexes:
        found = found.none()
    if selection.arms:
        found = found.filter(party__arm__in=selection.arms)
    if selection.methods:
        found = found.filter(party__method__in=selection.methods)
    if selection.how_chosen:
        found = found.filter(party__how_chosen__in=selection.how_chosen)
    rows = list(
        found.order_by("pk").values_list(
            "party__arm_id",
            "party__method",
            "from_hundredths_mm",
            "below_hundredths_mm",
            "count",
        )
    )
    return CountedLengths(
        arm=_ints(row[0] for row in rows),
        method=np.array([row[1] for row in rows], dtype=object),
        middle_mm=np.array([(row[2] + row[3]) / 200 for row in rows], dtype=np.float64),
        fish=_ints(row[4] for row in rows),
    )


def _ints(values: Iterable[int]) -> np.ndarray:
    return np.array(list(values), dtype=np.int64)
