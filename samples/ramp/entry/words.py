"""Reads an entry from the words that a phone, a form or a paste box sent.

The names of the words are the contract with phones that may be months old: they are
added to, and none is ever given another meaning.
"""

import json
import math
from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from samples.models import HowChosen, Kept, Kind, Method, Sex, ToldBy
from samples.ramp.entry.kinds import (
    Correction,
    Entry,
    FishFacts,
    FishLogged,
    PartyChanged,
    PartyClosed,
    PartyFacts,
    PartyOpened,
    Shift,
    UnmeasuredCounted,
    Withdrawal,
)
from samples.rules.plain_text import is_keepable, keepable
from samples.units import LengthUnit, LengthUnreadable, Measured, parse_length

SCHEMA = 1
# Phone clocks lie by days, and one reset to its beginning by decades; beyond it is no clock.
FIRST_YEAR, LAST_YEAR = 1970, 2200
MOST_CHARACTERS = 20_000
# Stands in for an instant that could not be read, until the errors are raised.
NO_INSTANT = datetime(1, 1, 1)  # noqa: DTZ001
MOST_IN_A_COUNT = 10_000
# A list in a field is one level; what later apps send may nest a little more.
MOST_LEVELS = 4
LARGEST_NUMBER = 10**15
LONGEST_NUMBER = 10
LONGEST_ID = 80


class Unreadable(ValueError):
    """Words that do not make an entry; ``errors`` says by field what to put right."""

    def __init__(self, errors: dict[str, list[str]]) -> None:
        super().__init__(" ".join(words for found in errors.values() for words in found))
        self.errors = errors


class Words:
    """The words of one entry, read field by field; every problem is collected."""

    def __init__(self, raw: Mapping[str, Any]) -> None:
        self.raw = raw
        self.errors: dict[str, list[str]] = {}

    def wrong(self, name: str, sentence: str) -> None:
        self.errors.setdefault(name, []).append(sentence)

    def text(self, name: str, *, most: int = 80) -> str:
        value = self.raw.get(name)
        if value is None:
            return ""
        if not isinstance(value, str | int | float) or isinstance(value, bool):
            self.wrong(name, "Write this as plain text.")
            return ""
        text = " ".join(str(value).split())
        if len(text) > most:
            self.wrong(name, f"This is longer than {most} characters. Shorten it.")
        return text[:most]

    def id(self, name: str) -> UUID:
        try:
            return UUID(str(self.raw.get(name, "")))
        except ValueError:
            self.wrong(name, "An id made on the phone (a UUID) is needed here.")
            return UUID(int=0)

    def instant(self, name: str) -> datetime:
        try:
            at = datetime.fromisoformat(str(self.raw.get(name, "")))
        except ValueError:
            at = NO_INSTANT
        if at.tzinfo is None or not FIRST_YEAR <= at.year <= LAST_YEAR:
            self.wrong(name, "Give date, time and offset, like 2026-05-06T17:30:00-05:00.")
        return at

    def day(self, name: str, sentence: str) -> date | None:
        text = self.text(name)
        try:
            return date.fromisoformat(text)
        except ValueError:
            self.wrong(name, sentence)
            return None

    def one_of(self, name: str, known: list[str], sentence: str, default: str = "") -> str:
        value = self.text(name) or default
        if value not in known:
            self.wrong(name, sentence)
        return value

    def number(self, name: str, *, least: int = 0, most: int = 32_000) -> int | None:
        text = self.text(name)
        if not text:
            return None
        digits = text.lstrip("0") or "0"
        whole = text.isascii() and text.isdigit() and len(digits) <= LONGEST_NUMBER
        if not whole or not least <= int(digits) <= most:
            self.wrong(name, f"Give a whole number from {least} to {most:,}.")
            return None
        return int(digits)

    def codes(self, name: str) -> tuple[str, ...]:
        value = self.raw.get(name) or []
        if not isinstance(value, list) or not all(isinstance(code, str) for code in value):
            self.wrong(name, "Give a list of codes of questions that were answered.")
            return ()
        return tuple(sorted(set(value)))

    def length(self, name: str, unit: LengthUnit) -> Measured:
        nothing = Measured(0, unit, "")
        text = self.text(name)
        try:
            return parse_length(text, unit)
        except LengthUnreadable as problem:
            self.wrong(name, str(problem))
            return nothing


