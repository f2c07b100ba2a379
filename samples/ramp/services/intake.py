"""Ingest: one transaction a batch, an answer for every entry.

Three moves: load what the entries speak of, under the lock; decide, on plain values; write what
was decided, set by set. What is known is passed on from entry to entry and never changed, so
there is nothing to roll back by hand when a write stumbles.
"""

import logging
from collections.abc import Sequence
from datetime import datetime

from django.db import DataError, transaction

from samples.models import Lake, Phone, User, atomic_with_revision
from samples.ramp.entry import Entry
from samples.ramp.services.answers import Answer, Outcome
from samples.ramp.services.decide import decide, decide_all, hold
from samples.ramp.services.load import load, lock_author
from samples.ramp.services.passing import is_passing, passing_means_try_later
from samples.ramp.services.write import Sender, write

log = logging.getLogger(__name__)


@passing_means_try_later()
@atomic_with_revision()
def ingest(
    entries: Sequence[Entry],
    *,
    author: User,
    now: datetime,
    phone: Phone | None = None,
    typed_by: User | None = None,
    lake: Lake | None = None,
) -> list[Answer]:
    """Store a batch of entries, in their order; answer each for itself. Safe to repeat.

    ``typed_by`` is who typed or pasted them in for the author, and stands in the history;
    ``lake`` is the one lake where that counts.

    :raises TryLater: if the database is away, or its tables are of another release; nothing of
        the batch is kept then, and none of it is held
    """
    sender = Sender(author, now, phone, typed_by)
    lock_author(author)
    known, rows = load(entries, author=author, now=now, pasted_at=lake)
    try:
        with transaction.atomic():
            decisions = decide_all(entries, known)
            write(decisions, rows, sender)
    except Exception as problem:
        if is_passing(problem):
            raise
        log.exception("A batch of %d entries could not be ingested together", len(entries))
        return [_ingest_alone(entry, sender, lake) for entry in entries]
    return [decision.answer for decision in decisions]


def _ingest_alone(entry: Entry, sender: Sender, lake: Lake | None) -> Answer:
    """Ingest one entry; hold it, word for word, if it is the one over which the program stumbles.

    All is read again: of a batch that stumbled nothing was written.
    """
    known, rows = load([entry], author=sender.author, now=sender.now, pasted_at=lake)
    try:
        with transaction.atomic():
            decision, _ = decide(entry, known)
            write([decision], rows, sender)
            return decision.answer
    except Exception as problem:
        if is_passing(problem):
            raise
        log.exception("Entry %s could not be ingested", entry.entry_id)
    decision, _ = hold(entry, "not_foreseen", known)
    try:
        with transaction.atomic():
            write([decision], rows, sender)
    except (DataError, ValueError, OverflowError):
        # A null character, or half of one: the database can keep it neither here nor there.
        sentence = "This entry has a character that can't be saved. Delete that character."
        return Answer(entry.entry_id, Outcome.REFUSED, "unreadable", {"kind": [sentence]})
    return decision.answer
