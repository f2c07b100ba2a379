"""Figures entered from elsewhere: what an answer about a limit rests on beside the fish."""

import calendar
import re
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, F, Q, QuerySet

from samples.findings.queries.choice import FindingsSelection
from samples.findings.queries.sample import KEPT_BY_ANGLERS, chosen_by
from samples.models import (
    Arm,
    CreelFigures,
    Fish,
    Lake,
    LakeSpecies,
    NaturalDeath,
    Regulation,
    ReleaseDeath,
    TagReturns,
)

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


def elsewhere(
    lake: Lake, selection: FindingsSelection, species: LakeSpecies, arm: Arm | None
) -> Elsewhere:
    """Fetch what was entered: an arm's own figures first, else those of the whole lake."""
    of_species: dict[str, Any] = {"lake": lake, "species": species.species}
    in_seasons = of_species | {"season__in": selection.seasons}
    tags = TagReturns.objects.filter(**in_seasons).select_related("season")
    creel = CreelFigures.objects.filter(**in_seasons, smallest_kept_hundredths_mm__isnull=False)
    release = ReleaseDeath.objects.filter(**of_species).order_by("-middle", "-as_of", "-pk")
    rule = newest_rule(lake, selection, species)
    return Elsewhere(
        natural=_nearest(NaturalDeath.objects.filter(**of_species), arm).first(),
        tags=list(tags.filter(arm=arm) or tags.filter(arm=None)),
        release=list(release),
        creel=_nearest(creel, arm).first(),
        regulation=rule if rule and rule.minimum_length_hundredths_mm else None,
        daily_limit=(rule.daily_limit or None) if rule else None,
    )


def newest_rule(
    lake: Lake, selection: FindingsSelection, species: LakeSpecies
) -> Regulation | None:
    """Return the rule in force in the last chosen season, whether or not it sets a least length."""
    last = max((season.ends_on for season in selection.seasons), default=None)
    if last is None:
        return None
    rules = Regulation.objects.filter(lake=lake, in_force_from__lte=last).order_by(
        "-in_force_from", "-pk"
    )
    # The newest rule of this species holds; where it has none of its own, that of all of them.
    return rules.filter(species=species.species).first() or rules.filter(species=None).first()


def season_of_catch(fish: QuerySet[Fish], selection: FindingsSelection) -> str:
    """Return the season of the year in which anglers caught most fish; "" where no date says so."""
    rows = (
        fish.filter(chosen_by(selection), method__in=KEPT_BY_ANGLERS, caught_on__isnull=False)
        .values_list("caught_on__month")
        .annotate(count=Count("pk"))
    )
    caught: dict[str, int] = {}
    for month, number in rows.order_by():
        name = SEASON_OF_MONTH[month]
        caught[name] = caught.get(name, 0) + number
    return max(caught, key=lambda name: caught[name], default="")


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


def _nearest(rows: QuerySet[Any], arm: Arm | None) -> QuerySet[Any]:
    """Put an arm's own rows before those of the whole lake, newer ones first."""
    order = (F("arm").asc(nulls_last=True), "-as_of", "-pk")
    return rows.filter(Q(arm=arm) | Q(arm=None)).order_by(*order)
