"""All lakes of a person in a line each: what is asked of the database does not grow with them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Case, Count, F, IntegerField, Q, QuerySet, Value, When

from samples.accounts.permissions import (
    RAMP_ONLY,
    Permission,
    lakes_with_permission,
    permissions_of,
    roles_at,
)
from samples.accounts.selectors import fish_counted_of, held_entries_of, lakes_of
from samples.models import Fish, HeldEntry, Lake, LakeSpecies, Progress, Season, Target, User
from samples.ramp.queries import season_on
from samples.rules.lake_time import local_day
from samples.targets.presenters.totals import Shortfall, shortfall
from samples.targets.queries.counts import FROM, Tally, tallies
from samples.targets.queries.set_targets import sum_in_bins

# No bin: a fish of a species that is not on the lake's list.
NO_BIN = -1
LEVEL = FROM["aged"]


@dataclass(frozen=True, slots=True)
class LakeLine:
    """One lake: numbers of its season, each only for those who may see it there."""

    lake: Lake
    season: Season | None
    is_closed: bool
    logged: int | None
    aged: int | None
    shortfall: Shortfall | None
    to_resolve: int | None
    granted: frozenset[Permission]

    @property
    def is_ramp_only(self) -> bool:
        return self.granted <= RAMP_ONLY

    @property
    def may_list_fish(self) -> bool:
        return Permission.SEE_FISH in self.granted

    @property
    def may_set_targets(self) -> bool:
        return Permission.EDIT_TARGETS in self.granted


@dataclass(frozen=True, slots=True)
class Counted:
    """The fish of one season and species by arm and bin, and those among them that count."""

    by_bin: dict[tuple[int, int], Tally]

    @property
    def logged(self) -> int:
        return sum(tally.at_least(Progress.LOGGED) for tally in self.by_bin.values())

    @property
    def aged(self) -> int:
        return sum(tally.at_least(LEVEL) for tally in self.by_bin.values())


Widths = dict[tuple[int, int], int]
BySpecies = dict[int, Counted]


def lake_lines(person: User, now: datetime) -> list[LakeLine]:
    """Return every lake of a person, by name. One statement for each kind of number."""
    lakes = lakes_of(person)
    seen = lakes_with_permission(person, Permission.SEE_COVERAGE)
    resolved = lakes_with_permission(person, Permission.SETTLE_HELD)
    days = {lake.pk: local_day(now, lake.time_zone) for lake in lakes}
    seasons = _seasons_today(lakes, days)
    widths: Widths = {
        (lake, species): width
        for lake, species, width in LakeSpecies.objects.filter(lake__in=seen).values_list(
            "lake_id", "species_id", "bin_width_hundredths_mm"
        )
    }
    open_seasons = [seasons[lake.pk] for lake in seen if lake.pk in seasons]
    counted = _counted(fish_counted_of(person), open_seasons, widths)
    wanted = _wanted(open_seasons)
    held = dict(
        held_entries_of(person)
        .filter(state=HeldEntry.State.OPEN)
        .values_list("lake_id")
        .annotate(n=Count("*"))
        .order_by()
    )
    lines = []
    for lake in lakes:
        season = seasons.get(lake.pk)
        by_species = counted.get(season.pk, {}) if season else {}
        is_closed = season is not None and season.ends_on < days[lake.pk]
        sees = lake in seen
        lines.append(
            LakeLine(
                lake=lake,
                season=season,
                is_closed=is_closed,
                logged=sum(one.logged for one in by_species.values()) if sees else None,
                aged=sum(one.aged for one in by_species.values()) if sees else None,
                shortfall=_shortfall(lake, by_species, wanted.get(season.pk, {}), widths)
                if sees and season and not is_closed
                else None,
                to_resolve=held.get(lake.pk, 0) if lake in resolved else None,
                granted=frozenset(permissions_of(roles_at(person, lake))),
            )
        )
    return lines


def _seasons_today(lakes: Iterable[Lake], days: dict[int, date]) -> dict[int, Season]:
    """Return the season of each lake that today falls in, else its last one."""
    by_lake: dict[int, list[Season]] = {}
    for season in Season.objects.filter(lake__in=lakes):
        by_lake.setdefault(season.lake_id, []).append(season)
    found = {pk: season_on(seasons, days[pk]) for pk, seasons in by_lake.items()}
    return {pk: season for pk, season in found.items() if season and season.starts_on <= days[pk]}


def _counted(fish: QuerySet[Fish], seasons: list[Season], widths: Widths) -> dict[int, BySpecies]:
    """Count fish by season, species, arm, bin and progress, in the bins of their own lake."""
    place = Case(
        *(
            When(which, then=F("length_hundredths_mm") / Value(width))
            for width, which in _fish_by_width(widths)
        ),
        default=Value(NO_BIN),
        output_field=IntegerField(),
    )
    rows = (
        fish.filter(season__in=seasons)
        .order_by()
        .annotate(bin=place)
        .values_list("season_id", "species_id", "arm_id", "bin", "progress")
        .annotate(n=Count("*"))
    )
    found: dict[int, dict[int, list[tuple[int, int, int, None, int]]]] = {}
    for season, species, arm, bin_place, progress, n in rows:
        of_season = found.setdefault(season, {})
        of_season.setdefault(species, []).append((arm, bin_place, progress, None, n))
    return {
        season: {species: Counted(tallies(some, LEVEL)) for species, some in by_species.items()}
        for season, by_species in found.items()
    }


def _fish_by_width(widths: Widths) -> list[tuple[int, Q]]:
    """Return which fish are counted in bins of each width.

    A condition for each lake and one width: a condition for each species too is more than SQLite
    takes in one expression.
    """
    species_of: dict[tuple[int, int], list[int]] = {}
    for (lake, species), width in widths.items():
        species_of.setdefault((width, lake), []).append(species)
    return [
        (width, Q(lake_id=lake, species_id__in=species))
        for (width, lake), species in species_of.items()
    ]


TargetRow = tuple[int | None, int, int, int]


def _wanted(seasons: list[Season]) -> dict[int, dict[int, list[TargetRow]]]:
    """Return the targets of seasons by season and species."""
    rows = Target.objects.filter(season__in=seasons).values_list(
        "season_id", "species_id", "arm_id", "from_hundredths_mm", "below_hundredths_mm", "wanted"
    )
    found: dict[int, dict[int, list[TargetRow]]] = {}
    for season, species, arm, lower, below, wanted in rows:
        targets = found.setdefault(season, {}).setdefault(species, [])
        targets.append((arm, lower, below, wanted))
    return found


def _shortfall(
    lake: Lake, counted: BySpecies, wanted: dict[int, list[TargetRow]], widths: Widths
) -> Shortfall | None:
    """Add up what the species of a lake are short of; nothing where no target is set."""
    found = [
        shortfall(counted[species].by_bin if species in counted else {}, in_bins, LEVEL)
        for species, targets in wanted.items()
        if (lake.pk, species) in widths
        for in_bins in [sum_in_bins(targets, widths[lake.pk, species])[0]]
        if in_bins
    ]
    if not found:
        return None
    return Shortfall(sum(one.short for one in found), sum(one.to_collect for one in found))
