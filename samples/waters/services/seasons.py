"""Seasons, and the rules in force on a lake."""

from datetime import date
from typing import TypedDict, Unpack

from samples.models import (
    Fish,
    Lake,
    Party,
    Regulation,
    Season,
    Species,
    Vial,
    atomic_with_revision,
)
from samples.rules.season_days import day_text
from samples.waters.services.errors import ChangeRefused
from samples.waters.services.order import lock_lake

_DAYS_NAMED = 3


class SeasonFacts(TypedDict):
    """Everything that is said of a season."""

    name: str
    number_year: int
    starts_on: date
    ends_on: date
    permit_number: str
    permit_holder: str
    permit_until: date | None
    possession_reminder: str
    carcass_note: str


class RegulationFacts(TypedDict):
    """Everything that is said of a rule."""

    species: Species | None
    in_force_from: date
    words: str
    minimum_length_hundredths_mm: int | None
    daily_limit: int | None
    source: str


@atomic_with_revision()
def add_season(lake: Lake, **facts: Unpack[SeasonFacts]) -> Season:
    """Add a season.

    :raises Refused: if its name is taken or its days belong to another season of the lake
    """
    lock_lake(lake)
    _check_season(lake, None, facts)
    return Season.objects.create(lake=lake, **facts)


@atomic_with_revision()
def edit_season(season: Season, **facts: Unpack[SeasonFacts]) -> None:
    """Change a season.

    :raises Refused: as `add_season`; also if the season would lose a day on which one of
        its fish was caught, or another year than its printed numbers carry
    """
    lock_lake(season.lake)
    _check_season(season.lake, season, facts)
    _check_days_kept(season, facts)
    if facts["number_year"] != season.number_year and Vial.objects.filter(season=season).exists():
        sentence = f"Vials of this season are numbered for {season.number_year}. The year stays."
        raise ChangeRefused("numbers_printed", sentence, field="number_year")
    for field, value in facts.items():
        setattr(season, field, value)
    season.save()


def _check_season(lake: Lake, season: Season | None, facts: SeasonFacts) -> None:
    if facts["ends_on"] <= facts["starts_on"]:
        sentence = "The season ends before it starts. Enter a later day."
        raise ChangeRefused("ends_first", sentence, field="ends_on")
    others = Season.objects.filter(lake=lake).exclude(pk=season.pk if season else 0)
    if others.filter(name__iexact=facts["name"]).exists():
        sentence = f"{lake} already has a season called {facts['name']}."
        raise ChangeRefused("name_taken", sentence, field="name")
    shared = others.filter(starts_on__lte=facts["ends_on"], ends_on__gte=facts["starts_on"])
    other = shared.order_by("starts_on").first()
    if other is None:
        return
    begins_inside = other.starts_on <= facts["starts_on"] <= other.ends_on
    sentence = (
        f"The season {other.name} runs from {day_text(other.starts_on)} to "
        f"{day_text(other.ends_on)}. Seasons can't overlap: change the dates."
    )
    raise ChangeRefused("overlaps", sentence, field="starts_on" if begins_inside else "ends_on")


def _check_days_kept(season: Season, facts: SeasonFacts) -> None:
    """Refuse to lose a day of a catch. A day that was outside before was confirmed then."""
    during = {"season": season, "caught_on__range": (season.starts_on, season.ends_on)}
    days = set(
        Fish.objects.filter(withdrawn=False, **during).values_list("caught_on", flat=True)
    ) | set(Party.objects.filter(**during).values_list("caught_on", flat=True))
    caught = sorted(day for day in days if day is not None)
    early = [day for day in caught if day < facts["starts_on"]]
    late = [day for day in caught if day > facts["ends_on"]]
    for field, lost in (("starts_on", early), ("ends_on", late)):
        if lost:
            sentence = (
                f"Fish of this season were caught on {_days(lost)}. Keep those dates in the season."
            )
            raise ChangeRefused("loses_fish", sentence, field=field)


def _days(days: list[date]) -> str:
    named = [day_text(day) for day in days[:_DAYS_NAMED]]
    more = len(days) - len(named)
    if more:
        return f"{', '.join(named)} and {more} more {'day' if more == 1 else 'days'}"
    if len(named) == 1:
        return named[0]
    return f"{', '.join(named[:-1])} and {named[-1]}"


@atomic_with_revision()
def add_regulation(lake: Lake, **facts: Unpack[RegulationFacts]) -> Regulation:
    """Add a rule from a day on; the rule before it ends there.

    :raises Refused: if a rule for the same fish begins on the same day
    """
    lock_lake(lake)
    _check_regulation(lake, None, facts)
    return Regulation.objects.create(lake=lake, **facts)


@atomic_with_revision()
def edit_regulation(regulation: Regulation, **facts: Unpack[RegulationFacts]) -> None:
    """Put a rule right that was written down wrong.

    :raises Refused: if another rule for the same fish begins on the same day
    """
    lock_lake(regulation.lake)
    _check_regulation(regulation.lake, regulation, facts)
    for field, value in facts.items():
        setattr(regulation, field, value)
    regulation.save()


def _check_regulation(lake: Lake, regulation: Regulation | None, facts: RegulationFacts) -> None:
    others = Regulation.objects.filter(
        lake=lake, species=facts["species"], in_force_from=facts["in_force_from"]
    )
    if others.exclude(pk=regulation.pk if regulation else 0).exists():
        fish = facts["species"] or "all species"
        sentence = f"A regulation for {fish} already starts on this day. Edit that one."
        raise ChangeRefused("same_day", sentence, field="in_force_from")
