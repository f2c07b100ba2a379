"""The fields of entries as JSON: for the OpenAPI document, and for the phone."""

from typing import Any

from samples.ramp.entry.facts import FOLDED
from samples.ramp.entry.kinds import KINDS, Entry
from samples.ramp.entry.spec import EntryField, Spec, all_specs_of

# Documented, and read for no fact.
ENVELOPE: dict[str, dict[str, Any]] = {
    "schema": {"type": "integer", "minimum": 1},
    "zone": {"type": "string", "description": "The phone's time zone, by its name."},
    "signed_in": {
        "type": "string",
        "description": "The key of the person whose phone it was when this was written.",
    },
    "app": {"type": "integer", "description": "The number of the phone's app."},
}
ALWAYS_REQUIRED = ["schema", "kind"]
ASKED_ON_THE_PHONE = ("fish", "party_opened", "party_closed", "unmeasured_count", "shift")


def schema_of(kind: type[Entry]) -> dict[str, Any]:
    """Return what an entry of a kind is, in the words of JSON Schema."""
    fields = all_specs_of(kind)
    properties = {**ENVELOPE, "kind": {"type": "string", "enum": [kind.kind]}}
    for one in fields:
        properties[one.word] = _property_of(one.spec)
        properties |= {word: _property_of(spec) for word, spec in one.spec.beside.items()}
    required = [word for one in fields if one.is_required for word in (one.word, *one.spec.beside)]
    return {
        "type": "object",
        "title": (kind.__doc__ or "").partition("\n")[0],
        "properties": properties,
        "required": ALWAYS_REQUIRED + required,
    }


def facts_schema_of(kind: type) -> dict[str, dict[str, Any]]:
    """Return the properties of a part of an entry, such as the facts of a fish."""
    fields = all_specs_of(kind)
    beside = {word: spec for one in fields for word, spec in one.spec.beside.items()}
    return {one.word: _property_of(one.spec) for one in fields} | {
        word: _property_of(spec) for word, spec in beside.items()
    }


def _property_of(spec: Spec) -> dict[str, Any]:
    about = spec.about or spec.hint
    return {"title": spec.label, **spec.limits} | ({"description": about} if about else {})


def fields_for_phone() -> dict[str, dict[str, Any]]:
    """Return by kind what the phone shows of each fact, what it takes, and what it says else."""
    common = {one.word for one in all_specs_of(Entry)}
    return {
        name: {
            one.word: _for_phone(one) for one in all_specs_of(KINDS[name]) if one.word not in common
        }
        for name in ASKED_ON_THE_PHONE
    }


def _for_phone(one: EntryField) -> dict[str, Any]:
    spec = one.spec
    return {
        "label": spec.label,
        "error": spec.error,
        "required": one.is_required,
        "hint": spec.hint,
        "folded": one in FOLDED,
        "later": spec.since > 1,
        "limits": {k: v for k, v in spec.limits.items() if k != "enum"},
        "choices": [{"code": code, "name": name} for code, name in spec.choices],
    }