def entry_id_of(raw: Any) -> str | None:
    """Give back the id of an entry as it came, for the answer to one that cannot be read."""
    value = raw.get("entry_id") if isinstance(raw, Mapping) else None
    if not isinstance(value, str | int | float):
        return None
    return keepable(str(value))[:LONGEST_ID]


def _unkeepable(raw: Mapping[str, Any]) -> dict[str, list[str]]:
    """Say by field what no database could keep or no page could show.

    Without recursion: what came may be nested deeper than a program can follow.
    """
    errors: dict[str, list[str]] = {}
    for name, word in raw.items():
        problem = _problem_of_name(name) or _problem_of_word(word)
        if problem:
            errors[keepable(str(name))[:LONGEST_ID]] = [problem]
    return errors


CANNOT_BE_KEPT = "A character here cannot be kept. Delete it and type it again."
TOO_DEEP = "This is nested too deeply. Write it as plain text."
TOO_LARGE = "This number is too large. Check it."


def _problem_of_name(name: Any) -> str:
    return "" if isinstance(name, str) and is_keepable(name) else CANNOT_BE_KEPT


def _problem_of_word(word: Any) -> str:
    level: list[Any] = [word]
    for _ in range(MOST_LEVELS):
        for one in level:
            if isinstance(one, str) and not is_keepable(one):
                return CANNOT_BE_KEPT
            if isinstance(one, int | float) and not _is_number_of_a_fish(one):
                return TOO_LARGE
        level = [part for one in level for part in _parts_of(one)]
        if not level:
            return ""
    return TOO_DEEP


def _is_number_of_a_fish(number: float) -> bool:
    return math.isfinite(number) and abs(number) <= LARGEST_NUMBER


def _parts_of(word: Any) -> list[Any]:
    if isinstance(word, Mapping):
        return [*word.keys(), *word.values()]
    return word if isinstance(word, list) else []


def read(raw: Mapping[str, Any]) -> Entry:
    """Make an entry of its words.

    :raises Unreadable: with what is wrong, field by field
    """
    if unkeepable := _unkeepable(raw):
        raise Unreadable(unkeepable)
    if len(json.dumps(raw, default=str)) > MOST_CHARACTERS:
        raise Unreadable({"kind": ["This entry is too long to be one fish or one party."]})
    words = Words(raw)
    kind = words.one_of("kind", Kind.values, "This kind of entry is not known here.")
    schema = words.number("schema", least=1)
    if schema is None or schema > SCHEMA:
        words.wrong("schema", f"Entries are read up to schema {SCHEMA}.")
    common = {
        "entry_id": words.id("entry_id"),
        "party_id": words.id("party_id"),
        "said_at": words.instant("written_at"),
        "said": dict(raw),
    }
    if words.errors:
        raise Unreadable(words.errors)
    entry = READERS[kind](words, common)
    if words.errors:
        raise Unreadable(words.errors)
    return entry


def _party(words: Words) -> PartyFacts:
    arm = words.text("arm")
    if not arm:
        words.wrong("arm", "Which arm? Choose one.")
    how_chosen = words.one_of("how_chosen", HowChosen.values, "How were the fish chosen?")
    every_nth = words.number("every_nth", least=2, most=100)
    if how_chosen == HowChosen.EVERY_NTH and every_nth is None and "every_nth" not in words.errors:
        words.wrong("every_nth", "Every how many? Give 2 for every second fish.")
    return PartyFacts(
        arm=arm,
        reach=words.text("reach"),
        caught_on=words.day("caught_on", "When were they caught? Give the date."),
        method=words.one_of("method", Method.values, "How were they caught? Choose a method."),
        how_chosen=how_chosen,
        every_nth=every_nth if how_chosen == HowChosen.EVERY_NTH else None,
        fish_in_box=words.number("fish_in_box", most=9_999),
        kept=words.one_of("kept", Kept.values, "Fresh, on ice or frozen?", Kept.NOT_KNOWN),
        net_nights=words.number("net_nights", least=1, most=60),
        net_mesh_mm=words.number("net_mesh_mm", least=1, most=500),
    )


