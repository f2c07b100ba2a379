"""Ingest of what came as text, each entry as of the person who wrote it."""

import logging
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby

from django.db.models import QuerySet

from samples.accounts.permissions import Permission, has_permission
from samples.accounts.selectors import held_entries_at, people_writing_at
from samples.models import HeldEntry, Lake, Party, User
from samples.ramp.entry import MOST_IN_A_BATCH, Entry, PartyOpened, PastedEntry
from samples.ramp.services.answers import Answer, Outcome
from samples.ramp.services.intake import ingest
from samples.ramp.services.passing import TryLater

log = logging.getLogger(__name__)

ELSEWHERE = "It belongs to another lake. Paste it in at the office there."
NOT_SET_UP = "The person who logged it is not set up here. Add the person, then paste again."


@dataclass(frozen=True, slots=True)
class PasteResult:
    """What became of one entry of the text: an answer, or why it was not ingested."""

    pasted: PastedEntry
    person: User | None
    answer: Answer | None = None
    problem: str = ""
    code: str = ""
    held: HeldEntry | None = None

    @property
    def is_stored(self) -> bool:
        return self.answer is not None and self.answer.outcome != Outcome.REFUSED

    @property
    def reason(self) -> str:
        """The code of why it was not ingested as it stands, or empty."""
        return self.answer.reason if self.answer else self.code

    @property
    def outcome(self) -> str:
        """Its outcome; what was not even tried counts as refused."""
        return self.answer.outcome if self.answer else Outcome.REFUSED


def ingest_pasted(
    pasted: Sequence[PastedEntry], *, lake: Lake, actor: User, now: datetime
) -> list[PasteResult]:
    """Ingest the entries of one lake, in the order in which they were written.

    Pasting the same text again changes nothing. Who pasted it stands in the history.
    """
    people = _people([one.author for one in pasted], people_writing_at(actor, lake))
    judged = [_judged(one, people.get(one.author), lake) for one in pasted]
    judged = _without_other_lakes(judged, lake)
    answered: list[PasteResult] = []
    try:
        for _, run in groupby(judged, key=lambda one: (one.person, bool(one.problem))):
            answered.extend(_ingest_run(list(run), lake, actor, now))
    except TryLater as problem:
        log.exception("A pasted text could not be ingested whole")
        answered += _left_for_later(judged[len(answered) :], problem)
    return _with_held(answered, lake, actor)


def _people(keys: list[str], known: QuerySet[User]) -> dict[str, User]:
    """Find the writers among those known at the lake: of others not even the name is told."""
    numbers = {int(key) for key in keys if key.isascii() and key.isdigit() and len(key) < 10}
    return {str(person.pk): person for person in known.filter(pk__in=numbers)}


def _judged(pasted: PastedEntry, person: User | None, lake: Lake) -> PasteResult:
    if pasted.problem:
        return PasteResult(pasted, person, problem=pasted.problem, code=pasted.code)
    if person is None or not has_permission(person, Permission.LOG_FISH, lake):
        return PasteResult(pasted, person, problem=NOT_SET_UP, code="not_set_up")
    return PasteResult(pasted, person)


def _without_other_lakes(judged: list[PasteResult], lake: Lake) -> list[PasteResult]:
    entries = [one.pasted.entry for one in judged if one.pasted.entry is not None]
    opened = {e.party_id: e.lake for e in entries if isinstance(e, PartyOpened)}
    known = Party.objects.filter(party_id__in={entry.party_id for entry in entries})
    at = opened | dict(known.values_list("party_id", "lake__slug"))

    def elsewhere(entry: Entry | None) -> bool:
        if isinstance(entry, PartyOpened) and entry.lake != lake.slug:
            return True
        return entry is not None and at.get(entry.party_id, lake.slug) != lake.slug

    return [
        PasteResult(one.pasted, one.person, problem=ELSEWHERE, code="other_lake")
        if not one.problem and elsewhere(one.pasted.entry)
        else one
        for one in judged
    ]


def _ingest_run(
    run: list[PasteResult], lake: Lake, actor: User, now: datetime
) -> Iterator[PasteResult]:
    person = run[0].person
    if run[0].problem or person is None:
        yield from run
        return
    for start in range(0, len(run), MOST_IN_A_BATCH):
        part = run[start : start + MOST_IN_A_BATCH]
        entries = [one.pasted.entry for one in part if one.pasted.entry is not None]
        answers = ingest(entries, author=person, typed_by=actor, lake=lake, now=now)
        yield from (
            PasteResult(one.pasted, person, answer)
            for one, answer in zip(part, answers, strict=True)
        )


def _left_for_later(rest: list[PasteResult], why: TryLater) -> list[PasteResult]:
    """Leave the rest in the box: fish ingested without the party before them would be held."""
    return [one if one.problem else replace(one, problem=str(why), code=why.code) for one in rest]


def _with_held(answered: list[PasteResult], lake: Lake, actor: User) -> list[PasteResult]:
    """Find the rows of those that are held at this lake, to lead to them."""
    ids = [one.answer.entry_id for one in answered if one.answer and one.outcome == Outcome.HELD]
    rows = {
        (row.entry_id, row.fingerprint): row
        for row in held_entries_at(actor, lake).filter(entry_id__in=ids)
    }
    return [
        replace(one, held=rows.get((one.pasted.entry.entry_id, one.pasted.entry.fingerprint())))
        if one.pasted.entry and one.outcome == Outcome.HELD
        else one
        for one in answered
    ]
