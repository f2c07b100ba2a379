"""Takes in what came as text, each entry as of the person who wrote it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from samples.accounts.roles import May, may
from samples.models import Lake, Party, User
from samples.ramp.entry import MOST_IN_A_BATCH, Entry, Found, PartyOpened
from samples.ramp.services.answers import Answer
from samples.ramp.services.intake import take

ELSEWHERE = "It is of another lake. Its own office pastes it in."
NOT_SET_UP = "Whoever wrote it is not set up to log fish here. Set the person up, then paste again."


@dataclass(frozen=True, slots=True)
class Pasted:
    """What became of one entry of the text: an answer, or why it was not taken."""

    found: Found
    person: User | None
    answer: Answer | None = None
    problem: str = ""

    @property
    def taken(self) -> bool:
        return self.answer is not None and self.answer.outcome != "refused"


def take_pasted(found: Sequence[Found], *, lake: Lake, by: User, now: datetime) -> list[Pasted]:
    """Take in the entries of one lake, in the order in which they were written.

    Pasting the same text again changes nothing. Who pasted it stands in the history.
    """
    people = _people([one.by for one in found])
    judged = [_judged(one, people.get(one.by), lake) for one in found]
    judged = _without_other_lakes(judged, lake)
    answered: list[Pasted] = []
    for _, run in groupby(judged, key=lambda one: (one.person, bool(one.problem))):
        answered += _take_run(list(run), by, now)
    return answered


def _people(keys: list[str]) -> dict[str, User]:
    numbers = {int(key) for key in keys if key.isascii() and key.isdigit() and len(key) < 10}
    return {str(person.pk): person for person in User.objects.filter(pk__in=numbers)}


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
        return entry is not None and at.get(entry.party_id, lake.slug) != lake.slug

    return [
        Pasted(one.found, one.person, problem=ELSEWHERE)
        if not one.problem and elsewhere(one.found.entry)
        else one
        for one in judged
    ]


def _take_run(run: list[Pasted], by: User, now: datetime) -> Iterator[Pasted]:
    person = run[0].person
    if run[0].problem or person is None:
        yield from run
        return
    for start in range(0, len(run), MOST_IN_A_BATCH):
        part = run[start : start + MOST_IN_A_BATCH]
        entries = [one.found.entry for one in part if one.found.entry is not None]
        answers = take(entries, by=person, entered_by=by, now=now)
        yield from (
            Pasted(one.found, person, answer) for one, answer in zip(part, answers, strict=True)
        )
