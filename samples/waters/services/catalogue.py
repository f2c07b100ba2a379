"""The species that a new installation starts with, and a lake that starts from them."""

from collections.abc import Collection

from samples.models import Lake, LakeSpecies, Species, SpeciesGroup, atomic_with_revision
from samples.rules import species_catalogue
from samples.rules.species_catalogue import SpeciesEntry
from samples.waters import queries
from samples.waters.services.order import last_place, lock_lake


@atomic_with_revision()
def load_catalogue() -> dict[str, Species]:
    """Add the species of the catalogue that are not there, and return them all by code.

    Safe to repeat: what the biologist changed is never written over. A species that was
    added by hand under the same name stands for the one of the catalogue.
    """
    there = {species.code: species for species in Species.objects.all()}
    by_name = {species.name.casefold(): species for species in there.values()}
    loaded: dict[str, Species] = {}
    for entry in species_catalogue.SPECIES:
        known = there.get(entry.code) or by_name.get(entry.name.casefold())
        loaded[entry.code] = known or _add(entry, loaded)
    return loaded


@atomic_with_revision()
def add_listed_species(lake: Lake, codes: Collection[str]) -> int:
    """Add species of the shared list or the catalogue, with the usual bins and calendar.

    What the lake has already stays as it is. Returns how many were added.
    """
    loaded = load_catalogue() if codes else {}
    lock_lake(lake)
    here = queries.lake_species_of(lake)
    wanted = {loaded[code].pk for code in codes if code in loaded}
    wanted |= set(Species.objects.filter(code__in=codes).values_list("pk", flat=True))
    wanted -= {row.species_id for row in here}
    width, place = queries.usual_bin_width(lake), last_place(here)
    # Parents were made before their hybrids, which is how the form at the ramp lists them.
    for offset, species in enumerate(Species.objects.filter(pk__in=wanted).order_by("pk")):
        LakeSpecies.objects.create(
            lake=lake, species=species, position=place + offset, bin_width_hundredths_mm=width
        )
    return len(wanted)


def _add(entry: SpeciesEntry, loaded: dict[str, Species]) -> Species:
    shortest, longest = entry.hundredths_mm
    parent_a, parent_b = entry.parents or ("", "")
    least, most = entry.spines or (None, None)
    species = Species(
        code=entry.code,
        name=entry.name,
        short_name=entry.short_name,
        scientific_name=entry.scientific_name,
        kind=entry.kind,
        group=_group(entry.group),
        parent_a=loaded.get(parent_a),
        parent_b=loaded.get(parent_b),
        plausible_min_hundredths_mm=shortest,
        plausible_max_hundredths_mm=longest,
        plausible_max_age_years=entry.max_age_years,
        spines_min=least,
        spines_max=most,
        marks=entry.marks,
    )
    species.save()
    return species


def _group(name: str) -> SpeciesGroup | None:
    if not name:
        return None
    entry = next(group for group in species_catalogue.GROUPS if group.name == name)
    group, _ = SpeciesGroup.objects.get_or_create(
        name=name,
        defaults={
            "helper_heading": entry.helper_heading,
            "helper_words": entry.helper_words,
            "helper_caution": entry.helper_caution,
        },
    )
    return group
