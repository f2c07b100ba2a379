"""Finds entries in a text that came from a phone by way of messengers, mails and hands."""

import base64
import contextlib
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.utils.formats import date_format

from samples.models import EntryKind, Sex
from samples.ramp.entry.facts import FishFacts
from samples.ramp.entry.kinds import (
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
from samples.ramp.entry.reader import Unreadable, read
from samples.rules.plain_text import keepable
from samples.rules.vial_number import TypedVial, read_vial

# What messengers make of plain text. Spaces that do not break and signs without width are
# never meant; curly quotes may be, so they are straightened only where an entry needs it.
SPACES = str.maketrans(
    {"\u00a0": " ", "\u202f": " "} | dict.fromkeys("\u200b\u200e\u200f\u2060\ufeff", "")
)
CURLY = str.maketrans(dict.fromkeys("\u201c\u201d\u201e\u201f", '"'))
QUOTED = re.compile(r"^[> \t]*>[ \t]?")
START = re.compile('\\{(?=\\s*["\u201c-\u201f])')
WHOLE_START = re.compile('\\{\\s*["\u201c-\u201f]\\s*by\\s*["\u201c-\u201f]')
ANNOUNCED = re.compile(r"Earstone: (\d{1,6}) entr")
MOST_ENTRIES = 500

CUT_SHORT = "Part of this entry is missing. Ask for the text again."
TOO_MANY = f"More than {MOST_ENTRIES} entries. The rest stays in the box: add it next."


@dataclass(frozen=True, slots=True)
class PastedEntry:
    """One entry as it stands in the text, from this line on: read, or with what is wrong.

    ``author`` is the key of the person who wrote it, ``code`` names what is wrong.
    """

    author: str
    text: str
    line: int
    entry: Entry | None = None
    problem: str = ""
    code: str = ""


def entries_in(text: str) -> list[PastedEntry]:
    """Return every entry of a text, in its order; words for eyes are passed over."""
    lines = [QUOTED.sub("", line) for line in text.translate(SPACES).splitlines()]
    return list(_scan("\n".join(lines)))


def announced_in(text: str) -> int:
    """Return how many entries the heads of a text say that it has."""
    return sum(int(number) for number in ANNOUNCED.findall(text.translate(SPACES)))


def _scan(text: str) -> Iterator[PastedEntry]:
    past = count = 0
    while start := START.search(text, past):
        # Words before it in its line may be the rest of an entry that was torn apart.
        begin = max(past, text.rfind("\n", 0, start.start()) + 1)
        line = text.count("\n", 0, start.start()) + 1
        if count == MOST_ENTRIES:
            yield PastedEntry("", text[begin:].strip(), line, problem=TOO_MANY, code="too_many")
            return
        count += 1
        envelope, past = _decode(text, start.start())
        yield _read(envelope, text[begin:past].strip(), line)


def _decode(text: str, place: int) -> tuple[Any, int]:
    """Read the entry that begins here and say where it ends, or give it up to the next one."""
    following = WHOLE_START.search(text, place + 1)
    end = following.start() if following else len(text)
    straight = text[place:end].translate(CURLY)
    if (plain := _raw(text, place)) is not None:
        return plain
    if (plain := _raw(straight, 0)) is not None:
        return plain[0], place + plain[1]
    # Lines may have been broken in the midst of a word.
    for joined in (text[place:end].replace("\n", ""), straight.replace("\n", "")):
        if (plain := _raw(joined, 0)) is not None:
            return plain[0], end
    return None, end


def _raw(text: str, place: int) -> tuple[Any, int] | None:
    try:
        return json.JSONDecoder().raw_decode(text, place)
    except (ValueError, RecursionError):
        return None


def _read(envelope: Any, text: str, line: int) -> PastedEntry:
    payload = envelope.get("entry") if isinstance(envelope, Mapping) else None
    author = _author(envelope.get("by", "")) if isinstance(envelope, Mapping) else ""
    if not isinstance(payload, Mapping):
        return PastedEntry(author, text, line, problem=CUT_SHORT, code="cut_short")
    try:
        return PastedEntry(author, text, line, entry=read(_unveiled(payload)))
    except Unreadable as problem:
        return PastedEntry(author, text, line, problem=str(problem), code="unreadable")


def _author(key: Any) -> str:
    """Return the key of who wrote it; it stands in the text as the phone was told it."""
    return keepable(str(key)) if isinstance(key, str | int) else ""


def _unveiled(payload: Mapping[str, Any]) -> dict[str, Any]:
    """Return a payload with its donor's name as typed: the text kept it from being read."""
    plain = dict(payload)
    name = plain.pop("donor_name_veiled", "")
    if name:
        with contextlib.suppress(ValueError):
            plain["donor_name"] = base64.b64decode(str(name), validate=True).decode()
    return plain


def vials_of_fish(pasted: Iterable[PastedEntry]) -> dict[UUID, str]:
    """Return the vial of each fish that is logged in this text, by its entry."""
    logged = [one.entry for one in pasted if isinstance(one.entry, FishLogged)]
    return {entry.entry_id: entry.fish.vial.text for entry in logged}


def summarize_entry(
    entry: Entry, species_names: Mapping[str, str], vials: Mapping[UUID, str]
) -> str:
    """Return an entry in a line, for whoever checks it against paper.

    ``species_names`` has the names that codes stand for, ``vials`` the number of each fish that
    an entry may be about.
    """
    label = EntryKind(entry.kind).label
    if isinstance(entry, FishLogged | Correction):
        detail = _fish(entry.fish, species_names)
    elif isinstance(entry, Withdrawal):
        detail = _number(read_vial(vials.get(entry.about_entry_id, "a fish not here")))
    elif isinstance(entry, PartyOpened | PartyChanged):
        day = entry.party.caught_on
        parts = [entry.party.arm, entry.party.reach, date_format(day) if day else ""]
        detail = ", ".join(filter(None, parts))
    elif isinstance(entry, PartyClosed):
        detail = f"{entry.count_in_hand} in hand" if entry.count_in_hand is not None else ""
    elif isinstance(entry, Shift):
        detail = f"from {_number(entry.from_vial)} by {entry.offset}"
    elif isinstance(entry, UnmeasuredCounted):
        detail = f"{entry.count} {species_names.get(entry.species, entry.species)}"
    else:
        detail = ""
    return f"{label}: {detail}" if detail else label


def _fish(fish: FishFacts, species_names: Mapping[str, str]) -> str:
    length = f"{fish.length.as_measured} {fish.length.unit}"
    name = species_names.get(fish.species, fish.species)
    return f"{_number(fish.vial)}, {name} {length}, {Sex(fish.sex).label.lower()}"


def _number(vial: TypedVial) -> str:
    return vial.as_printed or "no vial"
