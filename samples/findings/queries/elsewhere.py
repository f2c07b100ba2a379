"""Figures entered from elsewhere: what an answer about a limit rests on beside the fish."""

import calendar
import re
from collections import Counter
from dataclasses import dataclass
from typing import Any, TypeVar

from samples.findings.queries.choice import FindingsOptions, FindingsSelection
from samples.findings.sample import KEPT_BY_ANGLERS, Sample
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

T = TypeVar("T", NaturalDeath, TagReturns, CreelFigures)
SPRING, SUMMER, FALL, WINTER = "spring", "summer", "fall", "winter"
# By month, 1 to 12, on the northern half of the world.
SEASON_OF_MONTH = ["", WINTER, WINTER, *[SPRING] * 3, *[SUMMER] * 3, *[FALL] * 3, WINTER]
SEASON_NAMES = {one: one for one in (SPRING, SUMMER, FALL, WINTER)} | {"autumn": FALL}
MONTHS = ["", *(calendar.month_name[month][:3].lower() for month in range(1, 13))]


@dataclass(frozen=True, slots=True, eq=False)
class Elsewhere:
    """What was entered for one species, of one arm or of the lake; nothing where nothing was.

    ``release`` has the harshest first. ``regulation`` is the rule in force that sets a least
    length; ``daily_limit`` the fish that an angler may keep a day, of the newest rule.
    """

    natural: NaturalDeath | None
    tags: list[TagReturns]
    release: list[ReleaseDeath]
    creel: CreelFigures | None
    regulation: Regulation | None
    daily_limit: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Entered:
    """Everything that was entered for the species of a choice, of every arm, newest first.

    ``tags`` and ``creel`` are of the seasons chosen, ``rules`` those in force by their last day.
    """

    natural: list[NaturalDeath]
    tags: list[TagReturns]
    release: list[ReleaseDeath]
    creel: list[CreelFigures]
    rules: list[Regulation]

    def of(self, species: LakeSpecies, arm: Arm | None) -> Elsewhere:
        """Return what was entered: an arm's own figures first, else those of the whole lake."""
        rule = self.newest_rule(species)
        kept = [one for one in self.creel if one.smallest_kept_hundredths_mm is not None]
        return Elsewhere(
            natural=next(iter(_nearest(self.natural, species, arm)), None),
            tags=_of_arm(self.tags_of(species), arm) or _of_arm(self.tags_of(species), None),
            release=[one for one in self.release if one.species_id == species.species_id],
            creel=next(iter(_nearest(kept, species, arm)), None),
            regulation=rule if rule and rule.minimum_length_hundredths_mm else None,
            daily_limit=(rule.daily_limit or None) if rule else None,
        )

    def tags_of(self, species: LakeSpecies) -> list[TagReturns]:
        return [one for one in self.tags if one.species_id == species.species_id]

    def newest_rule(self, species: LakeSpecies) -> Regulation | None:
        """Return the rule in force in the last chosen season, with or without a least length.

        The newest rule of this species holds; where it has none of its own, that of all of them.
        """
        own = [one for one in self.rules if one.species_id == species.species_id]
        return next(iter(own or [one for one in self.rules if one.species_id is None]), None)


def load_entered(options: FindingsOptions, selection: FindingsSelection) -> Entered:
    """Fetch what was entered, one statement a table; release deaths are among the options."""
    lake = options.lake
    species = [one.species_id for one in selection.all_species]
    of_species: dict[str, Any] = {"lake": lake, "species__in": species}
    in_seasons = of_species | {"season__in": selection.seasons}
    newest = ("-as_of", "-pk")
    natural = NaturalDeath.objects.filter(**of_species).select_related("arm").order_by(*newest)
    tags = TagReturns.objects.filter(**in_seasons).select_related("arm", "season").order_by("pk")
    return Entered(
        natural=list(natural),
        tags=list(tags),
        release=sorted(options.release, key=lambda one: (one.middle, one.as_of, one.pk))[::-1],
        creel=list(CreelFigures.objects.filter(**in_seasons).order_by(*newest)),
        rules=_rules_in_force(lake, selection),
    )


def _rules_in_force(lake: Lake, selection: FindingsSelection) -> list[Regulation]:
    last = max((season.ends_on for season in selection.seasons), default=None)
    if last is None:
        return []
    rules = Regulation.objects.filter(lake=lake, in_force_from__lte=last)
    return list(rules.order_by("-in_force_from", "-pk"))


def season_of_catch(sample: Sample) -> str:
    """Return the season of the year in which anglers caught most fish; "" where no date says so."""
    months = zip(sample.month.tolist(), sample.method, strict=True)
    caught = Counter(
        SEASON_OF_MONTH[month] for month, how in months if month and how in KEPT_BY_ANGLERS
    )
    return max(sorted(caught), key=lambda name: caught[name], default="")


def seasons_named(words: str) -> set[str]:
    """Return the seasons of the year that a text names, by their names or by months."""
    found = set()
    for word in re.findall("[a-z]+", words.lower()):
        if word in SEASON_NAMES:
            found.add(SEASON_NAMES[word])
        elif (
            len(word) >= 3
            and word[:3] in MONTHS
            and calendar.month_name[MONTHS.index(word[:3])].lower().startswith(word)
        ):
            found.add(SEASON_OF_MONTH[MONTHS.index(word[:3])])
    return found


def _nearest(rows: list[T], species: LakeSpecies, arm: Arm | None) -> list[T]:
    """Put an arm's own rows before those of the whole lake."""
    found = [one for one in rows if one.species_id == species.species_id]
    return (_of_arm(found, arm) if arm is not None else []) + _of_arm(found, None)


def _of_arm(rows: list[T], arm: Arm | None) -> list[T]:
    return [one for one in rows if one.arm_id == (arm.pk if arm else None)]
