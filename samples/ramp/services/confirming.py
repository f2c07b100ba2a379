"""The office's word for what looked unlikely: somebody checked it, and it is right."""

from dataclasses import replace
from typing import TypeVar

from samples.models import Party
from samples.ramp import queries
from samples.ramp.entry import Correction, FishLogged
from samples.ramp.services.batch import Batch

AnyFish = TypeVar("AnyFish", FishLogged, Correction)


def confirm_fish(entry: AnyFish, party: Party | None, batch: Batch) -> AnyFish:
    """Return the entry with every question confirmed that the lake of its trip asks about it."""
    kind = batch.species.get((party.lake_id, entry.fish.species)) if party else None
    if kind is None:
        return entry
    asked = queries.questions_about(entry.fish, kind.species_here)
    codes = {*entry.fish.confirmed, *(question.code for question in asked)}
    return replace(entry, fish=replace(entry.fish, confirmed=tuple(sorted(codes))))
