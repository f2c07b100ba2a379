"""Species, their groups, and how each is sampled at a lake."""

from dataclasses import dataclass
from typing import NotRequired, TypedDict, Unpack

from django.db.models import Q
from django.utils.text import slugify

from samples.models import (
    Fish,
    Lake,
    LakeGroup,
    LakeSpecies,
    Species,
    SpeciesGroup,
    Target,
    atomic_with_revision,
)
from samples.models.species import OWN_VALUES
from samples.waters import queries
from samples.waters.services.errors import ChangeRefused
from samples.waters.services.order import last_place, lock_lake, move


class SpeciesFacts(TypedDict):
    """Everything that is said of a species, for every lake of the installation."""

    name: str
    short_name: str
    scientific_name: str
    kind: str
    group: SpeciesGroup | None
    parent_a: Species | None
    parent_b: Species | None
    plausible_min_hundredths_mm: int
    plausible_max_hundredths_mm: int
    plausible_max_age_years: int
    spines_min: int | None
    spines_max: int | None
    marks: str


class LakeSpeciesFacts(TypedDict):
    """How a species is sampled at one lake: bins and calendar."""

    bin_width_hundredths_mm: int
    annulus_starts: str
    annulus_ends: str
    hatch: str
    growth_starts: str
    growth_ends: str
    age_0_below_hundredths_mm: int | None
    early_annulus_counts_for_next_year: bool
    targets_by_sex: NotRequired[bool]
    plausible_min_hundredths_mm: NotRequired[int | None]
    plausible_max_hundredths_mm: NotRequired[int | None]
    plausible_max_age_years: NotRequired[int | None]
    spines_min: NotRequired[int | None]
    spines_max: NotRequired[int | None]
    marks: NotRequired[str | None]


@atomic_with_revision()
def add_species(**facts: Unpack[SpeciesFacts]) -> Species:
    """Add a species that every lake may then take up.

    :raises Refused: if its name is taken, or its parents do not fit its kind
    """
    _check_species(None, facts)
    species = Species(code=_free_code(facts["name"]), **facts)
    species.save()
    return species


@atomic_with_revision()
def edit_species(species: Species, **facts: Unpack[SpeciesFacts]) -> None:
    """Change a species. Fish that are logged keep what was measured.

    :raises Refused: if its name is taken, or its parents do not fit its kind
    """
    _check_species(species, facts)
    for field, value in facts.items():
        setattr(species, field, value)
    species.save()


def _check_species(species: Species | None, facts: SpeciesFacts) -> None:
    pk = species.pk if species else 0
    if Species.objects.filter(name__iexact=facts["name"]).exclude(pk=pk).exists():
        sentence = f"A species called {facts['name']} already exists."
        raise ChangeRefused("name_taken", sentence, field="name")
    is_a_parent = Species.objects.filter(Q(parent_a=pk) | Q(parent_b=pk)).exists()
    if is_a_parent and facts["kind"] != Species.Kind.SPECIES:
        sentence = "It is the parent of a hybrid: leave it a species."
        raise ChangeRefused("is_a_parent", sentence, field="kind")
    parents = {"parent_a": facts["parent_a"], "parent_b": facts["parent_b"]}
    if facts["kind"] == Species.Kind.HYBRID:
        _check_parents(species, parents)
        return
    for field, parent in parents.items():
        if parent is not None:
            sentence = "Only a hybrid has parents. Leave this empty or choose Hybrid."
            raise ChangeRefused("parent_of_no_hybrid", sentence, field=field)


def _check_parents(species: Species | None, parents: dict[str, Species | None]) -> None:
    for field, parent in parents.items():
        if parent is None:
            sentence = "A hybrid has two parents. Choose both."
            raise ChangeRefused("parent_missing", sentence, field=field)
        if species is not None and parent.pk == species.pk:
            sentence = "A hybrid can't be its own parent. Choose another species."
            raise ChangeRefused("own_parent", sentence, field=field)
    if parents["parent_a"] == parents["parent_b"]:
        sentence = "Both parents are the same. Choose two species."
        raise ChangeRefused("same_parent_twice", sentence, field="parent_b")


def _free_code(name: str) -> str:
    stem = slugify(name)[:36] or "species"
    taken = set(Species.objects.filter(code__startswith=stem).values_list("code", flat=True))
    codes = (stem if n == 1 else f"{stem}-{n}" for n in range(1, len(taken) + 2))
    return next(code for code in codes if code not in taken)


@atomic_with_revision()
def edit_group(
    lake: Lake,
    group: SpeciesGroup,
    *,
    helper_heading: str,
    helper_words: str,
    helper_caution: str,
) -> None:
    """Set a lake's own words that help to tell the species of a group apart."""
    LakeGroup.objects.update_or_create(
        lake=lake,
        group=group,
        defaults={
            "helper_heading": helper_heading,
            "helper_words": helper_words,
            "helper_caution": helper_caution,
        },
    )


@atomic_with_revision()
def add_lake_species(
    lake: Lake, *, species: Species, **facts: Unpack[LakeSpeciesFacts]
) -> LakeSpecies:
    """Take up a species at a lake, at the end of its list.

    :raises Refused: if the lake has it already
    """
    lock_lake(lake)
    rows = queries.lake_species_of(lake)
    if any(row.species_id == species.pk for row in rows):
        raise ChangeRefused("already_here", f"{lake} already has {species}.", field="species")
    return LakeSpecies.objects.create(
        lake=lake, species=species, position=last_place(rows), **facts
    )


@dataclass(frozen=True, slots=True)
class LakeSpeciesChanged:
    """Which parts of a species at a lake are other than before."""

    bins: bool
    calendar: bool


@atomic_with_revision()
def edit_lake_species(row: LakeSpecies, **facts: Unpack[LakeSpeciesFacts]) -> LakeSpeciesChanged:
    """Change the bins and the calendar of a species at a lake."""
    changed = {field for field, value in facts.items() if getattr(row, field) != value}
    for field, value in facts.items():
        setattr(row, field, value)
    row.save()
    bins = {"bin_width_hundredths_mm"}
    without_ages = bins | set(OWN_VALUES) - {"plausible_max_age_years"}
    return LakeSpeciesChanged(bins=bool(changed & bins), calendar=bool(changed - without_ages))


@atomic_with_revision()
def move_lake_species(row: LakeSpecies, *, up: bool) -> None:
    """Move a species one place up or down on the form at the ramp."""
    lock_lake(row.lake)
    move(queries.lake_species_of(row.lake), row.pk, up=up)


@atomic_with_revision()
def remove_lake_species(row: LakeSpecies) -> None:
    """Take a species off a lake's list, while none was logged and none is wanted there.

    :raises Refused: if fish or targets of the species belong to the lake
    """
    lock_lake(row.lake)
    if Fish.objects.filter(lake=row.lake, species=row.species).exists():
        sentence = f"{row.species} were logged at {row.lake}, so the species can't be removed."
        raise ChangeRefused("has_fish", sentence)
    if Target.objects.filter(season__lake=row.lake, species=row.species).exists():
        sentence = f"{row.species} has targets at {row.lake}. Remove them first."
        raise ChangeRefused("has_targets", sentence)
    row.delete()
