"""A person's own fish, and how old they were: for the page, and for the phone to keep."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypedDict

from django.db.models import Count, F, Max, QuerySet
from django.db.models.functions import Coalesce
from django.urls import reverse

from samples.accounts.permissions import Permission, lakes_with_permission
from samples.accounts.selectors import fish_logged_by
from samples.models import EntryKind, Fish, HeldEntry, Picture, Species, User, Vial
from samples.ramp.queries.compared import LakeFacts, compared, facts_of, records_of
from samples.ramp.queries.held import sex_said
from samples.rules import vial_number
from samples.rules.vial_number import read_vial
from samples.units import LengthUnit, LengthUnreadable, parse_length

# A phone keeps so many, the last first; the page shows them all.
MOST_KEPT = 1_000
# As `age_of` tells it.
_YEARS_OLD = Coalesce("age__age_years", "age_as_given__age_years")
NO_OTOLITH = (Vial.Content.NONE, Vial.Content.BROKEN, Vial.Content.WRONG, Vial.Content.MORE_FISH)

# How far a fish has come, in the words of whoever gave it.
STANDINGS = {
    "aged": "",
    "one_reader": "Read once so far.",
    "at_office": "The office has the vial. Not aged yet.",
    "no_age": "The otolith can't be read.",
    "with_you": "The vial is not at the office yet.",
    "measured": "Measured, without a vial.",
    "held": "The office is checking this fish.",
}
ORDERS = {"newest": "Newest first", "longest": "Longest first", "oldest": "Oldest first"}


class OwnFish(TypedDict):
    """One fish of a person's own. ``caught_on`` is empty where no date is known.

    ``compared`` and what follows came later than the rest: how it stands beside the lake's others,
    in sentences, and where its otolith's picture and its certificate are, if they are to be had.
    """

    vial: str
    species: str
    length: str
    hundredths_mm: int
    sex: str
    arm: str
    caught_on: str
    age: int | None
    year_class: int | None
    standing: str
    compared: list[str]
    picture: str
    certificate: str


class OwnFishList(TypedDict):
    """Own fish as a phone keeps them: ``as_of`` is when they were so."""

    as_of: str
    fish: list[OwnFish]


@dataclass(frozen=True, slots=True)
class OwnFishFound:
    """Own fish in an order, of which a page reads only those that it shows.

    Held ones are few, and are no rows of fish: they are put in their places beside them.
    """

    rows: QuerySet[Fish]
    held: list[OwnFish]
    order: str = ""

    def count(self) -> int:
        return len(self.held) + self.rows.count()

    def __getitem__(self, places: slice) -> list[OwnFish]:
        """Return those from one place to another.

        In all of them a row stands as many places later as held ones come before it, so what is
        shown lies among the held ones and the rows from so many places earlier.
        """
        first = max(0, places.start - len(self.held))
        rows = _in_order(self.rows, self.order)[first : places.stop]
        together = in_order([*self.held, *_own_fish_of(rows)], self.order)
        return together[places.start - first : places.stop - first]

    @property
    def species(self) -> list[str]:
        names = self.rows.order_by().values_list("species__name", flat=True).distinct()
        return sorted({*names, *(one["species"] for one in self.held)})

    @property
    def years(self) -> list[str]:
        """Return the years in which some were caught, the last first."""
        dated = self.rows.filter(caught_on__isnull=False).order_by()
        years = dated.values_list("caught_on__year", flat=True).distinct()
        held = {one["caught_on"][:4] for one in self.held if one["caught_on"]}
        return sorted({*map(str, years), *held}, reverse=True)

    def chosen(self, *, species: str, year: str, order: str) -> "OwnFishFound":
        """Return those of a species and a year, where one was chosen, in another order."""
        rows = self.rows.filter(species__name=species) if species else self.rows
        held = [
            one
            for one in self.held
            if species in ("", one["species"]) and year in ("", one["caught_on"][:4])
        ]
        return OwnFishFound(rows.filter(caught_on__year=year) if year else rows, held, order)


def own_fish(person: User) -> OwnFishFound:
    """Return a person's own fish that stand, and those that the office is checking."""
    rows = fish_logged_by(person).filter(withdrawn=False)
    held = HeldEntry.objects.filter(
        said_by=person,
        kind=EntryKind.FISH,
        state=HeldEntry.State.OPEN,
        lake__in=lakes_with_permission(person, Permission.LOG_FISH),
    ).select_related("party__arm")
    waiting = list(held.order_by("-pk"))
    # Sent a second time with other facts, a fish is on record already.
    sent_again = [one.entry_id for one in waiting]
    on_record = set(rows.filter(entry_id__in=sent_again).values_list("entry_id", flat=True))
    waiting = [one for one in waiting if one.entry_id not in on_record]
    return OwnFishFound(rows.annotate(years_old=_YEARS_OLD), _held_fish(waiting) if waiting else [])


def _in_order(rows: QuerySet[Fish], order: str) -> QuerySet[Fish]:
    """Sort rows as `in_order` does, with what a line says of them."""
    first = {
        "longest": [F("length_hundredths_mm").desc()],
        "oldest": [F("years_old").desc(nulls_last=True)],
    }
    joined = rows.select_related(
        *("species", "vial", "arm", "lake", "season", "donor", "age", "age_as_given")
    )
    return joined.order_by(*first.get(order, []), F("caught_on").desc(nulls_last=True), "-pk")


