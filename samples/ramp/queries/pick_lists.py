"""What a phone is told, so that it asks the same questions without signal."""

from datetime import date, datetime
from typing import Any, TypedDict

from django.db.models import Q

from samples.accounts.permissions import Permission, lakes_with_permission
from samples.accounts.selectors import (
    fish_logged_by,
    parties_logged_by,
    vials_given,
    vials_in_hand,
)
from samples.models import (
    HowChosen,
    Lake,
    Method,
    Preservation,
    Season,
    Sex,
    Species,
    SpeciesGroup,
    ToldBy,
    User,
    Vial,
)
from samples.ramp.entry import SCHEMA, FishFacts, specs_of
from samples.ramp.queries.logging_page import arms_of, season_on, species_on_form
from samples.ramp.queries.slips import slip_words
from samples.ramp.queries.trips import KNOWN_FOR, recent_trips
from samples.rules.lake_time import local_day
from samples.rules.season_days import day_text


class CodeOnList(TypedDict):
    code: str
    name: str


class SeasonOnList(TypedDict):
    """A season; ``permit`` and ``possession``: what is told once, before its first trip.

    After the day ``permit_until`` a phone tells ``permit_expired`` in place of ``permit``.
    """

    starts_on: str
    ends_on: str
    number_year: int
    permit: str
    permit_until: str
    permit_expired: str
    possession: str


class GroupOnList(TypedDict):
    """Species that are mistaken for one another, and how they are told apart."""

    name: str
    heading: str
    words: str
    caution: str


class ArmOnList(TypedDict):
    name: str
    reaches: list[str]


class SpeciesOnList(TypedDict):
    code: str
    name: str
    short_name: str
    kind: str
    least_hundredths_mm: int
    most_hundredths_mm: int
    spines_least: int | None
    spines_most: int | None
    group: str
    marks: str


class LakeOnList(TypedDict):
    """A lake. ``for_others``: a clerk's; fish of other people, measured without a vial too."""

    lake: str
    name: str
    length_unit: str
    weight_unit: str
    time_zone: str
    office_phone: str
    office_address: str
    for_others: bool
    arms: list[ArmOnList]
    seasons: list[SeasonOnList]
    species: list[SpeciesOnList]
    groups: list[GroupOnList]


class PersonOnList(TypedDict):
    """A person; ``key`` stands for them in what the phone writes."""

    key: str
    name: str


class PickLists(TypedDict):
    """Everything a phone needs to ask the same questions without signal.

    ``vials_given`` counts those that the office ever handed to this person, ``vials_used`` are
    those of their own fish; ``trips`` those of the last days.
    ``slips`` has the words on the slips of a clerk's vials: of those in hand and of the last trips.
    ``takes`` names the later fields of a fish that this site reads, and the photo: a
    phone asks for no other.
    """

    schema: int
    takes: list[str]
    person: PersonOnList
    lakes: list[LakeOnList]
    vials_in_hand: list[str]
    vials_given: int
    vials_used: list[str]
    slips: dict[str, str]
    trips: list[dict[str, Any]]
    methods: list[CodeOnList]
    how_chosen: list[CodeOnList]
    kept: list[CodeOnList]
    sexes: list[CodeOnList]
    told_by: list[CodeOnList]


def pick_lists(person: User, *, now: datetime) -> PickLists:
    """Return everything a phone needs to ask the same questions without signal."""
    for_others = {lake.pk for lake in lakes_with_permission(person, Permission.LOG_FOR_OTHERS)}
    own = fish_logged_by(person).filter(withdrawn=False, vial__isnull=False)
    return {
        "schema": SCHEMA,
        "takes": ["photo", *(one.word for one in specs_of(FishFacts) if one.spec.since > 1)],
        "person": {"key": str(person.pk), "name": str(person)},
        "lakes": [
            _pick_list_of(lake, for_others=lake.pk in for_others)
            for lake in lakes_with_permission(person, Permission.LOG_FISH)
        ],
        "vials_in_hand": sorted(vials_in_hand(person).values_list("number", flat=True)),
        "vials_given": vials_given(person).count(),
        "vials_used": sorted(own.order_by().values_list("vial__number", flat=True)),
        "slips": _slips(person, for_others, now),
        "trips": recent_trips(person, now),
        "methods": _pairs(Method),
        "how_chosen": _pairs(HowChosen),
        "kept": _pairs(Preservation),
        "sexes": _pairs(Sex),
        "told_by": _pairs(ToldBy),
    }


