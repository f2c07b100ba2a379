"""What the ramp needs to know: questions to ask, the next number, the last fish, pick lists."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol, TypeVar

from django.db.models import Prefetch

from samples.accounts.selectors import fish_logged_by, vials_given, vials_in_hand
from samples.models import (
    Arm,
    Fish,
    Lake,
    LakeGroup,
    LakeSpecies,
    Party,
    Reach,
    Season,
    Species,
    UnmeasuredCount,
    User,
    Vial,
)
from samples.ramp.entry import FishFacts
from samples.rules import plausible, vial_number
from samples.rules.lake_time import local_day

LAST_SHOWN = 3


class UsualValues(Protocol):
    """What is usual of a species, as its lake has it."""

    @property
    def name(self) -> str: ...
    @property
    def plausible_min_hundredths_mm(self) -> int: ...
    @property
    def plausible_max_hundredths_mm(self) -> int: ...
    @property
    def spines_min(self) -> int | None: ...
    @property
    def spines_max(self) -> int | None: ...


class Days(Protocol):
    """A season: its first and its last day."""

    @property
    def starts_on(self) -> date: ...
    @property
    def ends_on(self) -> date: ...


AnySeason = TypeVar("AnySeason", bound=Days)


def questions_about(facts: FishFacts, species: UsualValues) -> list[plausible.Question]:
    """Return the questions about a fish that are still open."""
    found = list(
        plausible.length_questions(
            facts.length.hundredths_mm,
            facts.length.as_measured,
            facts.length.unit,
            (species.plausible_min_hundredths_mm, species.plausible_max_hundredths_mm),
            species.name,
        )
    )
    spines = plausible.spine_question(
        facts.spines, species.spines_min, species.spines_max, species.name
    )
    if spines is not None:
        found.append(spines)
    return [question for question in found if question.code not in facts.confirmed]


def date_questions(
    lake: Lake, caught_on: date, *, now: datetime, confirmed: Iterable[str]
) -> list[plausible.Question]:
    """Return the open questions about a catch date, judged by the day it is at the lake."""
    season = season_for(lake, caught_on)
    return date_questions_about(caught_on, season, lake.time_zone, now=now, confirmed=confirmed)


def date_questions_about(
    caught_on: date, season: Days | None, time_zone: str, *, now: datetime, confirmed: Iterable[str]
) -> list[plausible.Question]:
    """Return the same for a season that is known."""
    found = plausible.date_questions(
        caught_on,
        local_day(now, time_zone),
        season.starts_on if season else None,
        season.ends_on if season else None,
    )
    return [question for question in found if question.code not in set(confirmed)]


def season_for(lake: Lake, day: date) -> Season | None:
    """Return the season of a lake that a day belongs to."""
    return season_on(Season.objects.filter(lake=lake), day)


def season_on(seasons: Iterable[AnySeason], day: date) -> AnySeason | None:
    """Return the season a day falls in, else the last that began before it, else the first."""
    in_order = sorted(seasons, key=lambda season: season.starts_on)
    within = [season for season in in_order if season.starts_on <= day <= season.ends_on]
    begun = [season for season in in_order if season.starts_on <= day]
    return next(iter([*within, *reversed(begun), *in_order]), None)


def last_fish_of(person: User, party: Party, count: int = LAST_SHOWN) -> list[Fish]:
    """Return the last fish logged in a party, newest first."""
    return list(
        fish_logged_by(person)
        .filter(party=party, withdrawn=False)
        .select_related("species", "vial")
        .order_by("-pk")[:count]
    )


def next_number_for(person: User, party: Party) -> str:
    """Return the number that the next fish most likely gets, or nothing.

    It follows the number that this person used last in this season; where that one is not
    in their hands, it is the lowest of the season that is. A vial left over from another year
    is never offered: it is typed, and asked about.
    """
    in_hand = set(vials_in_hand(person).filter(lake=party.lake).values_list("number", flat=True))
    in_party = last_fish_of(person, party, 1)
    following = _number_after(in_party[0].vial) if in_party else ""
    if following and (following in in_hand or _is_free(following, party.lake)):
        return following
    following = _number_after(_last_vial_of_season(person, party))
    year = _year_of(party)
    if following in in_hand and following.startswith(year):
        return following
    return min((number for number in in_hand if number.startswith(year)), default="")


def _year_of(party: Party) -> str:
    """Return the two digits that the numbers of a party's season begin with."""
    return f"{party.season.number_year % 100:02d}"


def _last_vial_of_season(person: User, party: Party) -> Vial | None:
    used = fish_logged_by(person).filter(season=party.season, vial__isnull=False)
    last = used.select_related("vial").order_by("-received_at", "-pk").first()
    return last.vial if last else None


