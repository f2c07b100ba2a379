"""Stations, plans, net sets on record, and what donors brought."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, F, Q, QuerySet, Sum

from samples.models import (
    NET_METHODS,
    Arm,
    Fish,
    Lake,
    LakeSpecies,
    LengthCount,
    Method,
    Party,
    PlannedSets,
    Progress,
    Season,
    UnmeasuredCount,
    User,
)
from samples.nets.parts import Station

SHOWN = 10
NOT_DONATED = (Method.TRAP_NET, Method.ELECTROFISHING, Method.OTHER)


@dataclass(frozen=True, slots=True)
class SetOnRecord:
    """A net set that was recorded, with all its fish, measured or not."""

    pk: int
    lifted_on: date | None
    station: str
    gear: str
    net_nights: int
    fish: int
    by: str


def stations_of(lake: Lake) -> list[Station]:
    """Return every arm with its reaches, in the order of the lake's list."""
    arms = Arm.objects.filter(lake=lake).order_by("whole_lake", "position", "pk")
    found = []
    for arm in arms.prefetch_related("reaches"):
        found.append(Station(arm.pk, None, arm.name))
        reaches = sorted(arm.reaches.all(), key=lambda reach: (reach.position, reach.pk))
        found += [Station(arm.pk, reach.pk, arm.name, reach.name) for reach in reaches]
    return found


def species_of(lake: Lake) -> list[LakeSpecies]:
    rows = LakeSpecies.objects.filter(lake=lake).select_related("species")
    return list(rows.order_by("position", "pk"))


def plan_of(season: Season) -> list[PlannedSets]:
    rows = PlannedSets.objects.filter(season=season).select_related("arm", "reach")
    # The whole arm before its reaches, as stations are listed.
    reach = F("reach__position").asc(nulls_first=True)
    return list(rows.order_by("arm__whole_lake", "arm__position", "arm", reach, "pk"))


def sets_made(season: Season) -> dict[tuple[int, int | None], int]:
    """Count the net sets of a season by arm and reach."""
    rows = _sets_of(season).values_list("arm_id", "reach_id").annotate(n=Count("pk")).order_by()
    return {(arm, reach): n for arm, reach, n in rows}


def sets_on_record(season: Season) -> list[SetOnRecord]:
    """Return the last net sets of a season, the newest first."""
    rows = _sets_of(season).order_by("-caught_on", "-pk")[:SHOWN]
    return _on_record(list(rows.select_related("arm", "reach", "opened_by")))


def set_on_record(lake: Lake, pk: int) -> tuple[Party, SetOnRecord] | None:
    """Return one net set of a lake, if it is one."""
    rows = Party.objects.filter(lake=lake, net_nights__gte=1, method__in=NET_METHODS)
    party = rows.select_related("arm", "reach", "opened_by", "lake").filter(pk=pk).first()
    return (party, _on_record([party])[0]) if party is not None else None


def _on_record(parties: list[Party]) -> list[SetOnRecord]:
    fish = fish_of_sets([party.pk for party in parties])
    return [
        SetOnRecord(
            party.pk,
            party.caught_on,
            f"{party.arm.name}, {party.reach.name}" if party.reach else party.arm.name,
            gear_name(party.method, party.net_mesh_mm),
            party.net_nights or 0,
            fish.get(party.pk, 0),
            str(party.opened_by),
        )
        for party in parties
    ]


def fish_of_sets(keys: Sequence[int]) -> dict[int, int]:
    """Count all fish of each net set: measured, counted by length, and counted alone."""
    fish: dict[int, int] = {}
    measured = Fish.objects.filter(party__in=keys, withdrawn=False).values_list("party_id")
    counted = LengthCount.objects.filter(party__in=keys).values_list("party_id")
    others = UnmeasuredCount.objects.filter(party__in=keys, withdrawn=False)
    for rows in (
        measured.annotate(n=Count("pk")),
        counted.annotate(n=Sum("count")),
        others.values_list("party_id").annotate(n=Sum("count")),
    ):
        for party, n in rows.order_by():
            fish[party] = fish.get(party, 0) + n
    return fish


def gear_name(method: str, mesh_mm: int | None) -> str:
    name = "Other net" if method == Method.OTHER else str(Method(method).label)
    return f"{name}, {mesh_mm} mm" if mesh_mm else name


def last_set_by(person: User, lake: Lake) -> Party | None:
    """Return the net set that a person recorded last: the next is likely alike."""
    rows = Party.objects.filter(
        lake=lake, opened_by=person, net_nights__gte=1, method__in=NET_METHODS
    )
    return rows.order_by("-received_at", "-pk").first()


def donated_by_bin(
    lake: Lake, species_id: int, seasons: Sequence[Season], width: int
) -> dict[int, int]:
    """Return the most otolith fish that donors brought of each bin in any one season."""
    rows = (
        Fish.objects.filter(
            Q(progress__gte=Progress.LOGGED),
            lake=lake,
            species=species_id,
            season__in=seasons,
            withdrawn=False,
        )
        .exclude(method__in=NOT_DONATED)
        .annotate(place=F("length_hundredths_mm") / width)
        .values_list("season_id", "place")
        .annotate(n=Count("pk"))
        .order_by()
    )
    best: dict[int, int] = {}
    for _, place, n in rows:
        best[int(place)] = max(best.get(int(place), 0), n)
    return best


def _sets_of(season: Season) -> QuerySet[Party]:
    return Party.objects.filter(season=season, net_nights__gte=1, method__in=NET_METHODS)
