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

from samples.models import Kind, Sex
from samples.ramp.entry.kinds import (
    Correction,
    Entry,
    FishFacts,
    FishLogged,
    PartyChanged,
    PartyClosed,
    PartyOpened,
    Shift,
    UnmeasuredCounted,
    Withdrawal,
)
from samples.ramp.entry.words import Unreadable, read
from samples.rules import vial_number
from samples.rules.plain_text import keepable

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
TOO_MANY = f"More than {MOST_ENTRIES} entries. The rest stays in the box: take it in next."


@dataclass(frozen=True, slots=True)
class Found:
    """One entry as it stands in the text, from this line on: read, or with what is wrong."""

    by: str
    text: str
    line: int
    entry: Entry | None = None
    problem: str = ""


def entries_in(text: str) -> list[Found]:
    """Find every entry of a text, in its order; words for eyes are passed over."""
    lines = [QUOTED.sub("", line) for line in text.translate(SPACES).splitlines()]
    return list(_found("\n".join(lines)))


def announced_in(text: str) -> int:
    """Give how many entries the heads of a text say that it has."""
    return sum(int(number) for number in ANNOUNCED.findall(text.translate(SPACES)))


def _found(text: str) -> Iterator[Found]:
    past = count = 0
    while start := START.search(text, past):
        # Words before it in its line may be the rest of an entry that was torn apart.
        begin = max(past, text.rfind("\n", 0, start.start()) + 1)
        line = text.count("\n", 0, start.start()) + 1
        if count == MOST_ENTRIES:
            yield Found("", text[begin:].strip(), line, problem=TOO_MANY)
            return
        count += 1
        words, past = _decoded(text, start.start())
        yield _one(words, text[begin:past].strip(), line)


def _decoded(text: str, place: int) -> tuple[Any, int]:
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


def _one(words: Any, text: str, line: int) -> Found:
    raw = words.get("entry") if isinstance(words, Mapping) else None
    by = _by(words.get("by", "")) if isinstance(words, Mapping) else ""
    if not isinstance(raw, Mapping):
        return Found(by, text, line, problem=CUT_SHORT)
    try:
        return Found(by, text, line, entry=read(_unveiled(raw)))
    except Unreadable as problem:
        return Found(by, text, line, problem=str(problem))


def _by(key: Any) -> str:
    """Give the key of who wrote it; it stands in the text as the phone was told it."""
    return keepable(str(key)) if isinstance(key, str | int) else ""


def _unveiled(raw: Mapping[str, Any]) -> dict[str, Any]:
    """Give a donor's name back as it was typed: the text kept it from being read on the way."""
    words = dict(raw)
    name = words.pop("donor_name_veiled", "")
    if name:
        with contextlib.suppress(ValueError):
            words["donor_name"] = base64.b64decode(str(name), validate=True).decode()
    return words


def vials_told_in(found: Iterable[Found]) -> dict[UUID, str]:
    """Give the vial of each fish that is logged in this text, by its entry."""
    logged = [one.entry for one in found if isinstance(one.entry, FishLogged)]
    return {entry.entry_id: entry.fish.vial for entry in logged}


def told_shortly(entry: Entry, species: Mapping[str, str], vials: Mapping[UUID, str]) -> str:
    """Tell an entry in a line, for whoever checks it against paper.

    ``species`` gives the names that codes stand for, ``vials`` the number of each fish that
    an entry may be about.
    """
    kind = Kind(entry.kind).label
    if isinstance(entry, FishLogged | Correction):
        said = _fish(entry.fish, species)
    elif isinstance(entry, Withdrawal):
        said = _number(vials.get(entry.about_entry_id, "a fish not here"))
    elif isinstance(entry, PartyOpened | PartyChanged):
        day = entry.party.caught_on
        words = [entry.party.arm, entry.party.reach, date_format(day) if day else ""]
        said = ", ".join(filter(None, words))
    elif isinstance(entry, PartyClosed):
        said = f"{entry.count_in_hand} in hand" if entry.count_in_hand is not None else ""
    elif isinstance(entry, Shift):
        said = f"from {_number(entry.from_vial)} by {entry.by}"
    elif isinstance(entry, UnmeasuredCounted):
        said = f"{entry.count} {species.get(entry.species, entry.species)}"
    else:
        said = ""
    return f"{kind}: {said}" if said else kind


def _fish(fish: FishFacts, species: Mapping[str, str]) -> str:
    length = f"{fish.measured.as_measured} {fish.measured.unit}"
    name = species.get(fish.species, fish.species)
    return f"{_number(fish.vial)}, {name} {length}, {Sex(fish.sex).label.lower()}"


def _number(text: str) -> str:
    try:
        return vial_number.grouped(vial_number.parse(text).number)
    except vial_number.VialNumberRefused:
        return text or "no vial"
