"""Takes in what came as text, each entry as of the person who wrote it."""

import logging
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby

from django.db.models import QuerySet

from samples.accounts.roles import May, may
from samples.accounts.scope import held_entries_at, people_writing_at
from samples.models import HeldEntry, Lake, Party, User
from samples.ramp.entry import MOST_IN_A_BATCH, Entry, Found, PartyOpened
from samples.ramp.services.answers import Answer, Outcome
from samples.ramp.services.intake import take
from samples.ramp.services.passing import TryLater

log = logging.getLogger(__name__)

ELSEWHERE = "It is of another lake. Its own office pastes it in."
NOT_SET_UP = "Whoever wrote it is not set up to log fish here. Set the person up, then paste again."


@dataclass(frozen=True, slots=True)
class Pasted:
    """What became of one entry of the text: an answer, or why it was not taken."""

    found: Found
    person: User | None
    answer: Answer | None = None
    problem: str = ""
    held: HeldEntry | None = None

    @property
    def taken(self) -> bool:
        return self.answer is not None and self.answer.outcome != Outcome.REFUSED

    @property
    def became(self) -> str:
        """Give its outcome; what was not even tried counts as refused."""
        return self.answer.outcome if self.answer else Outcome.REFUSED


def take_pasted(found: Sequence[Found], *, lake: Lake, by: User, now: datetime) -> list[Pasted]:
    """Take in the entries of one lake, in the order in which they were written.

    Pasting the same text again changes nothing. Who pasted it stands in the history.
    """
    people = _people([one.by for one in found], people_writing_at(by, lake))
    judged = [_judged(one, people.get(one.by), lake) for one in found]
    judged = _without_other_lakes(judged, lake)
    answered: list[Pasted] = []
    try:
        for _, run in groupby(judged, key=lambda one: (one.person, bool(one.problem))):
            answered.extend(_take_run(list(run), lake, by, now))
    except TryLater as problem:
        log.exception("A pasted text could not be taken whole")
        answered += _left_for_later(judged[len(answered) :], str(problem))
    return _with_held(answered, lake, by)


def _people(keys: list[str], known: QuerySet[User]) -> dict[str, User]:
    """Find the writers among those known at the lake: of others not even the name is told."""
    numbers = {int(key) for key in keys if key.isascii() and key.isdigit() and len(key) < 10}
    return {str(person.pk): person for person in known.filter(pk__in=numbers)}


def _judged(found: Found, person: User | None, lake: Lake) -> Pasted:
    if found.problem:
        return Pasted(found, person, problem=found.problem)
    if person is None or not may(person, May.LOG_FISH, lake):
        return Pasted(found, person, problem=NOT_SET_UP)
    return Pasted(found, person)


def _without_other_lakes(judged: list[Pasted], lake: Lake) -> list[Pasted]:
    entries = [one.found.entry for one in judged if one.found.entry is not None]
    opened = {e.party_id: e.lake for e in entries if isinstance(e, PartyOpened)}
    known = Party.objects.filter(party_id__in={entry.party_id for entry in entries})
    at = opened | dict(known.values_list("party_id", "lake__slug"))

    def elsewhere(entry: Entry | None) -> bool:
        if isinstance(entry, PartyOpened) and entry.lake != lake.slug:
            return True
        return entry is not None and at.get(entry.party_id, lake.slug) != lake.slug

    return [
        Pasted(one.found, one.person, problem=ELSEWHERE)
        if not one.problem and elsewhere(one.found.entry)
        else one
        for one in judged
    ]


def _take_run(run: list[Pasted], lake: Lake, by: User, now: datetime) -> Iterator[Pasted]:
    person = run[0].person
    if run[0].problem or person is None:
        yield from run
        return
    for start in range(0, len(run), MOST_IN_A_BATCH):
        part = run[start : start + MOST_IN_A_BATCH]
        entries = [one.found.entry for one in part if one.found.entry is not None]
        answers = take(entries, by=person, entered_by=by, entered_at=lake, now=now)
        yield from (
            Pasted(one.found, person, answer) for one, answer in zip(part, answers, strict=True)
        )


def _left_for_later(rest: list[Pasted], why: str) -> list[Pasted]:
    """Leave the rest in the box: fish taken without the party before them would be held."""
    return [one if one.problem else replace(one, problem=why) for one in rest]


def _with_held(answered: list[Pasted], lake: Lake, by: User) -> list[Pasted]:
    """Find the rows of those that are held at this lake, to lead to them."""
    ids = [one.answer.entry_id for one in answered if one.answer and one.became == Outcome.HELD]
    rows = {
        (row.entry_id, row.fingerprint): row
        for row in held_entries_at(by, lake).filter(entry_id__in=ids)
    }
    return [
        replace(one, held=rows.get((one.found.entry.entry_id, one.found.entry.fingerprint())))
        if one.found.entry and one.became == Outcome.HELD
        else one
        for one in answered
    ]
