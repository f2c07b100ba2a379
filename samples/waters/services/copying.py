"""What a lake takes over from another: settings alone, never people, places, vials or fish.

What the lake has already stays as it is, so that copying is safe to repeat.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from simple_history.utils import bulk_create_with_history

from samples.models import (
    Lake,
    LakeGroup,
    LakeSpecies,
    LakeStock,
    Printer,
    Regulation,
    Season,
    Target,
    User,
    atomic_with_revision,
)
from samples.rules.lake_time import local_day
from samples.units import LengthUnit
from samples.waters import queries
from samples.waters.rules import CopiedPart, bin_width_for
from samples.waters.services.order import last_place, lock_lake

# The lake's own columns: the rest of a row is what is copied.
_OWN = frozenset({"id", "lake", "position"})


@dataclass(frozen=True, slots=True)
class Copied:
    """How much was taken over, and of which species the targets did not fit."""

    species: int = 0
    targets: int = 0
    regulations: int = 0
    printers: int = 0
    targets_left_out: tuple[str, ...] = ()


@atomic_with_revision()
def copy_settings(
    source: Lake,
    lake: Lake,
    parts: Collection[str],
    *,
    actor: User | None,
    now: datetime,
) -> Copied:
    """Copy these parts of a lake's settings to another. Nothing there is changed or removed."""
    lock_lake(lake)
    today = local_day(now, lake.time_zone)
    species = _copy_species(source, lake) if CopiedPart.SPECIES in parts else 0
    targets, left_out = (
        _copy_targets(source, lake, today, actor=actor, now=now)
        if CopiedPart.TARGETS in parts
        else (0, ())
    )
    return Copied(
        species=species,
        targets=targets,
        targets_left_out=left_out,
        regulations=_copy_regulations(source, lake, today)
        if CopiedPart.REGULATIONS in parts
        else 0,
        printers=_copy_printers(source, lake) if CopiedPart.PRINTERS in parts else 0,
    )


def _copy_species(source: Lake, lake: Lake) -> int:
    """Copy bins, calendars, the lake's own values, and the words of the helpers."""
    here = queries.lake_species_of(lake)
    known, place = {row.species_id for row in here}, last_place(here)
    unit = LengthUnit(lake.length_unit)
    names = _copied_columns(LakeSpecies)
    new = [row for row in queries.lake_species_of(source) if row.species_id not in known]
    for offset, row in enumerate(new):
        facts = {name: getattr(row, name) for name in names}
        facts["bin_width_hundredths_mm"] = bin_width_for(row.bin_width_hundredths_mm, unit)
        LakeSpecies.objects.create(lake=lake, position=place + offset, **facts)
    worded = {group.group_id for group in queries.own_groups_of(lake)}
    for group in queries.own_groups_of(source):
        if group.group_id not in worded:
            facts = {name: getattr(group, name) for name in _copied_columns(LakeGroup)}
            LakeGroup.objects.create(lake=lake, **facts)
    return len(new)


def _copied_columns(model: type[LakeSpecies | LakeGroup | Printer]) -> list[str]:
    return [field.name for field in model._meta.concrete_fields if field.name not in _OWN]


def _copy_targets(
    source: Lake, lake: Lake, today: date, *, actor: User | None, now: datetime
) -> tuple[int, tuple[str, ...]]:
    """Copy the lake-wide numbers of the season; minimums belong to arms, and those stay.

    Targets of bins that are other ones here are left out: nothing could be held against them.
    """
    of, to = queries.season_at(source, today), queries.season_at(lake, today)
    if of is None or to is None:
        return 0, ()
    widths = {row.species_id: row.bin_width_hundredths_mm for row in queries.lake_species_of(lake)}
    set_here = set(Target.objects.filter(season=to).values_list("species_id", flat=True))
    wanted: dict[int, list[Target]] = {}
    for target in Target.objects.filter(season=of, arm=None).order_by("from_hundredths_mm"):
        if target.species_id in widths and target.species_id not in set_here:
            wanted.setdefault(target.species_id, []).append(target)
    made, left_out = [], []
    for row in queries.lake_species_of(source):
        targets = wanted.get(row.species_id, [])
        if targets and widths[row.species_id] != row.bin_width_hundredths_mm:
            left_out.append(row.species.name)
            continue
        made += [_target_in(to, target) for target in targets]
    bulk_create_with_history(made, Target, default_user=actor, default_date=now)
    return len(made), tuple(left_out)


def _target_in(season: Season, target: Target) -> Target:
    return Target(
        season=season,
        species_id=target.species_id,
        from_hundredths_mm=target.from_hundredths_mm,
        below_hundredths_mm=target.below_hundredths_mm,
        wanted=target.wanted,
        from_nets=target.from_nets,
        females=target.females,
        males=target.males,
    )


def _copy_regulations(source: Lake, lake: Lake, today: date) -> int:
    """Copy the regulations in force; one that began on the same day for the same fish stays."""
    known = set(Regulation.objects.filter(lake=lake).values_list("species_id", "in_force_from"))
    new = [
        dated.rule
        for dated in queries.regulations_of(source, today)
        if dated.in_force and (dated.rule.species_id, dated.rule.in_force_from) not in known
    ]
    for rule in new:
        Regulation.objects.create(
            lake=lake,
            species_id=rule.species_id,
            in_force_from=rule.in_force_from,
            words=rule.words,
            minimum_length_hundredths_mm=rule.minimum_length_hundredths_mm,
            daily_limit=rule.daily_limit,
            source=rule.source,
        )
    return len(new)


def _copy_printers(source: Lake, lake: Lake) -> int:
    """Copy how far the office's printer is off on each common label stock."""
    known = set(Printer.objects.filter(lake=lake).values_list("stock", flat=True))
    common = Printer.objects.filter(lake=source).exclude(stock__startswith=LakeStock.OWN)
    new = [row for row in common if row.stock not in known]
    for row in new:
        facts = {name: getattr(row, name) for name in _copied_columns(Printer)}
        Printer.objects.create(lake=lake, **facts)
    return len(new)
