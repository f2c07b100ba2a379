"""Held entries, told beside the fish that hold their vials."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db.models import Count, QuerySet

from samples.models import EntryKind, Fish, HeldEntry, Sex, Species, Vial
from samples.ramp.entry import KINDS, all_specs_of
from samples.ramp.entry.held_words import HELD_WORDS

# The labels of what a payload says, in its order; ids and answers stay out, and so do donors.
NOT_SHOWN = {"entry_id", "party_id", "about_entry_id", "confirmed", "lake"}
NOT_SHOWN |= {"donor_name", "interview_key", "arm_change", "reopen", "written_at"}
LABELS = {
    word: spec.label
    for kind in KINDS.values()
    for one in all_specs_of(kind)
    for word, spec in {one.word: one.spec, **one.spec.beside}.items()
    if word not in NOT_SHOWN
} | {"written_at": "Written on the phone"}


@dataclass(frozen=True, slots=True)
class ClashSide:
    """One side of a clash, in the words of the trade."""

    who: str
    written_at: datetime
    received_at: datetime
    length: str
    species: str
    sex: Sex | None
    arm: str
    caught_on: date | None

    @property
    def sex_in_words(self) -> str:
        """Return the sex within a line."""
        return self.sex.in_words if self.sex else ""


@dataclass(frozen=True, slots=True)
class HeldCase:
    """A held entry, and the fish that holds its vial, if one does."""

    held: HeldEntry
    why: str
    number: str
    ours: ClashSide
    first: ClashSide | None
    first_was_read: bool
    payload_rows: list[tuple[str, str]]
    resolutions: set[str]


# What came a second time with other words can be written over these. A move or a shift would be
# made twice, and a count has been counted: of them, only the first words stand.
WRITTEN_OVER = {
    EntryKind.FISH,
    EntryKind.CORRECTION,
    EntryKind.PARTY_OPENED,
    EntryKind.PARTY_CLOSED,
}
WRITTEN_IF_RIGHT = {"needs_answer", "no_otolith", "not_foreseen", "unknown_party", "unknown_fish"}
WRONG_NUMBER = {"unknown_vial", "wrong_check_digit", "no_vial_number", "other_lake"}


def resolutions_of(held: HeldEntry, first: object | None, *, first_was_read: bool) -> set[str]:
    """List the ways in which an open entry can be resolved; it can always be voided.

    Every reason has another way here that the office can take alone, but where nothing is left
    to change: a deleted fish, or a change that was made already.
    """
    if held.reason == "withdrawn":
        return {"aside"}
    if held.reason == "entry_changed":
        return {"new", "aside"} if held.kind in WRITTEN_OVER else {"aside"}
    if held.kind == EntryKind.FISH or (
        held.kind == EntryKind.CORRECTION and held.reason == "unknown_fish"
    ):
        return _resolutions_of_fish(held, first, first_was_read=first_was_read)
    if held.kind == EntryKind.CORRECTION:
        return _resolutions_of_correction(held, first, first_was_read=first_was_read)
    return {"in", "aside"}


def _resolutions_of_correction(
    held: HeldEntry, first: object | None, *, first_was_read: bool
) -> set[str]:
    resolutions = {"number", "aside"}
    if held.reason == "vial_taken" and first is not None:
        return resolutions if first_was_read else resolutions | {"keep"}
    if held.reason == "void_vial":
        return resolutions | {"back"}
    return resolutions if held.reason in WRONG_NUMBER else resolutions | {"in"}


def _resolutions_of_fish(
    held: HeldEntry, first: object | None, *, first_was_read: bool
) -> set[str]:
    if held.party_id is None:
        return {"trip", "aside"}
    resolutions = {"number", "aside"}
    if held.reason == "vial_taken":
        if first is None:
            return resolutions | {"written"}
        return resolutions if first_was_read else resolutions | {"keep", "wait"}
    if held.reason == "void_vial":
        return resolutions | {"back"}
    if held.reason in WRITTEN_IF_RIGHT:
        return resolutions | {"written"}
    return resolutions


def species_names() -> dict[str, str]:
    """Return the names that codes of species stand for."""
    return dict(Species.objects.values_list("code", "name"))


def numbers_of_fish(vials: QuerySet[Vial], entry_ids: Iterable[UUID]) -> dict[UUID, str]:
    """Return the number of the vial that each of these fish is in, by the fish's entry."""
    rows = vials.filter(fish__entry_id__in=entry_ids)
    return dict(rows.values_list("fish__entry_id", "number"))