def my_fish_for_phone(person: User, *, now: datetime) -> OwnFishList:
    """Return own fish for a phone to keep, held ones too, the last caught first."""
    found = own_fish(person)
    kept = _own_fish_of(_in_order(found.rows, "")[:MOST_KEPT])
    return {"as_of": now.isoformat(), "fish": [*found.held, *kept]}


def _own_fish_of(rows: Iterable[Fish]) -> list[OwnFish]:
    found = list(rows)
    facts = facts_of({fish.lake_id: fish.lake for fish in found}.values())
    pictured = _pictured(found)
    own = [_own_fish(fish, facts[fish.lake_id]) for fish in found]
    for fish, one in zip(found, own, strict=True):
        if fish.vial_id in pictured:
            one["picture"] = reverse("donors:own_picture", args=[fish.pk])
    return own


def _pictured(fish: Iterable[Fish]) -> set[int | None]:
    """Return the vials of these fish with an otolith picture that their lake shares."""
    vials = [one.vial_id for one in fish if one.vial_id and one.lake.shares_pictures]
    if not vials:
        return set()
    kind = Picture.Kind.OTOLITH
    return set(Picture.objects.filter(vial__in=vials, kind=kind).values_list("vial", flat=True))


def _own_fish(fish: Fish, facts: LakeFacts) -> OwnFish:
    age, year_class, standing = age_of(fish)
    is_donor = fish.donor is not None and fish.donor.person_id == fish.logged_by_id
    of_note = is_donor and bool(records_of(fish, age, facts))
    return {
        "vial": vial_number.grouped(fish.vial.number) if fish.vial else "",
        "species": fish.species.name,
        "length": f"{fish.length_as_measured} {fish.length_unit_as_measured}",
        "hundredths_mm": fish.length_hundredths_mm,
        "sex": fish.sex_in_words,
        "arm": fish.arm.name,
        "caught_on": fish.caught_on.isoformat() if fish.caught_on else "",
        "age": age,
        "year_class": year_class,
        "standing": standing,
        "compared": compared(fish, age, facts),
        "picture": "",
        "certificate": reverse("donors:own_certificate", args=[fish.pk]) if of_note else "",
    }


def age_of(fish: Fish) -> tuple[int | None, int | None, str]:
    """Return a fish's age, the year it hatched, and how far it has come."""
    age = getattr(fish, "age", None)
    if age is not None and age.age_years is not None:
        standing = "one_reader" if age.standing == age.Standing.ONE_READER else "aged"
        return age.age_years, age.year_class, standing
    given = getattr(fish, "age_as_given", None)
    if given is not None:
        return given.age_years, None, "aged"
    return None, None, _standing_of(fish.vial)


def _standing_of(vial: Vial | None) -> str:
    if vial is None:
        return "measured"
    if vial.received_at is None:
        return "with_you"
    return "no_age" if vial.content in NO_OTOLITH else "at_office"


def _held_fish(held: Iterable[HeldEntry]) -> list[OwnFish]:
    names = dict(Species.objects.values_list("code", "name"))
    return [_as_held(one, one.said, names) for one in held]


def _as_held(held: HeldEntry, said: dict[str, Any], names: dict[str, str]) -> OwnFish:
    party = held.party
    caught_on: date | None = party.caught_on if party else None
    unit, sex = str(said.get("unit", "")), sex_said(said)
    return {
        "vial": read_vial(str(said.get("vial", ""))).as_printed,
        "species": names.get(str(said.get("species", "")), "Fish"),
        "length": f"{said.get('length', '')} {unit}".strip(),
        "hundredths_mm": _hundredths(str(said.get("length", "")), unit),
        "sex": sex.in_words if sex else "",
        "arm": party.arm.name if party else "",
        "caught_on": caught_on.isoformat() if caught_on else "",
        "age": None,
        "year_class": None,
        "standing": "held",
        "compared": [],
        "picture": "",
        "certificate": "",
    }


def _hundredths(text: str, unit: str) -> int:
    try:
        return parse_length(
            text, LengthUnit.MILLIMETRE if unit == "mm" else LengthUnit.INCH
        ).hundredths_mm
    except LengthUnreadable:
        return 0


def in_order(fish: list[OwnFish], order: str) -> list[OwnFish]:
    """Return fish in an order that was chosen; those of one length or age the last caught first."""
    if order == "longest":
        return sorted(fish, key=lambda one: -one["hundredths_mm"])
    if order == "oldest":
        return sorted(fish, key=lambda one: -1 if one["age"] is None else one["age"], reverse=True)
    return fish


def counts_in_short(fish: OwnFishFound, *, count: int) -> str:
    """Return how many are aged and how old the oldest is, for example "31 aged, oldest 9 years".

    ``count`` is how many there are: whoever shows them knows.
    """
    counted = fish.rows.aggregate(aged=Count("years_old"), oldest=Max("years_old"))
    if not counted["aged"]:
        return f"{count} fish, none aged yet"
    years = "1 year" if counted["oldest"] == 1 else f"{counted['oldest']} years"
    return f"{counted['aged']} aged, oldest {years}"
