"""What the pages of a lake show, in the biologist's order."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Prefetch

from samples.models import (
    Age,
    Arm,
    Lake,
    LakeSpecies,
    Reach,
    Regulation,
    Season,
    Species,
    SpeciesGroup,
    Target,
)
from samples.units import HUNDREDTHS_PER_INCH, LengthUnit
from samples.waters.rules import bin_width_for


@dataclass(frozen=True, slots=True)
class DatedRule:
    """A regulation, and whether it holds today."""

    rule: Regulation
    in_force: bool
    to_come: bool


def arms_of(lake: Lake) -> list[Arm]:
    """List a lake's arms with their reaches, both in order."""
    reaches = Prefetch("reaches", Reach.objects.order_by("position", "pk"))
    return list(Arm.objects.filter(lake=lake).order_by("position", "pk").prefetch_related(reaches))


def reaches_of(arm: Arm) -> list[Reach]:
    return list(Reach.objects.filter(arm=arm).order_by("position", "pk"))


def lake_species_of(lake: Lake) -> list[LakeSpecies]:
    """List a lake's species in the order of the form at the ramp."""
    rows = LakeSpecies.objects.filter(lake=lake).select_related("species__group")
    return list(rows.order_by("position", "pk"))


def species_to_add(lake: Lake) -> list[Species]:
    """List the species that a lake does not have yet, by name."""
    here = LakeSpecies.objects.filter(lake=lake).values("species")
    return list(Species.objects.exclude(pk__in=here).order_by("name"))


def possible_parents(species: Species | None) -> list[Species]:
    """List the species that a hybrid may come from, by name."""
    rows = Species.objects.filter(kind=Species.Kind.SPECIES)
    return list(rows.exclude(pk=species.pk if species else 0).order_by("name"))


def groups_at(lake: Lake) -> list[SpeciesGroup]:
    """List the groups that the lake's species belong to, in the order of the form."""
    rows = lake_species_of(lake)
    return list(dict.fromkeys(row.species.group for row in rows if row.species.group))


def seasons_of(lake: Lake) -> list[Season]:
    """List a lake's seasons, the newest first."""
    return list(Season.objects.filter(lake=lake).order_by("-starts_on"))


def regulations_of(lake: Lake, today: date) -> list[DatedRule]:
    """List a lake's rules, the newest first, and say which of them hold today.

    For each species, and for all of them together, the last rule that has begun holds.
    """
    rows = Regulation.objects.filter(lake=lake).select_related("species")
    answered: set[int | None] = set()
    listed = []
    for rule in rows.order_by("-in_force_from", "species__name", "-pk"):
        begun = rule.in_force_from <= today
        in_force = begun and rule.species_id not in answered
        if begun:
            answered.add(rule.species_id)
        listed.append(DatedRule(rule, in_force=in_force, to_come=not begun))
    return listed


def next_season_starts(lake: Lake, today: date) -> date:
    """Guess when the next season begins: the day after the last one ends, else this year."""
    last = Season.objects.filter(lake=lake).order_by("-ends_on").first()
    return last.ends_on + timedelta(days=1) if last else date(today.year, 1, 1)


def usual_bin_width(lake: Lake) -> int:
    """Give the bin width of the lake's first species, else an inch or 25 mm."""
    first = LakeSpecies.objects.filter(lake=lake).order_by("position", "pk").first()
    return bin_width_for(
        first.bin_width_hundredths_mm if first else HUNDREDTHS_PER_INCH,
        LengthUnit(lake.length_unit),
    )


def has_targets(row: LakeSpecies) -> bool:
    return Target.objects.filter(season__lake=row.lake_id, species=row.species_id).exists()


def has_ages(row: LakeSpecies) -> bool:
    return Age.objects.filter(fish__lake=row.lake_id, fish__species=row.species_id).exists()