def held_cases(entries: QuerySet[HeldEntry]) -> list[HeldCase]:
    """Return held entries, the oldest first, each beside the fish that holds its vial."""
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
    found = list(rows)
    about = {held.pk: _fish_about(held) for held in found if held.reason == "entry_changed"}
    there = Fish.objects.filter(entry_id__in=about.values())
    fish = {one.entry_id: one for one in there.select_related("species", "arm", "logged_by")}
    return [_held_case(held, names, fish.get(about.get(held.pk, held.entry_id))) for held in found]


def _fish_about(held: HeldEntry) -> UUID:
    """Return the entry of the fish that an entry speaks of which came twice."""
    try:
        return UUID(str(held.payload.get("about_entry_id", held.entry_id)))
    except ValueError:
        return held.entry_id


def waiting_for_a_vial(fish: QuerySet[Fish]) -> list[Fish]:
    """Return fish that wait for a vial with what is shown of them, the oldest first."""
    rows = fish.select_related("species", "arm", "logged_by")
    return list(rows.order_by("received_at", "pk"))


def _on_record(held: HeldEntry, about: Fish | None) -> Any:
    """Return the fish that held the vial: as it is now, or once settled, as it was then."""
    if held.reason == "entry_changed":
        return about if about and about.lake_id == held.lake_id else None
    if held.vial is None:
        return None
    if held.state == HeldEntry.State.OPEN:
        return getattr(held.vial, "fish", None)
    then = Fish.history.filter(vial_id=held.vial_id).exclude(entry_id=held.entry_id)
    return then.order_by("history_id").last()


def _held_case(held: HeldEntry, species_names: dict[str, str], about: Fish | None) -> HeldCase:
    fish = _on_record(held, about)
    was_read = bool(getattr(held, "readings_of_vial", 0))
    return HeldCase(
        held=held,
        why=HELD_WORDS.get(held.reason, "It could not be saved as written."),
        number=str(held.payload.get("vial", "")),
        ours=_side_of_entry(held, species_names),
        first=_side_of_fish(fish) if fish else None,
        first_was_read=was_read,
        payload_rows=[
            (name, str(held.payload[key])) for key, name in LABELS.items() if held.payload.get(key)
        ],
        resolutions=resolutions_of(held, fish, first_was_read=was_read),
    )


def _side_of_entry(held: HeldEntry, species_names: dict[str, str]) -> ClashSide:
    payload = held.payload
    species = str(payload.get("species", ""))
    return ClashSide(
        who=str(held.said_by),
        written_at=held.said_at,
        received_at=held.received_at,
        length=f"{payload.get('length', '')} {payload.get('unit', '')}".strip(),
        species=species_names.get(species, species),
        sex=sex_said(payload),
        arm=str(payload.get("arm") or (held.party.arm.name if held.party else "")),
        caught_on=_date_in_payload(held) or (held.party.caught_on if held.party else None),
    )


def sex_said(payload: dict[str, Any]) -> Sex | None:
    """Return the sex that an entry says, if it is one."""
    said = str(payload.get("sex", ""))
    return Sex(said) if said in Sex.values else None


def _date_in_payload(held: HeldEntry) -> date | None:
    """Return the date that an entry about a trip says itself, if it can be read."""
    try:
        return date.fromisoformat(str(held.payload.get("caught_on", "")))
    except ValueError:
        return None


def _side_of_fish(fish: Any) -> ClashSide:
    return ClashSide(
        who=str(fish.logged_by),
        written_at=fish.logged_at,
        received_at=fish.received_at,
        length=f"{fish.length_as_measured} {fish.length_unit_as_measured}",
        species=fish.species.name,
        sex=Sex(fish.sex),
        arm=fish.arm.name,
        caught_on=fish.caught_on,
    )
