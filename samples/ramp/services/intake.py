"""Taking entries in: one transaction a batch, an answer for every entry."""

import logging
from collections.abc import Callable, Sequence
from datetime import datetime
from itertools import groupby
from typing import Any

from django.db import DataError, transaction

from samples.models import Entry as EntryRow
from samples.models import Fish, Lake, Party, Phone, User
from samples.ramp.entry import (
    Correction,
    Entry,
    FishLogged,
    PartyChanged,
    PartyClosed,
    PartyOpened,
    Shift,
    UnmeasuredCounted,
    Withdrawal,
)
from samples.ramp.services import corrections, parties
from samples.ramp.services.answers import Answer, Held, Outcome, Refused
from samples.ramp.services.batch import Batch, gather, lock_sender, lock_vials
from samples.ramp.services.fish import take_fish
from samples.ramp.services.held import held_if_pasted, hold, words_to_keep
from samples.ramp.services.passing import is_passing, passing_means_try_later

log = logging.getLogger(__name__)

HANDLERS: dict[type[Entry], Callable[[Any, Batch], Any]] = {
    PartyOpened: parties.open_party,
    PartyChanged: parties.change_party,
    PartyClosed: parties.close_party,
    UnmeasuredCounted: parties.count_unmeasured,
    Correction: corrections.correct_fish,
    Withdrawal: corrections.withdraw,
    Shift: corrections.shift_vials,
}


@passing_means_try_later()
@transaction.atomic
def take(
    entries: Sequence[Entry],
    *,
    by: User,
    now: datetime,
    phone: Phone | None = None,
    entered_by: User | None = None,
    entered_at: Lake | None = None,
) -> list[Answer]:
    """Take entries in, in their order, and answer each for itself.

    Sending any of them again changes nothing. Fish that follow one another are written
    together; everything else has a savepoint of its own. ``entered_by`` is who typed or pasted
    them in for ``by``, and stands in the history; ``entered_at`` the one lake where that counts.

    :raises TryLater: if the database is away, or its tables are of another release; nothing of
        the batch is kept then, and none of it is held
    """
    lock_sender(by)
    batch = gather(
        entries,
        by=by,
        phone=phone,
        now=now,
        entered_by=entered_by,
        entered_at=entered_at.pk if entered_at else None,
    )
    answers: list[Answer] = []
    for is_fish, run in groupby(entries, key=lambda entry: isinstance(entry, FishLogged)):
        if is_fish:
            answers += _take_fish_safely([e for e in run if isinstance(e, FishLogged)], batch)
        else:
            answers += [_take_one(entry, batch) for entry in run]
    return answers


def _take_fish_safely(entries: list[FishLogged], batch: Batch) -> list[Answer]:
    """Where a whole run stumbles, take its fish one by one and hold the one that did it."""
    taken = dict(batch.taken)
    try:
        with transaction.atomic():
            return take_fish(entries, batch)
    except Exception as problem:
        if is_passing(problem):
            raise
        log.exception("A run of %d fish could not be taken together", len(entries))
    # What was undone in the database is forgotten here too.
    batch.taken = taken
    batch.vials = lock_vials(batch.vials)
    for entry in entries:
        if batch.fish.get(entry.entry_id, Fish()).received_at == batch.now:
            del batch.fish[entry.entry_id]
    return [_guarded(entry, batch, lambda one: take_fish([one], batch)[0]) for entry in entries]


def _guarded(entry: Any, batch: Batch, handler: Callable[[Any], Answer]) -> Answer:
    """Hold, word for word, an entry over which the program stumbles; let the others through."""
    try:
        with transaction.atomic():
            return handler(entry)
    except Exception as problem:
        if is_passing(problem):
            raise
        log.exception("Entry %s could not be taken", entry.entry_id)
    batch.parties.pop(entry.party_id, None)
    try:
        with transaction.atomic():
            return hold(entry, "not_foreseen", batch)
    except (DataError, ValueError, OverflowError):
        # A null character, or half of one: the database can keep it neither here nor there.
        sentence = "A character in this entry cannot be kept. Write it again without."
        return Answer(entry.entry_id, Outcome.REFUSED, "unreadable", {"kind": [sentence]})


def _take_one(entry: Entry, batch: Batch) -> Answer:
    return _guarded(entry, batch, lambda one: _answer(one, batch))


def _answer(entry: Entry, batch: Batch) -> Answer:
    known = EntryRow.objects.filter(entry_id=entry.entry_id).first()
    if known is not None:
        if known.fingerprint == entry.fingerprint():
            return Answer(entry.entry_id, Outcome.ALREADY_LOGGED)
        return hold(entry, "entry_changed", batch)
    if entry.entry_id in batch.fish:
        return hold(entry, "entry_changed", batch)
    waiting = batch.held.get((entry.entry_id, entry.fingerprint()))
    if waiting is not None:
        return Answer(entry.entry_id, Outcome.HELD, waiting.reason)
    try:
        with transaction.atomic():
            changed = HANDLERS[type(entry)](entry, batch)
            _keep(entry, changed, batch)
    except Refused as problem:
        batch.parties.pop(entry.party_id, None)  # it may be half changed; read it again
        if (reason := held_if_pasted(problem, batch)) is not None:
            return hold(entry, reason, batch)
        return Answer(entry.entry_id, Outcome.REFUSED, problem.code, errors=problem.errors)
    except Held as problem:
        batch.parties.pop(entry.party_id, None)
        return hold(entry, problem.code, batch)
    return Answer(
        entry.entry_id,
        Outcome.LOGGED,
        fish=changed if isinstance(changed, Fish) else None,
    )


def _keep(entry: Entry, changed: Any, batch: Batch) -> None:
    """Keep the entry itself, word for word: it is how a second sending is recognised."""
    party = changed if isinstance(changed, Party) else batch.party_of(entry.party_id)
    EntryRow.objects.create(
        entry_id=entry.entry_id,
        kind=entry.kind,
        fingerprint=entry.fingerprint(),
        said=words_to_keep(entry, party.lake_id if party else None),
        party=party,
        fish=changed if isinstance(changed, Fish) else None,
        said_by=batch.by,
        phone=batch.phone,
        said_at=entry.said_at,
        received_at=batch.now,
    )