def _fish(words: Words) -> FishFacts:
    unit = words.one_of("unit", [unit.value for unit in LengthUnit], "Inches (in) or mm?")
    species = words.text("species")
    if not species:
        words.wrong("species", "Choose a species.")
    return FishFacts(
        vial=words.text("vial", most=80),
        species=species,
        measured=words.length("length", LengthUnit.MILLIMETRE if unit == "mm" else LengthUnit.INCH),
        sex=words.one_of("sex", Sex.values, "Choose a sex, or Not known."),
        told_by=words.one_of("told_by", ToldBy.values, "How was the species told?"),
        spines=words.number("spines", least=1, most=30),
        weight_g=words.number("weight_g", least=1, most=60_000),
        confirmed=words.codes("confirmed"),
    )


def _party_opened(words: Words, common: dict[str, Any]) -> Entry:
    return PartyOpened(
        **common,
        lake=words.text("lake"),
        party=_party(words),
        donor_name=words.text("donor_name"),
        interview_key=words.text("interview_key", most=40),
        confirmed=words.codes("confirmed"),
    )


def _party_changed(words: Words, common: dict[str, Any]) -> Entry:
    change = words.one_of(
        "arm_change", ["wrong", "moved"], "Was the arm wrong, or did you move?", "wrong"
    )
    reopen = words.one_of("reopen", ["", "yes"], "Write yes where the trip goes on.")
    return PartyChanged(
        **common,
        party=_party(words),
        moved=change == "moved",
        reopens=reopen == "yes",
        confirmed=words.codes("confirmed"),
    )


def _party_closed(words: Words, common: dict[str, Any]) -> Entry:
    return PartyClosed(
        **common,
        count_in_hand=words.number("count_in_hand", most=9_999),
        last_number=words.text("last_number", most=20),
    )


def _fish_logged(words: Words, common: dict[str, Any]) -> Entry:
    return FishLogged(**common, fish=_fish(words))


def _correction(words: Words, common: dict[str, Any]) -> Entry:
    return Correction(**common, about_entry_id=words.id("about_entry_id"), fish=_fish(words))


def _withdrawal(words: Words, common: dict[str, Any]) -> Entry:
    return Withdrawal(**common, about_entry_id=words.id("about_entry_id"))


def _shift(words: Words, common: dict[str, Any]) -> Entry:
    by = words.one_of("by", ["1", "-1"], "Shift by one: 1 for the next vial, -1 for the last.")
    from_vial = words.text("from_vial")
    if not from_vial:
        words.wrong("from_vial", "From which vial on? Choose the first that is wrong.")
    return Shift(**common, from_vial=from_vial, by=-1 if by == "-1" else 1)


def _unmeasured_count(words: Words, common: dict[str, Any]) -> Entry:
    count = words.number("count", least=1, most=MOST_IN_A_COUNT)
    if count is None and "count" not in words.errors:
        words.wrong("count", "How many were counted? Give a number.")
    species = words.text("species")
    return UnmeasuredCounted(**common, species=species, count=count or 0)


READERS: dict[str, Callable[[Words, dict[str, Any]], Entry]] = {
    Kind.PARTY_OPENED: _party_opened,
    Kind.PARTY_CHANGED: _party_changed,
    Kind.PARTY_CLOSED: _party_closed,
    Kind.FISH: _fish_logged,
    Kind.CORRECTION: _correction,
    Kind.WITHDRAWAL: _withdrawal,
    Kind.SHIFT: _shift,
    Kind.UNMEASURED_COUNT: _unmeasured_count,
}
