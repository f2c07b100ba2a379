"""The lake itself: its name, its unit, its clock; and a first lake on a new installation."""

from dataclasses import dataclass
from datetime import date

from django.utils.text import slugify

from samples.models import Arm, Lake, LakeSpecies, Season, atomic_with_revision
from samples.units import LengthUnit
from samples.waters.rules import bin_width_for, width_text
from samples.waters.services.errors import ChangeRefused
from samples.waters.services.order import lock_lake


@dataclass(frozen=True, slots=True)
class LakeChanged:
    """What else a change of the lake brought with it, in sentences."""

    unit_changed: bool
    new_bins: tuple[str, ...]


@atomic_with_revision()
def edit_lake(lake: Lake, *, name: str, length_unit: str, time_zone: str) -> LakeChanged:
    """Change a lake. Stored lengths stay as they are, whatever unit they are shown in.

    A bin width that cannot be named in the new unit becomes the nearest usual one.
    The address of the lake's pages stays: it is on cards and in bookmarks.

    :raises Refused: if another lake has this name
    """
    lock_lake(lake)
    if Lake.objects.filter(name__iexact=name).exclude(pk=lake.pk).exists():
        raise ChangeRefused(
            "name_taken", f"Another lake is called {name}. Add a word.", field="name"
        )
    unit_changed = length_unit != lake.length_unit
    lake.name, lake.length_unit, lake.time_zone = name, length_unit, time_zone
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


@atomic_with_revision()
def set_up_lake(*, name: str, length_unit: str, time_zone: str, today: date) -> tuple[Lake, bool]:
    """Make a lake with one arm, "Whole lake", and a season of this year, unless it is there.

    Returns the lake and whether it was made now. A lake that is there is left as it is.
    """
    there = Lake.objects.filter(name__iexact=name).first()
    if there is not None:
        return there, False
    lake = Lake.objects.create(
        name=name, slug=free_slug(name), length_unit=length_unit, time_zone=time_zone
    )
    Arm.objects.create(lake=lake, name="Whole lake", whole_lake=True)
    Season.objects.create(
        lake=lake,
        name=str(today.year),
        number_year=today.year,
        starts_on=date(today.year, 1, 1),
        ends_on=date(today.year, 12, 31),
    )
    return lake, True


def free_slug(name: str) -> str:
    """Return the word for a new lake in addresses, as no other lake has it."""
    stem = slugify(name)[:70] or "lake"
    taken = set(Lake.objects.filter(slug__startswith=stem).values_list("slug", flat=True))
    slugs = (stem if n == 1 else f"{stem}-{n}" for n in range(1, len(taken) + 2))
    return next(slug for slug in slugs if slug not in taken)
