"""The species that a new installation starts with."""

from samples.models import Species, SpeciesGroup, atomic_with_revision
from samples.rules import species_catalogue
from samples.rules.species_catalogue import SpeciesEntry


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
