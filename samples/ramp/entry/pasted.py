"""Finds entries in a text that came from a phone by way of messengers, mails and hands."""

import base64
import contextlib
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from samples.models import Kind
from samples.ramp.entry.kinds import (
    Correction,
    Entry,
    FishLogged,
    PartyChanged,
    PartyClosed,
    PartyOpened,
    Shift,
    UnmeasuredCounted,
)
from samples.ramp.entry.words import Unreadable, read

# What messengers make of plain text: quotes of replies, curly quotes, spaces that do not break.
CURLY = str.maketrans({"\u201c": '"', "\u201d": '"', "\u201e": '"', "\u00a0": " ", "\u200b": ""})
QUOTED = re.compile(r"^[> \t]*>[ \t]?")
MOST_ENTRIES = 500


@dataclass(frozen=True, slots=True)
class Found:
    """One entry as it stands in the text: read, or with what is wrong with it."""

    by: str
    text: str
    entry: Entry | None = None
    problem: str = ""


def entries_in(text: str) -> list[Found]:
    """Find every entry of a text, in its order; words for eyes are passed over."""
    lines = [QUOTED.sub("", line) for line in text.translate(CURLY).splitlines()]
    return list(_found("\n".join(lines)))


def _found(text: str) -> Iterator[Found]:
    decoder = json.JSONDecoder()
    place, count = text.find("{"), 0
    while place >= 0 and count < MOST_ENTRIES:
        count += 1
        try:
            words, end = decoder.raw_decode(text, place)
        except json.JSONDecodeError:
            words, end = _joined(decoder, text, place)
        yield _one(words, text[place:end].strip())
        place = text.find("{", end)


def _joined(decoder: json.JSONDecoder, text: str, place: int) -> tuple[Any, int]:
    """Read an entry that was broken over lines in the midst of a word, up to the next entry."""
    following = text.find('\n{"by"', place + 1)
    end = following if following >= 0 else len(text)
    try:
        words, _ = decoder.raw_decode(text[place:end].replace("\n", ""))
    except json.JSONDecodeError:
        return None, end
    return words, end


def _one(words: Any, text: str) -> Found:
    raw = words.get("entry") if isinstance(words, Mapping) else None
    by = str(words.get("by", "")) if isinstance(words, Mapping) else ""
    if not isinstance(raw, Mapping):
        return Found(by, text, problem="Part of this entry is missing. Ask for the text again.")
    try:
        return Found(by, text, entry=read(_unveiled(raw)))
    except Unreadable as problem:
        return Found(by, text, problem=str(problem))


def _unveiled(raw: Mapping[str, Any]) -> dict[str, Any]:
    """Give a donor's name back as it was typed: the text kept it from being read on the way."""
    words = dict(raw)
    name = words.pop("donor_name_veiled", "")
    if name:
        with contextlib.suppress(ValueError):
            words["donor_name"] = base64.b64decode(str(name), validate=True).decode()
    return words


def told_shortly(entry: Entry) -> str:
    """Tell an entry in a line, for whoever checks it against paper."""
    kind = Kind(entry.kind).label
    if isinstance(entry, FishLogged | Correction):
        fish = entry.fish
        length = f"{fish.measured.as_measured} {fish.measured.unit}"
        said = f"{fish.vial or 'no vial'}, {fish.species}, {length}, {fish.sex}"
    elif isinstance(entry, PartyOpened | PartyChanged):
        said = ", ".join(filter(None, [entry.party.arm, entry.party.reach]))
    elif isinstance(entry, PartyClosed):
        said = f"{entry.count_in_hand} in hand" if entry.count_in_hand is not None else ""
    elif isinstance(entry, Shift):
        said = f"from {entry.from_vial} by {entry.by}"
    elif isinstance(entry, UnmeasuredCounted):
        said = f"{entry.count} {entry.species}"
    else:
        said = ""
    return f"{kind}: {said}" if said else kind
