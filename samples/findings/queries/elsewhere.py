"""Fetch figures entered from elsewhere as plain values."""

from typing import Any

from samples.findings.entered import (
    CreelInput,
    Entered,
    NaturalInput,
    ReleaseInput,
    RuleInput,
    TagInput,
)
from samples.findings.queries.choice import FindingsOptions, FindingsSelection
from samples.models import (
    CreelFigures,
    Lake,
    NaturalDeath,
    Regulation,
    ReleaseDeath,
    TagReturns,
)


def load_entered(options: FindingsOptions, selection: FindingsSelection) -> Entered:
    """Fetch what was entered, one statement a table; release deaths are among the options."""
    lake = options.lake
    species = [one.species_id for one in selection.all_species]
    of_species: dict[str, Any] = {"lake": lake, "species__in": species}
    in_seasons = of_species | {"season__in": selection.seasons}
    newest = ("-as_of", "-pk")
    natural = NaturalDeath.objects.filter(**of_species).select_related("arm").order_by(*newest)
    tags = TagReturns.objects.filter(**in_seasons).select_related("arm", "season").order_by("pk")
    creel = CreelFigures.objects.filter(**in_seasons, smallest_kept_hundredths_mm__isnull=False)
    release = sorted(options.release, key=lambda one: (one.middle, one.as_of, one.pk))[::-1]
    return Entered(
        natural=[_natural(row) for row in natural],
        tags=[_tags(row) for row in tags],
        release=[_release(row) for row in release],
        creel=[_creel(row) for row in creel.order_by(*newest)],
        rules=[_rule(row) for row in _rules_in_force(lake, selection)],
    )


def _natural(row: NaturalDeath) -> NaturalInput:
    return NaturalInput(
        species=row.species_id,
        arm=row.arm_id,
        arm_name=row.arm.name if row.arm else "",
        least=float(row.least),
        middle=float(row.middle),
        most=float(row.most),
        oldest_years=row.oldest_years,
        source=row.source,
    )


def _tags(row: TagReturns) -> TagInput:
    return TagInput(
        species=row.species_id,
        arm=row.arm_id,
        arm_name=row.arm.name if row.arm else "",
        season=row.season.name,
        tags_out=row.tags_out,
        returned=row.returned,
        returned_released=row.returned_released,
        reporting_least=float(row.reporting_least),
        reporting_most=float(row.reporting_most),
        tags_kept=float(row.tags_kept),
        survived_tagging=float(row.survived_tagging),
        high_reward_out=row.high_reward_out or 0,
        high_reward_returned=row.high_reward_returned or 0,
        source=row.source,
    )


def _release(row: ReleaseDeath) -> ReleaseInput:
    return ReleaseInput(
        key=str(row.pk),
        species=row.species_id,
        when=row.when,
        least=float(row.least),
        middle=float(row.middle),
        most=float(row.most),
        source=row.source,
    )


def _creel(row: CreelFigures) -> CreelInput:
    return CreelInput(
        species=row.species_id,
        arm=row.arm_id,
        smallest_kept_mm=(row.smallest_kept_hundredths_mm or 0) / 100,
        source=row.source,
    )


def _rule(row: Regulation) -> RuleInput:
    return RuleInput(
        species=row.species_id,
        minimum_mm=(row.minimum_length_hundredths_mm or 0) / 100,
        daily_limit=row.daily_limit or 0,
    )


def _rules_in_force(lake: Lake, selection: FindingsSelection) -> list[Regulation]:
    last = max((season.ends_on for season in selection.seasons), default=None)
    if last is None:
        return []
    rules = Regulation.objects.filter(lake=lake, in_force_from__lte=last)
    return list(rules.order_by("-in_force_from", "-pk"))
