"""Figures entered from elsewhere: what an answer about a limit rests on beside the fish."""

from dataclasses import dataclass
from typing import Any

from django.db.models import F, Q, QuerySet

from samples.findings.queries.choice import Choice
from samples.models import (
    Arm,
    CreelFigures,
    Lake,
    LakeSpecies,
    NaturalDeath,
    Regulation,
    ReleaseDeath,
    TagReturns,
)


@dataclass(frozen=True, slots=True, eq=False)
class Elsewhere:
    """What was entered for one species, of one arm or of the lake; nothing where nothing was.

    ``release`` has the mildest first: what is let go in spring from shallow water.
    """

    natural: NaturalDeath | None
    tags: list[TagReturns]
    release: list[ReleaseDeath]
    creel: CreelFigures | None
    regulation: Regulation | None


def elsewhere(lake: Lake, choice: Choice, species: LakeSpecies, arm: Arm | None) -> Elsewhere:
    """Fetch what was entered: an arm's own figures first, else those of the whole lake."""
    of_species: dict[str, Any] = {"lake": lake, "species": species.species}
    in_seasons = of_species | {"season__in": choice.seasons}
    tags = TagReturns.objects.filter(**in_seasons).select_related("season")
    creel = CreelFigures.objects.filter(**in_seasons, smallest_kept_hundredths_mm__isnull=False)
    release = ReleaseDeath.objects.filter(**of_species).order_by("middle", "-as_of", "-pk")
    return Elsewhere(
        natural=_nearest(NaturalDeath.objects.filter(**of_species), arm).first(),
        tags=list(tags.filter(arm=arm) or tags.filter(arm=None)),
        release=list(release),
        creel=_nearest(creel, arm).first(),
        regulation=in_force(lake, choice, species),
    )


def in_force(lake: Lake, choice: Choice, species: LakeSpecies) -> Regulation | None:
    """Give the rule of the last chosen season that sets a least length for this species."""
    newest = newest_rule(lake, choice, species)
    return newest if newest and newest.minimum_length_hundredths_mm else None


def newest_rule(lake: Lake, choice: Choice, species: LakeSpecies) -> Regulation | None:
    """Give the rule in force in the last chosen season, whether or not it sets a least length."""
    last = max((season.ends_on for season in choice.seasons), default=None)
    if last is None:
        return None
    rules = Regulation.objects.filter(lake=lake, in_force_from__lte=last).order_by(
        "-in_force_from", "-pk"
    )
    # The newest rule of this species holds; where it has none of its own, that of all of them.
    return rules.filter(species=species.species).first() or rules.filter(species=None).first()


def _nearest(rows: QuerySet[Any], arm: Arm | None) -> QuerySet[Any]:
    """Put an arm's own rows before those of the whole lake, newer ones first."""
    order = (F("arm").asc(nulls_last=True), "-as_of", "-pk")
    return rows.filter(Q(arm=arm) | Q(arm=None)).order_by(*order)
