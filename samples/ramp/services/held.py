"""Entries that wait for the office, and how they are settled. What was said stays."""

from samples.models import HeldEntry
from samples.ramp.entry import Entry
from samples.ramp.services.answers import Answer, Outcome
from samples.ramp.services.batch import Batch, number_said


def hold(entry: Entry, reason: str, batch: Batch) -> Answer:
    """Keep an entry word for word until somebody settles it; holding it twice is once."""
    party = batch.party_of(entry.party_id)
    numbers = [number_said(text) for text in entry.vial_texts()]
    vial = next((batch.vials[n] for n in numbers if n in batch.vials), None)
    held, _ = HeldEntry.objects.get_or_create(
        entry_id=entry.entry_id,
        fingerprint=entry.fingerprint(),
        defaults={
            "kind": entry.kind,
            "said": dict(entry.said),
            "reason": reason,
            # An entry of an unknown party still goes to an office: that of the sender's lake.
            "lake_id": party.lake_id if party else min(batch.may_log, default=None),
            "party": party,
            # Another lake's vial is not this office's to see.
            "vial": vial if vial and party and vial.lake_id == party.lake_id else None,
            "said_by": batch.by,
            "phone": batch.phone,
            "said_at": entry.said_at,
            "received_at": batch.now,
        },
    )
    batch.held[entry.entry_id, held.fingerprint] = held
    return Answer(entry.entry_id, Outcome.HELD, held.reason)