def vial_questions(
    person: User, party: Party, number: str, *, own: Fish | None = None
) -> list[plausible.Question]:
    """Ask about a number that would send its fish to the office, or is of another year or hand.

    Whose hands or whose fish is not said: that is nobody else's business.
    """
    lake = party.lake
    words = vial_number.grouped(number)
    vial = Vial.objects.filter(number=number, lake=lake).first()
    if vial is None:
        sentence = f"{lake} has no vial {words}. Read the label again."
        return [plausible.Question("unknown_vial", "vial", sentence)]
    holder = Fish.objects.filter(vial=vial).select_related("species").first()
    if holder is not None and holder != own:
        sentence = (
            f"{words} already has a fish{_holder_text(person, holder)}. Read the label again."
        )
        return [plausible.Question("vial_used", "vial", sentence)]
    if _is_of_another_year(number, party):
        sentence = (
            f"{words} is a vial of 20{number[:2]}. Vials of this trip start with "
            f"{_year_of(party)}. Is that the number on the label?"
        )
        return [plausible.Question("vial_other_year", "vial", sentence)]
    if vial.state == Vial.State.ISSUED and vial.issued_to_id != person.pk:
        sentence = f"{words} was not issued to you. Is that the number on the label?"
        return [plausible.Question("vial_elsewhere", "vial", sentence)]
    return []


def _is_of_another_year(number: str, party: Party) -> bool:
    """Return whether a vial is of another year's run than the season, and than this trip's."""
    of_trip = Fish.objects.filter(party=party, withdrawn=False, vial__number__startswith=number[:2])
    return number[:2] != _year_of(party) and not of_trip.exists()


def _holder_text(person: User, fish: Fish) -> str:
    if fish.logged_by_id != person.pk:
        return ""
    length = f"{fish.length_as_measured} {fish.length_unit_as_measured}"
    return f", your {fish.species.name} of {length}"


def _number_after(vial: Vial | None) -> str:
    if vial is None:
        return ""
    try:
        return vial_number.next_number(vial.number)
    except vial_number.NoSuchNumber:
        return ""


def _is_free(number: str, lake: Lake) -> bool:
    return Vial.objects.filter(
        number=number, lake=lake, state__in=[Vial.State.PRINTED, Vial.State.ISSUED]
    ).exists()


@dataclass(frozen=True, slots=True)
class EndsSo:
    """What the last digits of a number could mean among the vials in somebody's hands."""

    numbers: tuple[str, ...]

    @property
    def only(self) -> str:
        return self.numbers[0] if len(self.numbers) == 1 else ""


def vials_ending(person: User, last_digits: str) -> EndsSo:
    """Find the vials in a person's hands whose numbers end so, check digit or not."""
    numbers = vials_in_hand(person).values_list("number", flat=True)
    return EndsSo(tuple(sorted(n for n in numbers if vial_number.ends_with(n, last_digits))))


def used_vial_ending(person: User, last_digits: str) -> str:
    """Find the one vial with a fish of this person whose number ends so, or nothing."""
    fish = fish_logged_by(person).filter(withdrawn=False, vial__isnull=False)
    numbers = fish.order_by().values_list("vial__number", flat=True)
    found = [number for number in numbers if vial_number.ends_with(number, last_digits)]
    return found[0] if len(found) == 1 else ""


def vials_left(person: User, party: Party) -> int | None:
    """Count the unused vials of the trip's year in somebody's hands; None where none was given."""
    if not vials_given(person).exists():
        return None
    return vials_in_hand(person).filter(number__startswith=_year_of(party)).count()


def vials_near(person: User, typed: str) -> list[str]:
    """Find the vials in a person's hands that one slip of a key turns into what was typed."""
    return vial_number.near(typed, vials_in_hand(person).values_list("number", flat=True))


def no_vial_ends_so(person: User, party: Party, last_digits: str) -> str:
    """Return the message that no vial in a person's hands ends so,
    with one of theirs of the trip's year as an example.
    """
    of_year = vials_in_hand(person).filter(number__startswith=_year_of(party))
    first = of_year.order_by("number").values_list("number", flat=True).first()
    return vial_number.no_vial_ends_so(last_digits, first or "")


def species_on_form(lake: Lake) -> list[Species]:
    """Return the species of a lake in the order of its form, with the lake's own values."""
    rows = LakeSpecies.objects.filter(lake=lake).select_related("species", "species__group")
    own = LakeGroup.objects.filter(lake=lake).select_related("group")
    groups = {one.group_id: one.group_here for one in own}
    species = [row.species_here for row in rows.order_by("position", "pk")]
    for one in species:
        one.group = groups.get(one.group_id or 0, one.group)
    return species


def arms_of(lake: Lake) -> list[Arm]:
    """Return the arms of a lake in the biologist's order, each with its reaches."""
    reaches = Prefetch("reaches", Reach.objects.order_by("position", "pk"))
    return list(Arm.objects.filter(lake=lake).order_by("position", "pk").prefetch_related(reaches))


def has_fish(party: Party) -> bool:
    """Return whether a party has a fish that counts."""
    return Fish.objects.filter(party=party, withdrawn=False).exists()


def fish_in_vials(party: Party) -> list[Fish]:
    """Return the fish of a party that have a vial, in the order of their numbers."""
    rows = Fish.objects.filter(party=party, vial__isnull=False, withdrawn=False)
    return list(rows.select_related("vial", "species").order_by("vial__number"))


def unmeasured_in(party: Party) -> list[UnmeasuredCount]:
    """Return what was counted and not measured in a party."""
    return list(party.unmeasured.filter(withdrawn=False).select_related("species").order_by("pk"))
