"""What the annotation of a field says. A field of an entry is written once, as one of these."""

from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, field, fields, is_dataclass
from functools import cache
from typing import Any, get_type_hints


@dataclass(frozen=True, slots=True, kw_only=True)
class Spec:
    """One field of an entry: what it is called, what it takes, and what is said if it does not.

    ``parse`` makes a value of the text that came and raises ValueError where it cannot; the
    sentence is ``error``, unless the exception has a ``sentence`` of its own. ``limits`` are
    JSON Schema words, for the OpenAPI document, the phone and the forms. ``since`` is the release
    of the schema that brought the field: later ones enter a fingerprint only when they are said.
    """

    label: str
    error: str
    parse: Callable[..., Any]
    limits: Mapping[str, Any] = field(default_factory=dict)
    choices: tuple[tuple[str, str], ...] = ()
    hint: str = ""
    about: str = ""
    word: str = ""
    since: int = 1
    heads: tuple[str, ...] = ()
    beside: Mapping[str, "Spec"] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class EntryField:
    """A field of a kind of entry: its attribute, its name on the wire and its spec."""

    attribute: str
    spec: Spec
    hint: Any
    default: Any

    @property
    def word(self) -> str:
        return self.spec.word or self.attribute

    @property
    def is_required(self) -> bool:
        return self.default is MISSING


def specs_of(kind: type) -> tuple[EntryField, ...]:
    """Return the fields of a dataclass that carry a spec, in their order."""
    key: Any = kind
    return _read_specs(key)


@cache
def _read_specs(kind: Any) -> tuple[EntryField, ...]:
    hints = get_type_hints(kind, include_extras=True)
    found = []
    for one in fields(kind):
        for spec in getattr(hints[one.name], "__metadata__", ()):
            if isinstance(spec, Spec):
                found.append(EntryField(one.name, spec, hints[one.name].__origin__, one.default))
    return tuple(found)


def parts_of(kind: type) -> tuple[tuple[str, type], ...]:
    """Return the fields of a dataclass that are dataclasses of fields themselves."""
    key: Any = kind
    return _read_parts(key)


@cache
def _read_parts(kind: Any) -> tuple[tuple[str, type], ...]:
    hints: dict[str, Any] = get_type_hints(kind)
    parts = [(one.name, hints[one.name]) for one in fields(kind) if is_dataclass(hints[one.name])]
    return tuple((name, part) for name, part in parts if specs_of(part))


def all_specs_of(kind: type) -> tuple[EntryField, ...]:
    """Return every field of a kind of entry, with those of its parts, as they lie on the wire."""
    own = specs_of(kind)
    return own + tuple(one for _, part in parts_of(kind) for one in specs_of(part))
