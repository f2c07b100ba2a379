"""Held entries, told beside the fish that hold their vials."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db.models import Count, QuerySet

from samples.models import Fish, HeldEntry, Sex, Species, Vial
from samples.ramp.entry.held_words import HELD_WORDS

# What was said, by the names that the trade has for it; ids and keys of donors stay out.
SAID = {
    "vial": "Vial",
    "species": "Species",
    "length": "Total length",
    "unit": "Unit",
    "sex": "Sex",
    "spines": "Spines",
    "told_by": "How the species was told",
    "weight_g": "Weight, g",
    "arm": "Arm",
    "reach": "Reach",
    "caught_on": "Date caught",
    "method": "Method",
    "how_chosen": "How the fish were chosen",
    "fish_in_box": "Fish in the box",
    "kept": "Kept",
    "count_in_hand": "Vials in hand",
    "last_number": "Last number",
    "from_vial": "From vial",
    "by": "Shifted by",
    "count": "Counted",
    "written_at": "Written on the phone",
}


@dataclass(frozen=True, slots=True)
class Told:
    """One side of a clash, in the words of the trade."""

    who: str
    said_at: datetime
    received_at: datetime
    length: str
    species: str
    sex: str
    arm: str
    caught_on: date | None


@dataclass(frozen=True, slots=True)
class Story:
    """A held entry, and the fish that holds its vial, if one does."""

    held: HeldEntry
    why: str
    number: str
    ours: Told
    first: Told | None
    first_was_read: bool
    said: list[tuple[str, str]]


def species_names() -> dict[str, str]:
    """Give the names that codes of species stand for."""
    return dict(Species.objects.values_list("code", "name"))


def numbers_of_fish(vials: QuerySet[Vial], entry_ids: Iterable[UUID]) -> dict[UUID, str]:
    """Give the number of the vial that each of these fish is in, by the fish's entry."""
    rows = vials.filter(fish__entry_id__in=entry_ids)
    return dict(rows.values_list("fish__entry_id", "number"))


def stories_of(entries: QuerySet[HeldEntry]) -> list[Story]:
    """Tell held entries, the oldest first, each beside the fish that holds its vial."""
    names = species_names()
    rows = (
        entries.select_related(
            "said_by",
            "party__arm",
            "lake",
            "settled_by",
            "vial__fish__species",
            "vial__fish__arm",
            "vial__fish__logged_by",
        )
        .annotate(readings_of_vial=Count("vial__readings"))
        .order_by("received_at", "pk")
    )
    return [_story(held, names) for held in rows]


def waiting_for_a_vial(fish: QuerySet[Fish]) -> list[Fish]:
    """Give fish that wait for a vial with what is shown of them, the oldest first."""
    rows = fish.select_related("species", "arm", "logged_by")
    return list(rows.order_by("received_at", "pk"))


def _first_in_vial(held: HeldEntry) -> Any:
    """Give the fish that held the vial: as it is now, or once settled, as it was then."""
    if held.vial is None:
        return None
    if held.state == HeldEntry.State.OPEN:
        return getattr(held.vial, "fish", None)
    then = Fish.history.filter(vial_id=held.vial_id).exclude(entry_id=held.entry_id)
    return then.order_by("history_id").last()


def _story(held: HeldEntry, species_names: dict[str, str]) -> Story:
    fish = _first_in_vial(held)
    return Story(
        held=held,
        why=HELD_WORDS.get(held.reason, "It could not be logged as it stands."),
        number=str(held.words.get("vial", "")),
        ours=_told_by_entry(held, species_names),
        first=_told_by_fish(fish) if fish else None,
        first_was_read=bool(getattr(held, "readings_of_vial", 0)),
        said=[(name, str(held.words[key])) for key, name in SAID.items() if held.words.get(key)],
    )


def _told_by_entry(held: HeldEntry, species_names: dict[str, str]) -> Told:
    said = held.words
    sex = str(said.get("sex", ""))
    species = str(said.get("species", ""))
    return Told(
        who=str(held.said_by),
        said_at=held.said_at,
        received_at=held.received_at,
        length=f"{said.get('length', '')} {said.get('unit', '')}".strip(),
        species=species_names.get(species, species),
        sex=Sex(sex).label if sex in Sex.values else "",
        arm=held.party.arm.name if held.party else "",
        caught_on=held.party.caught_on if held.party else None,
    )


def _told_by_fish(fish: Any) -> Told:
    return Told(
        who=str(fish.logged_by),
        said_at=fish.logged_at,
        received_at=fish.received_at,
        length=f"{fish.length_as_measured} {fish.length_unit_as_measured}",
        species=fish.species.name,
        sex=fish.get_sex_display(),
        arm=fish.arm.name,
        caught_on=fish.caught_on,
    )
