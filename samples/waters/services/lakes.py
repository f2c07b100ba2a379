"""The lake itself: its name, its unit, its clock; and a new lake, with what it starts from."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from django.db import IntegrityError
from django.utils.text import slugify

from samples.accounts.services import add_role
from samples.models import Arm, Lake, LakeSpecies, Membership, Season, User, atomic_with_revision
from samples.rules.lake_time import local_day
from samples.units import LengthUnit
from samples.waters.queries import season_at
from samples.waters.rules import bin_width_for, width_text
from samples.waters.services.catalogue import add_listed_species
from samples.waters.services.copying import Copied, copy_settings
from samples.waters.services.errors import ChangeRefused
from samples.waters.services.order import lock_lake


@dataclass(frozen=True, slots=True)
class LakeChanged:
    """What else a change of the lake brought with it, in sentences."""

    unit_changed: bool
    new_bins: tuple[str, ...]


@atomic_with_revision()
def edit_lake(
    lake: Lake,
    *,
    name: str,
    length_unit: str,
    time_zone: str,
    weight_unit: str = Lake.WeightUnit.GRAM,
    office_phone: str | None = None,
    office_address: str | None = None,
    suggest_annuli: bool | None = None,
) -> LakeChanged:
    """Change a lake; of its weight unit and its office, what is said.

    Stored lengths stay as they are, whatever unit they are shown in.
    A bin width that cannot be named in the new unit becomes the nearest usual one.
    The address of the lake's pages stays: it is on cards and in bookmarks.

    :raises Refused: if another lake has this name
    """
    lock_lake(lake)
    if Lake.objects.filter(name__iexact=name).exclude(pk=lake.pk).exists():
        raise _name_taken(name)
    unit_changed = length_unit != lake.length_unit
    lake.name, lake.time_zone = name, time_zone
    lake.length_unit, lake.weight_unit = length_unit, weight_unit or lake.weight_unit
    lake.office_phone = lake.office_phone if office_phone is None else office_phone
    lake.office_address = lake.office_address if office_address is None else office_address
    lake.suggest_annuli = lake.suggest_annuli if suggest_annuli is None else suggest_annuli
    lake.save()
    return LakeChanged(unit_changed, _refit_bins(lake) if unit_changed else ())


def _refit_bins(lake: Lake) -> tuple[str, ...]:
    unit = LengthUnit(lake.length_unit)
    changed = []
    rows = LakeSpecies.objects.filter(lake=lake).select_related("species")
    for row in rows.order_by("position", "pk"):
        width = bin_width_for(row.bin_width_hundredths_mm, unit)
        if width != row.bin_width_hundredths_mm:
            row.bin_width_hundredths_mm = width
            row.save()
            changed.append(f"{row.species.name}: bins are now {width_text(width, unit)} wide.")
    return tuple(changed)


@dataclass(frozen=True, slots=True)
class StartingPoint:
    """What a new lake begins with: parts of another lake's settings, and listed species."""

    source: Lake | None = None
    parts: Collection[str] = ()
    species: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LakeAdded:
    """A new lake, and what it began with."""

    lake: Lake
    copied: Copied
    species_from_list: int


@atomic_with_revision()
def add_lake(
    *,
    name: str,
    length_unit: str,
    time_zone: str,
    now: datetime,
    start: StartingPoint = StartingPoint(),
    biologist: User | None = None,
    actor: User | None = None,
    weight_unit: str = Lake.WeightUnit.GRAM,
    office_phone: str = "",
    office_address: str = "",
) -> LakeAdded:
    """Add a lake with one arm, "Whole lake", a season that has begun, and its biologist.

    :raises ChangeRefused: if another lake has this name
    """
    lake = _make_lake(
        Lake(
            name=name,
            length_unit=length_unit,
            weight_unit=weight_unit,
            time_zone=time_zone,
            office_phone=office_phone,
            office_address=office_address,
        )
    )
    Arm.objects.create(lake=lake, name="Whole lake", whole_lake=True)
    _add_first_season(lake, start.source, local_day(now, time_zone))
    if biologist is not None:
        add_role(biologist, lake, Membership.Role.BIOLOGIST)
    copied = (
        copy_settings(start.source, lake, start.parts, actor=actor, now=now)
        if start.source
        else Copied()
    )
    return LakeAdded(lake, copied, add_listed_species(lake, start.species))


def _make_lake(lake: Lake) -> Lake:
    """Save a new lake. Of two who add it at the same moment, one is refused."""
    if Lake.objects.filter(name__iexact=lake.name).exists():
        raise _name_taken(lake.name)
    lake.slug = free_slug(lake.name)
    try:
        with atomic_with_revision():
            lake.save(force_insert=True)
    except IntegrityError:
        raise _name_taken(lake.name) from None
    return lake


def _name_taken(name: str) -> ChangeRefused:
    return ChangeRefused("name_taken", f"Another lake is called {name}. Add a word.", field="name")


def _add_first_season(lake: Lake, source: Lake | None, today: date) -> None:
    """Add a season of the same days as the other lake's, else one of this calendar year."""
    same = season_at(source, today) if source else None
    if same is not None and same.ends_on >= today:
        facts = (same.name, same.number_year, same.starts_on, same.ends_on)
    else:
        facts = (str(today.year), today.year, date(today.year, 1, 1), date(today.year, 12, 31))
    season_name, number_year, starts_on, ends_on = facts
    Season.objects.create(
        lake=lake,
        name=season_name,
        number_year=number_year,
        starts_on=starts_on,
        ends_on=ends_on,
    )


@atomic_with_revision()
def set_up_lake(
    *,
    name: str,
    length_unit: str,
    time_zone: str,
    now: datetime,
    start: StartingPoint = StartingPoint(),
) -> tuple[Lake, bool]:
    """Add a lake unless it is there; one that is there is left as it is.

    Returns the lake and whether it was made now.
    """
    there = Lake.objects.filter(name__iexact=name).first()
    if there is not None:
        return there, False
    added = add_lake(name=name, length_unit=length_unit, time_zone=time_zone, now=now, start=start)
    return added.lake, True


def free_slug(name: str) -> str:
    """Return the word for a new lake in addresses, as no other lake has it."""
    stem = slugify(name)[:70] or "lake"
    taken = set(Lake.objects.filter(slug__startswith=stem).values_list("slug", flat=True))
    slugs = (stem if n == 1 else f"{stem}-{n}" for n in range(1, len(taken) + 2))
    return next(slug for slug in slugs if slug not in taken)
