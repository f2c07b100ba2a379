"""What the pages of a lake show, in the biologist's order."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Prefetch, QuerySet

from samples.models import (
    Age,
    Arm,
    CreelFigures,
    Lake,
    LakeGroup,
    LakeSpecies,
    NaturalDeath,
    Reach,
    Regulation,
    ReleaseDeath,
    Season,
    Species,
    SpeciesGroup,
    TagReturns,
    Target,
    User,
)
from samples.rules.species_catalogue import SPECIES
from samples.units import HUNDREDTHS_PER_INCH, LengthUnit
from samples.waters.rules import bin_width_for


@dataclass(frozen=True, slots=True)
class DatedRule:
    """A regulation, and whether it holds today."""

    rule: Regulation
    in_force: bool
    to_come: bool


@dataclass(frozen=True, slots=True)
class NotedRule:
    """A regulation that holds today, and who wrote it down as it stands."""

    rule: Regulation
    actor: User | None
    at: datetime | None


@dataclass(frozen=True, slots=True)
class Entered:
    """A figure from elsewhere, and whether a newer one of the same has been entered since."""

    row: Any
    older: bool


# What is the same in two figures of which the newer one counts.
SAME_FIGURE: dict[Any, tuple[str, ...]] = {
    NaturalDeath: ("species_id", "arm_id"),
    ReleaseDeath: ("species_id", "when"),
    TagReturns: ("species_id", "season_id", "arm_id"),
    CreelFigures: ("species_id", "season_id", "arm_id"),
}


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


def listed_species(lake: Lake | None = None) -> list[tuple[str, str]]:
    """List the species of the shared list and of the catalogue as (code, name).

    Relatives stand together as in the catalogue, then others by name. Of a lake, those alone
    that it does not have yet.
    """
    shared = {species.code: species for species in Species.objects.all()}
    names = {species.name.casefold() for species in shared.values()}
    listed = {code: species.name for code, species in shared.items()} | {
        entry.code: entry.name
        for entry in SPECIES
        if entry.code not in shared and entry.name.casefold() not in names
    }
    here: set[str] = set()
    if lake is not None:
        rows = LakeSpecies.objects.filter(lake=lake)
        here = set(rows.values_list("species__code", flat=True))
    places = {entry.code: place for place, entry in enumerate(SPECIES)}
    return sorted(
        ((code, name) for code, name in listed.items() if code not in here),
        key=lambda one: (places.get(one[0], len(places)), one[1].casefold()),
    )


def people_who_sign_in() -> list[User]:
    """List the people who sign in with a password, by name: a lake's biologist is one of them."""
    found = User.objects.filter(is_active=True).order_by("display_name", "username")
    return [person for person in found if person.has_usable_password()]


def possible_parents(species: Species | None) -> list[Species]:
    """List the species that a hybrid may come from, by name."""
    rows = Species.objects.filter(kind=Species.Kind.SPECIES)
    return list(rows.exclude(pk=species.pk if species else 0).order_by("name"))


def groups_at(lake: Lake) -> list[SpeciesGroup]:
    """List the groups of the lake's species in the order of the form, with the lake's own words."""
    rows = lake_species_of(lake)
    groups = dict.fromkeys(row.species.group for row in rows if row.species.group)
    own = {one.group_id: one.group_here for one in own_groups_of(lake)}
    return [own.get(group.pk, group) for group in groups]


def own_groups_of(lake: Lake) -> QuerySet[LakeGroup]:
    """List the words of helpers that a lake has of its own."""
    return LakeGroup.objects.filter(lake=lake).select_related("group")


def seasons_of(lake: Lake) -> list[Season]:
    """List a lake's seasons, the newest first."""
    return list(Season.objects.filter(lake=lake).order_by("-starts_on"))


def season_at(lake: Lake, day: date) -> Season | None:
    """Return the season that a day falls in, else the last one that began before it."""
    return Season.objects.filter(lake=lake, starts_on__lte=day).order_by("-starts_on").first()


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


def rules_in_force(lake: Lake, today: date) -> list[NotedRule]:
    """List the rules that hold today, each with who wrote it down last, and when."""
    rules = [dated.rule for dated in regulations_of(lake, today) if dated.in_force]
    message = Regulation.history.filter(id__in=[rule.pk for rule in rules])
    last = {row.id: row for row in message.select_related("history_user").order_by("history_id")}
    return [
        NotedRule(rule, last[rule.pk].history_user, last[rule.pk].history_date)
        if rule.pk in last
        else NotedRule(rule, None, None)
        for rule in rules
    ]


def figures_of(model: Any, lake: Lake) -> list[Entered]:
    """List one kind of figures from elsewhere, the newest first; older ones stay in the list."""
    same = SAME_FIGURE[model]
    placed = "season_id" in same
    of_an_arm = "arm_id" in same
    related = ["species", "entered_by"]
    related += [name for name, there in (("season", placed), ("arm", of_an_arm)) if there]
    by_arm = ["arm__position", "arm"] if of_an_arm else []
    order = ["-as_of", *(by_arm if placed else []), "species__name", *by_arm, "-pk"]
    told: set[tuple[object, ...]] = set()
    listed = []
    for row in model.objects.filter(lake=lake).select_related(*related).order_by(*order):
        which = tuple(getattr(row, name) for name in same)
        listed.append(Entered(row, older=which in told))
        told.add(which)
    return listed


def without_figures(lake_species: Iterable[LakeSpecies], figures: list[Entered]) -> list[Species]:
    """List the species of a lake of which there is no figure; "not sure" is none of them."""
    told = {entered.row.species_id for entered in figures}
    return [row.species for row in lake_species if of_a_kind(row) and row.species_id not in told]


def of_a_kind(row: LakeSpecies) -> bool:
    return row.species.kind != Species.Kind.NOT_SURE


def named_arms_of(lake: Lake) -> list[Arm]:
    """List the arms that are a place of their own, in order."""
    return list(Arm.objects.filter(lake=lake, whole_lake=False).order_by("position", "pk"))


def next_season_starts(lake: Lake, today: date) -> date:
    """Guess when the next season begins: the day after the last one ends, else this year."""
    last = Season.objects.filter(lake=lake).order_by("-ends_on").first()
    return last.ends_on + timedelta(days=1) if last else date(today.year, 1, 1)


def usual_bin_width(lake: Lake) -> int:
    """Return the bin width of the lake's first species, else an inch or 25 mm."""
    first = LakeSpecies.objects.filter(lake=lake).order_by("position", "pk").first()
    return bin_width_for(
        first.bin_width_hundredths_mm if first else HUNDREDTHS_PER_INCH,
        LengthUnit(lake.length_unit),
    )


def has_targets(row: LakeSpecies) -> bool:
    return Target.objects.filter(season__lake=row.lake_id, species=row.species_id).exists()


def has_ages(row: LakeSpecies) -> bool:
    return Age.objects.filter(fish__lake=row.lake_id, fish__species=row.species_id).exists()
