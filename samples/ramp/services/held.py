"""Entries that wait for the office, and how they are settled. What was said stays."""

from typing import Any

from samples.models import HeldEntry
from samples.ramp.entry import Entry
from samples.ramp.services.answers import Answer, Outcome, Refused
from samples.ramp.services.batch import Batch, number_said
from samples.ramp.services.donors import named_donor


def words_to_keep(entry: Entry, lake_id: int | None) -> dict[str, Any]:
    """Give the words of an entry as they are kept: all of them, but for a donor's name.

    The name stands in the donor's row alone, so that it can be taken out; the words say
    which row that is.
    """
    words = dict(entry.said)
    name = words.pop("donor_name", "")
    if name and lake_id is not None:
        words["donor"] = named_donor(lake_id, str(name)[:80]).pk
    return words


# What the office can answer beside the paper, the vial and the fish's length.
_HELD_IF_PASTED = {
    "needs_answer": "needs_answer",
    "no_vial": "no_vial_number",
    **dict.fromkeys(("empty", "not_digits", "too_short", "too_long"), "no_vial_number"),
}


def held_if_pasted(problem: Refused, batch: Batch) -> str | None:
    """Return why an entry is held that its phone would have been asked about.

    Nobody is there to be asked while a text is pasted in, so the office answers later. What
    else is refused stays in the text: only another person's or lake's setup can change that.
    """
    if batch.entered_by is None:
        return None
    if problem.code == "needs_answer" and "vial" in problem.errors:
        return "wrong_check_digit"
    return _HELD_IF_PASTED.get(problem.code)


def hold(entry: Entry, reason: str, batch: Batch) -> Answer:
    """Keep an entry word for word until somebody settles it; holding it twice is once."""
    party = batch.party_of(entry.party_id)
    numbers = [number_said(text) for text in entry.vial_texts()]
    vial = next((batch.vials[n] for n in numbers if n in batch.vials), None)
    # An entry of an unknown party still goes to an office: that of the sender's lake.
    lake_id = party.lake_id if party else min(batch.may_log, default=None)
    held, _ = HeldEntry.objects.get_or_create(
        entry_id=entry.entry_id,
        fingerprint=entry.fingerprint(),
        defaults={
            "kind": entry.kind,
            "said": words_to_keep(entry, lake_id),
            "reason": reason,
            "lake_id": lake_id,
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
