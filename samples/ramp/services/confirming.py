"""The office's word for what looked unlikely: somebody checked it, and it is right."""

from dataclasses import replace
from datetime import datetime
from typing import TypeVar

from samples.models import WITHOUT_AN_OTOLITH, Lake, Party
from samples.ramp import queries
from samples.ramp.entry import Correction, FishLogged, PartyChanged, PartyOpened
from samples.ramp.services.batch import Batch, number_said
from samples.ramp.services.fish import NO_OTOLITH
from samples.ramp.services.parties import OUT_OF_SEASON

AnyFish = TypeVar("AnyFish", bound=FishLogged | Correction)
AnyTrip = TypeVar("AnyTrip", bound=PartyOpened | PartyChanged)


def confirm_fish(entry: AnyFish, party: Party | None, batch: Batch) -> AnyFish:
    """Return the entry with every question confirmed that the lake of its trip asks about it."""
    kind = batch.species.get((party.lake_id, entry.fish.species)) if party else None
    if kind is None:
        return entry
    asked = queries.questions_about(entry.fish, kind.species_here)
    codes = {*entry.fish.confirmed, *(question.code for question in asked)}
    vial = batch.vials.get(number_said(entry.fish.vial) or "")
    if vial is not None and vial.content in WITHOUT_AN_OTOLITH:
        codes.add(NO_OTOLITH)
    return replace(entry, fish=replace(entry.fish, confirmed=tuple(sorted(codes))))


def confirm_date(entry: AnyTrip, lake: Lake | None, *, now: datetime) -> AnyTrip:
    """Return the entry of a trip with its date confirmed, if it is outside every season."""
    if lake is None or entry.party.caught_on is None:
        return entry
    asked = queries.date_questions(lake, entry.party.caught_on, now=now, confirmed=entry.confirmed)
    if OUT_OF_SEASON not in {question.code for question in asked}:
        return entry
    return replace(entry, confirmed=(*entry.confirmed, OUT_OF_SEASON))
