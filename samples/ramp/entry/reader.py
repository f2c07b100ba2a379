"""Reads an entry from the payload that a phone, a form or a paste box sent.

Which fields there are, and what each takes, stands in `kinds`; here they are read one by one.
"""

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from samples.models import EntryKind, HowChosen
from samples.ramp.entry.facts import PartyFacts
from samples.ramp.entry.fields import MOST_TEXT, choice, whole_number
from samples.ramp.entry.kinds import KINDS, Entry
from samples.ramp.entry.sound import LONGEST_ID, is_too_long, unsound_fields
from samples.ramp.entry.spec import EntryField, Spec, parts_of, specs_of
from samples.rules.plain_text import keepable

SCHEMA = 1
EVERY_NTH_MISSING = "Enter the sampling interval, such as 2 for every second fish."
KIND = choice("Kind", EntryKind.choices, error="This kind of entry is not known here.")
SCHEMA_NUMBER = whole_number("Schema", least=1, error=f"Entries are read up to schema {SCHEMA}.")

Facts = TypeVar("Facts")


class Unreadable(ValueError):
    """A payload that does not make an entry; ``errors`` says by field what to put right."""

    def __init__(self, errors: dict[str, list[str]]) -> None:
        super().__init__(" ".join(sentence for found in errors.values() for sentence in found))
        self.errors = errors


class PayloadReader:
    """Reads a payload field by field; every problem is collected."""

    def __init__(self, payload: Mapping[str, Any]) -> None:
        self.payload = payload
        self.errors: dict[str, list[str]] = {}

    def refuse(self, word: str, sentence: str) -> None:
        self.errors.setdefault(word, []).append(sentence)

    def facts(self, kind: type[Facts], **known: Any) -> Facts | None:
        """Return a kind of entry or a part of one, or None where anything could not be read."""
        before = self.count_errors()
        values = known | {
            one.attribute: self.value(one) for one in specs_of(kind) if one.attribute not in known
        }
        values |= {name: self.facts(part) for name, part in parts_of(kind)}
        for check in CHECKS.get(kind, ()):
            values |= check(values, self)
        return kind(**values) if self.count_errors() == before else None

    def count_errors(self) -> int:
        return sum(len(sentences) for sentences in self.errors.values())

    def value(self, one: EntryField) -> Any:
        """Return what one field says; where it says nothing, its default."""
        if one.spec.limits.get("type") == "array":
            sent = self.payload.get(one.word) or None
        else:
            sent = self.text(one.word, one.spec)
        if not sent and (not one.is_required or one.word in self.errors):
            return one.default
        beside = {name: self._beside(name, spec) for name, spec in one.spec.beside.items()}
        return self.parsed(one.word, one.spec, sent, **beside)

    def parsed(self, word: str, spec: Spec, sent: Any, **beside: Any) -> Any:
        """Return what a spec makes of a text; what it refuses is put down as an error."""
        try:
            return spec.parse(sent, **beside)
        except ValueError as problem:
            self.refuse(word, getattr(problem, "sentence", spec.error))
            return None

    def text(self, word: str, spec: Spec) -> str:
        """Return the text of a field, without spare spaces; a number is its digits."""
        value = self.payload.get(word)
        if value is None:
            return ""
        if not isinstance(value, str | int | float) or isinstance(value, bool):
            self.refuse(word, "Write this as plain text.")
            return ""
        text = " ".join(str(value).split())
        most = spec.limits.get("maxLength", MOST_TEXT)
        if len(text) > most:
            self.refuse(word, f"This is longer than {most} characters. Shorten it.")
            return ""
        return text

    def _beside(self, word: str, spec: Spec) -> Any:
        text = self.text(word, spec)
        if word not in self.errors:
            self.parsed(word, spec, text)
        return text


def read(payload: Mapping[str, Any]) -> Entry:
    """Return the entry that a payload makes.

    :raises Unreadable: with what is wrong, field by field
    """
    if unsound := unsound_fields(payload):
        raise Unreadable(unsound)
    if is_too_long(payload):
        raise Unreadable({"kind": ["This entry is too long for one fish or trip."]})
    reader = PayloadReader(payload)
    kind = KINDS.get(reader.parsed("kind", KIND, reader.text("kind", KIND)), Entry)
    schema = reader.parsed("schema", SCHEMA_NUMBER, reader.text("schema", SCHEMA_NUMBER))
    if schema is not None and schema > SCHEMA:
        reader.refuse("schema", SCHEMA_NUMBER.error)
    common = {one.attribute: reader.value(one) for one in specs_of(Entry)}
    if reader.errors:
        raise Unreadable(reader.errors)
    entry = reader.facts(kind, **common, payload=dict(payload))
    if entry is None:
        raise Unreadable(reader.errors)
    return entry


def check_every_nth(values: Mapping[str, Any], reader: PayloadReader) -> dict[str, Any]:
    """Return how many were passed over: asked for where fish were chosen so, else left out."""
    if values["how_chosen"] != HowChosen.EVERY_NTH:
        return {"every_nth": None}
    if values["every_nth"] is None and "every_nth" not in reader.errors:
        reader.refuse("every_nth", EVERY_NTH_MISSING)
    return {}


# What the fields of a part say of one another.
CHECKS: dict[type, tuple[Callable[[Mapping[str, Any], PayloadReader], dict[str, Any]], ...]] = {
    PartyFacts: (check_every_nth,)
}


def entry_id_of(payload: Any) -> str | None:
    """Return the id of an entry as it came, for the answer to one that cannot be read."""
    value = payload.get("entry_id") if isinstance(payload, Mapping) else None
    if not isinstance(value, str | int | float):
        return None
    return keepable(str(value))[:LONGEST_ID]