def _slips(person: User, lakes: set[int], now: datetime) -> dict[str, str]:
    if not lakes:
        return {}
    recent = Q(fish__logged_by=person, fish__received_at__gte=now - KNOWN_FOR)
    vials = Vial.objects.filter(Q(issued_to=person, state=Vial.State.ISSUED) | recent)
    found: dict[str, str] = {}
    for vial in vials.filter(lake__in=lakes).select_related("lake").order_by("number"):
        found |= slip_words(vial.lake, [vial.number])
    return found


def _pairs(choices: Any) -> list[CodeOnList]:
    return [{"code": code, "name": name} for code, name in choices.choices]


def _pick_list_of(lake: Lake, *, for_others: bool) -> LakeOnList:
    species = species_on_form(lake)
    groups = {one.group for one in species if one.group and one.group.helper_heading}
    return {
        "lake": lake.slug,
        "name": lake.name,
        "length_unit": lake.length_unit,
        "weight_unit": lake.weight_unit,
        "time_zone": lake.time_zone,
        "office_phone": lake.office_phone,
        "office_address": lake.office_address,
        "for_others": for_others,
        "arms": [
            {"name": arm.name, "reaches": [reach.name for reach in arm.reaches.all()]}
            for arm in arms_of(lake)
        ],
        "seasons": [
            _season(season) for season in Season.objects.filter(lake=lake).order_by("starts_on")
        ],
        "species": [_species(one) for one in species],
        "groups": [_group(group) for group in sorted(groups, key=lambda group: group.name)],
    }


def _season(season: Season) -> SeasonOnList:
    return {
        "starts_on": season.starts_on.isoformat(),
        "ends_on": season.ends_on.isoformat(),
        "number_year": season.number_year,
        "permit": permit_in_words(season),
        "permit_until": season.permit_until.isoformat() if season.permit_until else "",
        "permit_expired": expired_permit_in_words(season),
        "possession": season.possession_reminder,
    }


def permit_in_words(season: Season) -> str:
    """Return the collection permit of a season as guides are told of it, or nothing."""
    if not season.permit_number:
        return ""
    holder = f", held by {season.permit_holder}" if season.permit_holder else ""
    until = f", good through {day_text(season.permit_until)}" if season.permit_until else ""
    return f"Collection permit {season.permit_number}{holder}{until}."


def expired_permit_in_words(season: Season) -> str:
    """Return what guides are told of the permit of a season after its last day, or nothing."""
    if not season.permit_number or not season.permit_until:
        return ""
    return (
        f"Collection permit {season.permit_number} expired {day_text(season.permit_until)}. Ask "
        "the office before you collect fish."
    )


def _permit_on(season: Season, today: date) -> str:
    is_over = season.permit_until is not None and season.permit_until < today
    return expired_permit_in_words(season) if is_over else permit_in_words(season)


def rules_before_first_trip(person: User, lakes: list[Lake], now: datetime) -> list[str]:
    """Return permit and possession limit of the seasons in which a person has no trip yet."""
    days = [(lake, local_day(now, lake.time_zone)) for lake in lakes]
    seasons = [(season_on(Season.objects.filter(lake=lake), day), day) for lake, day in days]
    begun = set(parties_logged_by(person).values_list("season", flat=True).order_by().distinct())
    new = [(one, day) for one, day in seasons if one is not None and one.pk not in begun]
    return [
        words
        for one, day in new
        for words in (_permit_on(one, day), one.possession_reminder)
        if words
    ]


def _species(species: Species) -> SpeciesOnList:
    return {
        "code": species.code,
        "name": species.name,
        "short_name": species.short_name,
        "kind": species.kind,
        "least_hundredths_mm": species.plausible_min_hundredths_mm,
        "most_hundredths_mm": species.plausible_max_hundredths_mm,
        "spines_least": species.spines_min,
        "spines_most": species.spines_max,
        "group": species.group.name if species.group else "",
        "marks": species.marks,
    }


def _group(group: SpeciesGroup) -> GroupOnList:
    return {
        "name": group.name,
        "heading": group.helper_heading,
        "words": group.helper_words,
        "caution": group.helper_caution,
    }
