"""The office confirms what looked unlikely: somebody checked it, and it is right."""

from dataclasses import replace
from datetime import datetime
from typing import TypeVar
from uuid import UUID

from samples.models import Lake
from samples.ramp import queries
from samples.ramp.entry import Correction, FishLogged, PartyChanged, PartyOpened
from samples.ramp.services.decide_fish import NO_OTOLITH
from samples.ramp.services.decide_trip import OUT_OF_SEASON
from samples.ramp.services.known import Known

AnyFish = TypeVar("AnyFish", bound=FishLogged | Correction)
AnyTrip = TypeVar("AnyTrip", bound=PartyOpened | PartyChanged)


def confirm_fish(entry: AnyFish, party_id: UUID, known: Known) -> AnyFish:
    """Return the entry with every question confirmed that the lake of its trip asks about it."""
    trip = known.trips.get(party_id)
    lake = known.lakes.get(trip.lake) if trip is not None else None
    species = lake.species.get(entry.fish.species) if lake is not None else None
    if species is None:
        return entry
    questions = queries.questions_about(entry.fish, species)
    codes = {*entry.fish.confirmed, *(question.code for question in questions)}
    vial = known.vials.get(entry.fish.vial.number or "")
    if vial is not None and vial.is_without_otolith:
        codes.add(NO_OTOLITH)
    return replace(entry, fish=replace(entry.fish, confirmed=tuple(sorted(codes))))


def confirm_date(entry: AnyTrip, lake: Lake | None, *, now: datetime) -> AnyTrip:
    """Return the entry of a trip with its date confirmed, if it is outside every season."""
    if lake is None or entry.party.caught_on is None:
        return entry
    questions = queries.date_questions(
        lake, entry.party.caught_on, now=now, confirmed=entry.confirmed
    )
    if OUT_OF_SEASON not in {question.code for question in questions}:
        return entry
    return replace(entry, confirmed=(*entry.confirmed, OUT_OF_SEASON))
